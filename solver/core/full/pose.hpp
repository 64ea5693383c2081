// SPDX-License-Identifier: MIT
#pragma once
// Where bodies are. A step (dp, dtheta) moves a pose to p + dp, exp([dtheta]x) R: the exponential retraction along which all
// gradients and Hessians of this folder are taken.
#include <span>
#include <vector>

#include "solver/core/full/rotation.hpp"

namespace opisthion::core::full {

using mesh::BodyId;
using mesh::Matrix6;
using mesh::Vector6;

struct Pose {
  Vector3 position_mm = Vector3::Zero();   ///< of the body's reference point
  Matrix3 rotation = Matrix3::Identity();  ///< global_from_body; identity in the reference pose
};
/// One per body of the system; bodies that are held or condensed away stay in the reference pose.
using Poses = std::vector<Pose>;

Poses reference_poses(const mesh::System& system);
Pose moved(const Pose& pose, const Vector6& step);
/// The pose half way: mean of the positions, geodesic mean of the rotations.
Pose half_way(const Pose& a, const Pose& b);

inline const Pose& pose_of(std::span<const Pose> poses, BodyId id) {
  return poses[static_cast<std::size_t>(id.value)];
}
/// Where a point that stood at `at.point_mm` in the reference pose is now. Held bodies included.
Vector3 point_now(const mesh::System& system, std::span<const Pose> poses, const mesh::Attachment& at);

/// How much an evaluation is asked for: each includes the ones before.
enum class Order { value, gradient, hessian };

/// What an element answers: energy, and derivatives on the bodies it touches, six unknowns each, in their order. The Hessian
/// is symmetric, both triangles filled. Sizes grow when needed and are kept, so that evaluations do not allocate.
struct Answer {
  double energy_Nmm = 0.0;
  Eigen::VectorXd gradient{};
  Eigen::MatrixXd hessian{};
};

}  // namespace opisthion::core::full
