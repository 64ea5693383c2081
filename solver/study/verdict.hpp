// SPDX-License-Identifier: MIT
#pragma once
// Core says what the numerics did; here it gets its meaning.
#include <string>
#include <utility>
#include <vector>

#include "solver/study/assessment.hpp"

namespace opisthion::study {

inline constexpr double kMostSmallRotation_deg = 5.0;  ///< a joint that turns further: small displacement misleads
/// A joint that assembly alone turns further: small displacement then leaves its contacts some hundredths of a millimetre
/// from where they are, which every figure afterwards hangs on (THEORY 9: 2 % of small's figure at half a degree, 31 % at
/// two).
inline constexpr double kMostSmallRest_deg = 0.5;
inline constexpr double kMostSmallSlide_mm =
    5.0;  ///< a joint that slides further: half the length of its ligaments (own choice)
inline constexpr double kMostStrandShare =
    1.0 / 3.0;  ///< of the strain energy: beyond it the true lengths of strands matter
inline constexpr double kMostRegularisationShare = 0.01;  ///< of the work: beyond it regularisation carries load
inline constexpr double kPhysicalEnd_mm = 10.0;           ///< a joint that translates further has left anatomy

/// Why a load is not solved: what, and the figure that shows it. Loads that share a cause are told together.
struct Cause {
  std::string what{};    ///< "C1-C2 turns more than 5 deg, where small displacement misleads"
  std::string figure{};  ///< "6.3 deg"
  friend bool operator==(const Cause&, const Cause&) = default;
};

/// All that a verdict looks at for one load.
struct Evidence {
  bool converged = false;
  int iterations = 0;
  double residual = 0.0;
  bool escapes = false;              ///< runaway, or a free mode that the load drives
  std::string escape{};              ///< in words: "C1 slides forward on C2"
  std::string loose_graft{};         ///< only a graft escapes, and the bones stay: how it moves; empty: none does
  std::string loose_dens{};          ///< the same of a dens that has come off C2 (full)
  std::string floats{};              ///< a body that the load does no work on and that only regularisation holds (full)
  bool from_rest = false;            ///< no neutral: a small load or its opposite makes a body run away (full)
  std::string drifts{};              ///< a part that lies free within its play where regularisation puts it; empty: none
  std::vector<Cause> rest_beyond{};  ///< joints that assembly puts beyond their physical end
  std::string rest{};                ///< a joint that assembly moves further than small displacement may; empty: none
  std::string joint{};               ///< the joint that turns furthest
  double joint_rotation_deg = 0.0;
  std::string sliding_joint{};  ///< the joint that slides furthest
  double joint_slide_mm = 0.0;
  double strand_share = 0.0;
  double regularisation_share = 0.0;
  std::string regularised_mode{};    ///< what regularisation holds, in words; may be empty
  std::string moved_figure{};        ///< a printed figure that moves at a tenth of the regularisation; empty: none
  std::vector<Cause> beyond{};       ///< joints beyond their physical end
  std::string slipping{};            ///< friction at its cap, in words; empty: all of it sticks
  bool caps_settled = true;          ///< friction's caps agree with the normal forces
  double cap_change = 0.0;           ///< relative, of the last round
  bool stands = true;                ///< the tangent at the end is that of a stable equilibrium (full)
  std::string steps{};               ///< a figure that moves in finer steps, for friction remembers its way (full)
  bool full = false;                 ///< of full kinematics
  double load_fraction = 1.0;        ///< how far the load was followed (full)
  std::string aside{};               ///< turns out of the plane of a flexion or extension (full); empty: it stays
  std::vector<Cause> small_snaps{};  ///< the same, too short to doubt the answer (full)
  std::vector<Cause> snaps{};  ///< limit points that were slipped over: how it moved, and at which part of the load (full)
  std::string buckles{};       ///< the motion in which assembly's forces buckle what they hold; empty: they do not
};

struct Verdict {
  Status status = Status::no_answer;
  std::vector<Cause> causes{};  ///< empty only when solved
  std::string reason() const;   ///< in one line
};

Verdict judge_load(const Evidence& evidence);

/// The worse of two: no answer, mechanism, approximate, solved.
bool worse(Status a, Status b);

/// A construct is as good as its worst load: each cause of that status, with the loads and figures that show it.
struct ConstructVerdict {
  Status status = Status::no_answer;
  std::string reason{};
};
ConstructVerdict judge_construct(const std::vector<std::pair<std::string, Verdict>>& loads);

}  // namespace opisthion::study
