// SPDX-License-Identifier: MIT
#pragma once
// Where the levels of a neck stand against the library's posture: slip that has become a place of rest, how much of it is
// reduced at operation, and the head position at fixation.
#include <Eigen/Geometry>
#include <array>
#include <optional>

#include "models/library/parameter_table.hpp"
#include "models/neck/neck.hpp"

namespace opisthion::mesh {

/// Two poses a level, as global_from_library: at rest the soft tissue is free of strain; as built the hardware goes on, and
/// that is the reference pose of the system.
struct NeckPose {
  using Poses = std::array<Eigen::Isometry3d, models::kLevelCount>;
  Poses rest{};
  Poses built{};
  Eigen::Isometry3d dens_rest = Eigen::Isometry3d::Identity();
  Eigen::Isometry3d dens_built = Eigen::Isometry3d::Identity();
};

/// Forward in a joint, as a slip is read off: along the lower level's upper end plate, that is across the line between the
/// middles of the two end plates; horizontally at C0-C1 and C1-C2. Unit vector in library posture.
Eigen::Vector3d forward_in(models::JointId joint, const models::ParameterReader& number);

/// Nothing for a neck in the library's posture. Rules:
/// - a joint's slip moves its upper level, and all above, forward; what is reduced is missing as built. A fused joint cannot
/// be reduced.
/// - the head turns on C1 about the centre of its condyles' curvature by the angle of the case, and C1 turns on C2 about the
///   ring's reference point by the library's share of it. Only as built: at rest it looks straight ahead. Where callus holds
///   one of the two joints, it holds it as turned.
/// - a loose dens goes where C1 slides while the transverse ligament holds it, and stays on C2 otherwise. It does not turn
///   with C1.
std::optional<NeckPose> neck_pose(const models::Neck& neck, const models::ParameterReader& number);

}  // namespace opisthion::mesh
