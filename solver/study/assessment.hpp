// SPDX-License-Identifier: MIT
#pragma once
// What an assessment says, as values: no text layout, no files. Results and report turn these into JSON, HDF5 and tables.
#include <array>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include <Eigen/Core>

#include "models/case/case.hpp"
#include "solver/study/fit.hpp"

namespace opisthion::study {

enum class Status { solved, approximate, mechanism, no_answer };
std::string_view name(Status status);  ///< "solved", "approximate", "mechanism", "no answer"

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

struct MotionResult {
  models::Motion motion = models::Motion::flexion;
  Status status = Status::no_answer;
  std::string reason{};
  double moment_Nm = 0.0;
  bool beyond_physical_end = false;  ///< small displacement left anatomy: figures withheld (not a number)
  double rotation_deg = 0.0;
  double secant_stiffness_Nm_per_deg = 0.0;
  double tangent_stiffness_Nm_per_deg = 0.0;  ///< at the maximum
  double lax_zone_deg = 0.0;                  ///< neutral to 0.1 N m
  std::vector<JointMotion> joints{};
  Measures measures{};
  std::vector<EnergyShare> energy{};    ///< largest first, at most six
  std::vector<std::string> slipping{};  ///< what slides: friction at its cap at the maximum
  std::vector<WireTension> wires{};     ///< at the maximum
  SolveRecord solve{};
};

struct ForceResult {
  std::string id{};    ///< "shear/C1/+"
  std::string name{};  ///< "forward shear on C1"
  std::string line{};
  Status status = Status::no_answer;
  std::string reason{};
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

struct ConstructResult {
  std::string name{};
  std::string kinematics = "small";
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
  std::vector<ForceResult> heads{};  ///< a test rig's loads at anchor heads
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
  std::vector<ConstructResult> constructs{};
  std::vector<Indistinct> indistinct{};
  std::set<std::string, std::less<>> parameters_read{};
};

}  // namespace opisthion::study
