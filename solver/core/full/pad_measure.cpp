// SPDX-License-Identifier: MIT
// Closing of the first-order distance of a point to a paraboloid that rides on another body.
#include <cmath>

#include "solver/core/full/relative_point.hpp"

namespace opisthion::core::full {
namespace {

/// g = f/|grad f| with f = z - (s x^2 + c y^2)/2, grad f = (-s x, -c y, 1), Hessian diag(-s, -c, 0).
struct Distance {
  double value = 0.0;
  double steep = 1.0;                 ///< |grad f|
  Vector3 normal = Vector3::UnitZ();  ///< grad f / |grad f|
  Vector3 bending = Vector3::Zero();  ///< diagonal of the Hessian of f
};

Distance distance_at(const PadGeometry& pad, const Vector3& y) {
  Distance out;
  out.bending = Vector3(-pad.curvature_sagittal_per_mm, -pad.curvature_coronal_per_mm, 0.0);
  const Vector3 gradient(out.bending.x() * y.x(), out.bending.y() * y.y(), 1.0);
  out.steep = gradient.norm();
  out.normal = gradient / out.steep;
  out.value = (y.z() + 0.5 * (gradient.x() * y.x() + gradient.y() * y.y())) / out.steep;
  return out;
}

}  // namespace

PadGeometry pad_geometry(const mesh::System& system, const mesh::Pad& pad) {
  PadGeometry out;
  out.a = pad.a.body;
  out.b = pad.b;
  out.arm_mm = pad.a.point_mm - mesh::body(system, pad.a.body).position_mm;
  out.vertex_arm_mm = pad.vertex_mm - mesh::body(system, pad.b).position_mm;
  out.surface = pad.global_from_surface;
  out.curvature_sagittal_per_mm = pad.curvature_sagittal_per_mm;
  out.curvature_coronal_per_mm = pad.curvature_coronal_per_mm;
  Measure at_rest;
  measure(out, reference_poses(system), Order::value, at_rest);
  out.reference_distance_mm = -at_rest.value;  // measured from zero: minus the distance itself
  return out;
}

void measure(const PadGeometry& pad, std::span<const Pose> poses, Order order, Measure& out) {
  take_bodies(pad.a, pad.b, out);
  clear_derivatives(order, out);
  const Pose& seen_by = pose_of(poses, pad.b);
  const RelativePoint at = relative_point(pose_of(poses, pad.a), pad.arm_mm, seen_by);
  const Vector3 y = pad.surface.transpose() * (seen_by.rotation.transpose() * at.arm_b_mm - pad.vertex_arm_mm);
  const Distance g = distance_at(pad, y);
  out.value = pad.reference_distance_mm - g.value;
  if (order == Order::value || pad.a == pad.b) return;
  // With n the normal, q the steepness, H the Hessian of f: grad g = n - (g/q) H n, and the Hessian of g is
  // (H - n (H n)^T - (H n) n^T - (g/q) H H + 3 (g/q) (H n)(H n)^T)/q.
  const Matrix3 global_from_surface = seen_by.rotation * pad.surface;
  const Vector3 turned = g.bending.cwiseProduct(g.normal);
  const double off = g.value / g.steep;  // g over q
  const Vector3 slope = g.normal - off * turned;
  Matrix3 bend = Matrix3::Zero();
  if (order == Order::hessian) {
    bend.diagonal() = g.bending - off * g.bending.cwiseAbs2();
    bend += 3.0 * off * (turned * turned.transpose()) - g.normal * turned.transpose() - turned * g.normal.transpose();
    bend = global_from_surface * (bend / -g.steep) * global_from_surface.transpose();
  }
  add_derivatives(at, global_from_surface * -slope, bend, 0, 1, order, out);
}

}  // namespace opisthion::core::full
