// SPDX-License-Identifier: MIT
#pragma once
#include <Eigen/Core>
#include <array>
#include <optional>
#include <string>
#include <string_view>
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

/// What a moment means once the body that it acts on has turned far. The three agree while rotations are small.
enum class MomentKind {
  conservative,   ///< dual to the body's rotation vector: its work depends on where the body ends, not on the way there
  fixed_axis,     ///< about an axis fixed in the room, as of a rope drum on the floor
  head_following  ///< about an axis that turns with the loaded level, as of a motor bolted to it
};

/// Where the follower load's cable passes one level: so far forward of where the path starts from there (backward:
/// negative).
struct FollowerGuide {
  Level level = Level::C3;
  double forward_mm = 0.0;
  friend bool operator==(const FollowerGuide&, const FollowerGuide&) = default;
};

/// Preload of a cable that runs from the top to the bottom through one guide a level, so that it presses along the neck
/// whichever way the neck bends. Guides start midway between the condyles (C0), midway between the lateral masses (C1) and
/// at the body centres (C2 and below); those that are not stated here are moved back and forth within their bone, and
/// sideways in a neck that is not symmetric, until the preload alone turns no level.
struct FollowerLoad {
  double force_N = 100.0;
  std::vector<FollowerGuide> guides{};
  friend bool operator==(const FollowerLoad&, const FollowerLoad&) = default;
};

/// A force on the top that is there from neutral on, under every load: dead weight pulls down, traction up. It acts at the
/// point that the line's words name (in the neck's neutral posture), so far forward of it and above it.
struct TopForce {
  double force_N = 40.0;
  AxialLine line = AxialLine::condyles;
  double forward_mm = 0.0;
  double above_mm = 0.0;
  friend bool operator==(const TopForce&, const TopForce&) = default;
};

/// Moments about several axes at once, each a share of the bench's moment.
struct CombinedPart {
  Motion motion = Motion::flexion;
  double share = 1.0;  ///< 0..1
  friend bool operator==(const CombinedPart&, const CombinedPart&) = default;
};
struct CombinedLoad {
  std::string name{};
  std::vector<CombinedPart> parts{};
  friend bool operator==(const CombinedLoad&, const CombinedLoad&) = default;
};
/// Moment on the upper body as a share of the bench's, global frame: sum of share times axis.
Eigen::Vector3d moment_share(const CombinedLoad& load);

/// Above this a moment is a slip of units, not a bench (a neck fails at some 10 to 50 N m).
inline constexpr double kLargestMoment_Nmm = 20'000.0;
/// Follower loads of neck benches, about the weight of a head and the pull of its muscles: 0 to 150 N, common practice.
inline constexpr double kLargestFollower_N = 150.0;
inline constexpr int kFewestSteps = 2;
inline constexpr int kMostSteps = 100;
/// One cycle would be loading alone: what friction keeps shows in the second at the earliest.
inline constexpr int kFewestCycles = 2;
inline constexpr int kUsualCycles = 3;  ///< where a bench states none: preconditioning twice, common practice
inline constexpr int kMostCycles = 5;
/// No number stated.
inline constexpr int kUnstatedCycles = 0;

/// How the specimen is potted, loaded and measured.
struct Bench {
  std::optional<Level> top{};  ///< potted and loaded; without it no moments are run
  Level bottom = Level::C2;    ///< potted and held
  double moment_Nmm = 1500.0;  ///< maximum of each of the six motions
  std::vector<ShearLoad> shear{};
  std::vector<AxialLoad> axial{};
  std::vector<HeadLoad> heads{};
  MomentKind moment_kind = MomentKind::conservative;
  int steps = 10;  ///< equal steps from neutral to the maximum of each load
  /// Times that curves load to both ends of a pair of motions and back, the last one told; unstated: kUsualCycles.
  int cycles = kUnstatedCycles;
  bool hybrid =
      false;  ///< constructs are also turned as far as the intact neck turned, and the moment that takes is reported
  std::optional<FollowerLoad> follower{};
  std::optional<TopForce> dead_weight{};
  std::optional<TopForce> traction{};
  std::vector<CombinedLoad> combined{};
  /// States of one specimen in the order in which it is tested: rows of the results by name ("intact", "injured",
  /// constructs).
  std::vector<std::string> sequence{};
  friend bool operator==(const Bench&, const Bench&) = default;
};

}  // namespace opisthion::models
