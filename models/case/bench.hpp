// SPDX-License-Identifier: MIT
#pragma once
#include <Eigen/Core>
#include <optional>
#include <string>
#include <vector>

#include "models/neck/level.hpp"

namespace opisthion::models {

/// The six loading directions. +My on the upper body is flexion, +Mx right bending, +Mz left rotation.
enum class Motion { flexion, extension, left_bending, right_bending, left_rotation, right_rotation };
inline constexpr std::array<Motion, 6> kMotions{Motion::flexion,       Motion::extension,     Motion::left_bending,
                                                Motion::right_bending, Motion::left_rotation, Motion::right_rotation};
std::string_view name(Motion motion);   ///< "left_rotation"
std::string_view title(Motion motion);  ///< "left rotation"
std::optional<Motion> motion_from_name(std::string_view text);
/// Unit moment on the upper body, global frame: flexion is +y, left bending is -x, left rotation is +z.
Eigen::Vector3d moment_axis(Motion motion);

/// Anteroposterior shear: a pair of runs, +force forward and -force backward, through the level's reference point.
struct ShearLoad {
  Level level = Level::C1;
  double force_N = 50.0;
  friend bool operator==(const ShearLoad&, const ShearLoad&) = default;
};

/// Where a vertical (z) axial load acts. body: through the body centre of the loaded level, C2 or below.
enum class AxialLine { lateral_masses, dens, condyles, body };

/// Axial load along a stated line: +force is traction, -force compression; both are run.
struct AxialLoad {
  Level level = Level::C1;
  double force_N = 50.0;
  AxialLine line = AxialLine::lateral_masses;
  friend bool operator==(const AxialLoad&, const AxialLoad&) = default;
};

/// A test rig's force at the head of one anchor, along a direction; both senses are run.
struct HeadLoad {
  std::string name{};
  std::string anchor{};  ///< an anchor of the construct; constructs without it skip this load
  double force_N = 25.0;
  Eigen::Vector3d direction = Eigen::Vector3d::UnitZ();  ///< global frame, normalised by the reader
  friend bool operator==(const HeadLoad&, const HeadLoad&) = default;
};

/// Above this a moment is a slip of units, not a bench (a neck fails at some 10 to 50 N m).
inline constexpr double kLargestMoment_Nmm = 20'000.0;

/// How the specimen is potted, loaded and measured.
struct Bench {
  std::optional<Level> top{};  ///< potted and loaded; without it no moments are run
  Level bottom = Level::C2;    ///< potted and held
  double moment_Nmm = 1500.0;  ///< maximum of each of the six motions
  std::vector<ShearLoad> shear{};
  std::vector<AxialLoad> axial{};
  std::vector<HeadLoad> heads{};
  friend bool operator==(const Bench&, const Bench&) = default;
};

}  // namespace opisthion::models
