// SPDX-License-Identifier: MIT
#include "solver/core/full/pose.hpp"

namespace opisthion::core::full {

Poses reference_poses(const mesh::System& system) {
  Poses poses(system.bodies.size());
  for (std::size_t i = 0; i < poses.size(); ++i) poses[i].position_mm = system.bodies[i].position_mm;
  return poses;
}

Pose moved(const Pose& pose, const Vector6& step) {
  Pose out = pose;
  out.position_mm += step.head<3>();
  const Vector3 theta = step.tail<3>();
  if (theta.isZero(0.0)) return out;
  const Matrix3 turned = exp_rotation(theta) * pose.rotation;
  // one step towards the orthogonal factor: products of thousands of rotations would drift away from it
  out.rotation = 1.5 * turned - 0.5 * turned * (turned.transpose() * turned);
  return out;
}

Pose half_way(const Pose& a, const Pose& b) {
  const Vector3 whole = log_rotation(a.rotation.transpose() * b.rotation);
  return {0.5 * (a.position_mm + b.position_mm), a.rotation * exp_rotation(0.5 * whole)};
}

Vector3 point_now(const mesh::System& system, std::span<const Pose> poses, const mesh::Attachment& at) {
  const Pose& pose = pose_of(poses, at.body);
  return pose.position_mm + pose.rotation * (at.point_mm - mesh::body(system, at.body).position_mm);
}

}  // namespace opisthion::core::full
