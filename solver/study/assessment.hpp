// SPDX-License-Identifier: MIT
#pragma once
// What an assessment says, as values: no text layout, no files. Results and report turn these into JSON, HDF5 and tables.
#include <array>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include <Eigen/Core>

#include "models/case/case.hpp"
#include "solver/study/fit.hpp"

namespace opisthion::study {

enum class Status { solved, approximate, mechanism, no_answer };
std::string_view name(Status status);  ///< "solved", "approximate", "mechanism", "no answer"

/// What a row of an assessment is: the neck as it was, as it is hurt, or with metal on it.
enum class RowKind { intact, injured, construct };
std::string_view name(RowKind row);  ///< "intact", "injured", "construct"

inline constexpr double kRotationResolution_deg = 0.3;  ///< below it: below bench resolution
inline constexpr double kTravelResolution_mm = 0.2;

/// The canal and the atlas at a load [mm].
struct Measures {
  std::optional<double> atlas_dens_interval_mm{};
  std::optional<double> cord_room_mm{};
  std::optional<double> c1_slip_mm{};  ///< change from neutral, forward positive
};

struct JointMotion {
  std::string joint{};                          ///< "C1-C2"
  double rotation_deg = 0.0;                    ///< about the load axis, positive in the motion asked for
  std::array<double, 3> rotations_deg{};        ///< flexion, bending, rotation: Cardan, lower body's axes, from neutral
  std::array<double, 3> rotation_vector_deg{};  ///< x y z
  std::array<double, 3> translation_mm{};       ///< x y z of the upper body's named point, from neutral
  std::string translation_point{};              ///< which point
  bool floats = false;                          ///< a floating body: its figures mean nothing and are not printed
};

struct SolveRecord {
  double load_fraction = 0.0;
  int iterations = 0;
  double residual = 0.0;
  double regularisation_work_share = 0.0;
  double strand_energy_share = 0.0;
  double discretisation_error = 0.0;  ///< relative change of the rotation from h to h/2
  int branches = 0;                   ///< full: times that an unstable equilibrium was left along its mode
};

/// One energy share: which part carries the load.
struct EnergyShare {
  std::string item{};
  double share = 0.0;
};

/// Tension of a wire (of its strands, the least and the largest) in a state [N].
struct WireTension {
  std::string name{};
  double least_N = 0.0;
  double largest_N = 0.0;
};

/// What assembly tightened: the force asked for, and what is left of it at rest [N].
struct TightenedItem {
  std::string name{};
  double asked_N = 0.0;
  double at_rest_N = 0.0;
};

/// The motion imposed: turned as far as the intact neck turned under the bench's moment.
struct HybridJoint {
  std::string joint{};
  double rotation_deg = 0.0;
};
struct HybridMotion {
  Status status = Status::no_answer;
  std::string reason{};      ///< why it is not solved
  double target_deg = 0.0;   ///< of the intact neck
  double reached_deg = 0.0;  ///< the same but for the Cardan angle against the rotation vector
  double moment_Nm = 0.0;    ///< that it takes
  std::vector<HybridJoint> joints{};
};

struct MotionResult {
  models::Motion motion = models::Motion::flexion;
  Status status = Status::no_answer;
  std::string reason{};
  std::string kinematics{};  ///< "small" or "full"; empty: the construct's
  double moment_Nm = 0.0;
  bool beyond_physical_end = false;  ///< small displacement left anatomy: figures withheld (not a number)
  double rotation_deg = 0.0;
  std::optional<double> percent_of_intact{};  ///< of the rotation; only where both are solved (shares.hpp)
  std::optional<double> percent_of_injured{};
  double secant_stiffness_Nm_per_deg = 0.0;
  double tangent_stiffness_Nm_per_deg = 0.0;  ///< at the maximum
  double lax_zone_deg = 0.0;                  ///< neutral to 0.1 N m
  std::vector<JointMotion> joints{};
  Measures measures{};
  std::vector<EnergyShare> energy{};     ///< largest first, at most six
  std::vector<std::string> slipping{};   ///< what slides: friction at its cap at the maximum
  std::vector<WireTension> wires{};      ///< at the maximum
  std::optional<HybridMotion> hybrid{};  ///< where the bench asks for it
  SolveRecord solve{};
};

struct ForceResult {
  std::string id{};    ///< "shear/C1/+"
  std::string name{};  ///< "forward shear on C1"
  std::string line{};
  Status status = Status::no_answer;
  std::string reason{};
  std::string kinematics{};          ///< as in MotionResult
  double force_N = 0.0;              ///< signed
  bool beyond_physical_end = false;  ///< small displacement left anatomy: figures withheld (not a number)
  double lax_zone_mm = 0.0;          ///< neutral to 2 N along the line
  double travel_mm = 0.0;            ///< along the load's line, signed like the force
  double stiffness_N_per_mm = 0.0;
  Measures measures{};
  std::vector<std::string> slipping{};  ///< as in MotionResult
  std::vector<WireTension> wires{};
  SolveRecord solve{};
};

/// Moments about several axes at once (full kinematics alone).
struct CombinedResult {
  std::string id{};
  std::string name{};
  Status status = Status::no_answer;
  std::string reason{};
  double moment_Nm = 0.0;                 ///< length of the moment vector
  std::array<double, 3> rotations_deg{};  ///< overall: flexion, bending, rotation (Cardan)
  std::vector<JointMotion> joints{};
  Measures measures{};
  SolveRecord solve{};
};

/// A soft motion by name. unit says how stiffness reads: "N/mm" or "N m/deg".
struct SoftMotion {
  std::string what{};
  double stiffness = 0.0;
  std::string unit{};
};

/// A free motion: lax (stiffens after some travel: healthy) or floating (nothing controls it, the load does no work on it).
struct FreeMotion {
  std::string what{};
  bool lax = false;
  double travel = 0.0;
  std::string unit{};  ///< "mm" or "deg"
};

/// Friction is known within wide limits, and wires work loose: how much of the answer hangs on both.
enum class FrictionLevel { frictionless, nominal, stuck };
enum class WireState { fresh, slack };
std::string_view name(FrictionLevel level);  ///< "frictionless", "nominal", "stuck"
std::string_view name(WireState state);      ///< "fresh", "slack"
inline constexpr std::array<FrictionLevel, 3> kFrictionLevels{FrictionLevel::frictionless, FrictionLevel::nominal,
                                                              FrictionLevel::stuck};
inline constexpr std::array<WireState, 2> kWireStates{WireState::fresh, WireState::slack};

struct FrictionCell {
  Status status = Status::no_answer;
  double rotation_deg = 0.0;  ///< about the load axis; means something where the status has figures
  bool run = false;
};
struct FrictionMotion {
  models::Motion motion = models::Motion::flexion;
  std::array<std::array<FrictionCell, 3>, 2> cells{};  ///< [WireState][FrictionLevel]
};
/// Of a construct with friction. Slack cells stay not run where nothing is tightened.
struct FrictionRange {
  std::vector<FrictionMotion> motions{};
};

struct ConstructResult {
  RowKind row = RowKind::construct;
  std::string name{};
  std::string kinematics = "small";
  /// Of one load: its own kinematics where it has one.
  bool in_full(const std::string& of_load) const { return (of_load.empty() ? kinematics : of_load) == "full"; }
  Status status = Status::no_answer;  ///< the worst of its loads
  std::string reason{};
  std::vector<AnchorFit> fit{};           ///< does this neck take its anchors? Told of every construct, solved or not
  std::vector<TightenedItem> assembly{};  ///< in the order of tightening; empty when nothing is tightened
  std::vector<std::string> notes{};       ///< how the model stands in for what it cannot follow
  Measures at_rest{};
  std::vector<JointMotion>
      rest{};  ///< what assembly did to each joint, from the pose as built; empty where nothing was assembled
  std::vector<MotionResult> motions{};
  std::vector<ForceResult> shear{};
  std::vector<ForceResult> axial{};
  std::vector<ForceResult> heads{};         ///< a test rig's loads at anchor heads
  std::vector<CombinedResult> combined{};   ///< moments about several axes at once
  std::optional<FrictionRange> friction{};  ///< where friction acts: the wide limits of the answer
  std::vector<SoftMotion> softest{};
  std::vector<FreeMotion> free{};
  SolveRecord solve{};  ///< the worst over its loads
  double foundation_factor = 0.0;
  std::set<std::string, std::less<>> parameters_read{};
};

/// Two constructs in one motion whose difference a bench could not see.
struct Indistinct {
  models::Motion motion = models::Motion::flexion;
  std::string a{};
  std::string b{};
  double difference_deg = 0.0;
};

struct Assessment {
  std::string case_name{};
  models::Bench bench{};
  double foundation_factor = 0.0;
  std::vector<models::ParameterChange> changes{};  ///< numbers that the case sets otherwise than the library
  std::vector<ConstructResult> constructs{};       ///< rows: intact and injured neck first where they were asked for
  std::vector<Indistinct> indistinct{};
  std::set<std::string, std::less<>> parameters_read{};
};

}  // namespace opisthion::study
