// SPDX-License-Identifier: MIT
// Sliding along, and turning about, a direction that rides on a body.
#include <Eigen/Geometry>

#include "solver/core/full/point_measure.hpp"
#include "solver/core/full/three_by_three.hpp"

namespace opisthion::core::full {
namespace {

SlideGeometry slide_geometry(const mesh::System& system, const mesh::Attachment& a, BodyId b, const Vector3& direction) {
  SlideGeometry out;
  out.a = a.body;
  out.b = b;
  out.arm_mm = a.point_mm - mesh::body(system, a.body).position_mm;
  out.direction = direction;
  Measure at_rest;
  measure(out, reference_poses(system), Order::value, at_rest);
  out.reference_mm = at_rest.value;
  return out;
}

}  // namespace

SlideGeometry arch_geometry(const mesh::System& system, const mesh::Ring& ring) {
  return slide_geometry(system, {ring.dens, ring.axis_point_mm}, ring.ring, ring.anterior);
}

SlideGeometry ring_ligament_geometry(const mesh::System& system, const mesh::Ring& ring) {
  return slide_geometry(system, {ring.dens, ring.axis_point_mm}, ring.ring, -ring.ligament_gain * ring.anterior);
}

SlideGeometry slip_geometry(const mesh::System& system, const mesh::Slip& slip) {
  assert(!slip.turning);
  return slide_geometry(system, slip.a, slip.b, slip.direction);
}

PointMeasure point_measure(const SlideGeometry& slide, std::span<const Pose> poses, Order order) {
  const Pose& seen_by = pose_of(poses, slide.b);
  PointMeasure out;
  out.at = relative_point(pose_of(poses, slide.a), slide.arm_mm, seen_by);
  out.slope = product(seen_by.rotation, slide.direction);
  out.value = out.slope.dot(out.at.arm_b_mm) - slide.reference_mm;
  out.moves = order != Order::value && slide.a != slide.b;
  if (out.moves) out.bend.setZero();
  return out;
}

void measure(const SlideGeometry& slide, std::span<const Pose> poses, Order order, Measure& out) {
  take_bodies(slide.a, slide.b, out);
  clear_derivatives(order, out);
  take(point_measure(slide, poses, order), order, out);
}

TurnGeometry turn_geometry(const mesh::Slip& slip) {
  assert(slip.turning);
  return {slip.a.body, slip.b, slip.direction};
}

void measure(const TurnGeometry& turn, std::span<const Pose> poses, Order order, Measure& out) {
  take_bodies(turn.a, turn.b, out);
  clear_derivatives(order, out);
  const Matrix3& rotation_b = pose_of(poses, turn.b).rotation;
  const Vector3 theta = log_rotation(rotation_b.transpose() * pose_of(poses, turn.a).rotation);
  out.value = turn.a == turn.b ? 0.0 : turn.direction.dot(theta);
  if (order == Order::value || turn.a == turn.b) return;
  // In b's axes, with spins v of a and w of b: exp(-w) exp(v) S, and log(exp(-w) exp(v)) = v - w - w x v/2 to second order.
  // So with m = L^-T direction and M the Hessian of direction . log(exp(e) S): gradient (m, -m), second variation
  // (v - w)^T M (v - w) - m . (w x v), of which w . (m x v)/2 each way.
  const Vector3 m = rotation_b * (left_jacobian_inverse(theta).transpose() * turn.direction);
  out.gradient.segment<3>(3) = m;
  out.gradient.segment<3>(9) = -m;
  if (order != Order::hessian) return;
  const Matrix3 bend = rotation_b * log_hessian(theta, turn.direction) * rotation_b.transpose();
  const Matrix3 b_a = 0.5 * cross_matrix(m) - bend;
  out.hessian.block<3, 3>(3, 3) = bend;
  out.hessian.block<3, 3>(9, 9) = bend;
  out.hessian.block<3, 3>(9, 3) = b_a;
  out.hessian.block<3, 3>(3, 9) = b_a.transpose();
}

}  // namespace opisthion::core::full
