// SPDX-License-Identifier: MIT
#pragma once
// One load of the bench on a specimen: neutral, path, and what both hang on.
#include <optional>
#include <string>
#include <vector>

#include "solver/core/stability.hpp"
#include "solver/study/full/specimen.hpp"
#include "solver/study/full_figures.hpp"
#include "solver/study/verdict.hpp"

namespace opisthion::study {

/// Middle of the response to a small load and its opposite: what the load's figures count from.
struct FullMiddle {
  bool found = false;
  bool caps_settled = true;
  core::full::State plus{}, minus{};
  core::full::Poses middle{};
  bool from_rest = false;  ///< the small load or its opposite makes a body run away: the middle is the start
};

/// The small load is 0.1 N m, or 2 N, along the load case's own axis or line.
FullMiddle find_middle(const Specimen& specimen, const mesh::LoadCase& load_case, double regularisation,
                       core::full::Workspace& work);
/// The same from what is nearly there already.
FullMiddle refine_middle(const Specimen& specimen, const mesh::LoadCase& load_case, const FullMiddle& from,
                         double regularisation, core::full::Workspace& work);
/// Mean pose of several states, body by body: mean position, nearest rotation to the mean of the rotations.
core::full::Poses mean_of(const std::vector<const core::full::Poses*>& all);

/// The load factor of the small load.
double small_factor(const mesh::LoadCase& load_case);

/// The load with all that was found out about it.
struct FullRun {
  FullMiddle middle{};
  core::full::PathOutcome path{};
  FullFigures figures{};  ///< at the last state, from the middle
  Evidence evidence{};
  Verdict verdict{};
  std::vector<core::Mode> floating{};
  double metal_turn_rad = 0.0;  ///< largest deformational rotation of condensed metal
  bool has_state() const { return !path.steps.empty(); }
  const core::full::State& last() const { return path.steps.back().state; }
  const core::full::SolveOutcome& outcome() const { return path.steps.back().outcome; }
};

/// How closely a load is looked at.
enum class Look {
  roughly,  ///< as figures, but given up early where friction will not settle
  figures,  ///< path, neutral, figures, physical ends
  closely   ///< also what fading regularisation and free modes show
};

/// `opposite`: the middle of the opposite load's run when it is known already: the same response, the other way round.
/// `waypoint_tolerance`: of the residual on the way, relative to the load; for who reads no figure there.
inline constexpr double kWaypointTolerance = 1e-6;
FullRun run_load(const Specimen& specimen, const mesh::LoadCase& load_case, int steps, Look look,
                 core::full::Workspace& work, const FullMiddle* opposite = nullptr,
                 double waypoint_tolerance = kWaypointTolerance);
/// The state at a load greater by this share than at the run's end: what tangent stiffnesses are read from, so that what
/// slides slides on. Nothing where the path did not come to its end or no equilibrium is found.
inline constexpr double kFurther = 1e-3;
std::optional<core::full::State> a_little_further(const Specimen& specimen, const mesh::LoadCase& load_case,
                                                  const FullRun& run, core::full::Workspace& work);
FullMiddle rough_middle(const Specimen& specimen, const mesh::LoadCase& load_case, core::full::Workspace& work);
/// The program's load of a motion, or null.
const mesh::LoadCase* motion_case(const Specimen& specimen, models::Motion motion);
/// Whether two load cases are each other's opposite.
bool opposed(const mesh::LoadCase& a, const mesh::LoadCase& b);

/// Free at a state: does it stiffen under a small push (lax, with the travel), or not (floating)?
core::LaxProbe probe_mode(const Specimen& specimen, const core::full::State& at, const core::Mode& mode, double push_N,
                          core::full::Workspace& work);

}  // namespace opisthion::study
