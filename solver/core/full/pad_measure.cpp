// SPDX-License-Identifier: MIT
// Closing of the first-order distance of a point to a paraboloid that rides on another body.
#include <cmath>

#include "solver/core/full/point_measure.hpp"
#include "solver/core/full/three_by_three.hpp"

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

PointMeasure point_measure(const PadGeometry& pad, std::span<const Pose> poses, Order order, double acts_from) {
  const Pose& seen_by = pose_of(poses, pad.b);
  PointMeasure out;
  out.at = relative_point(pose_of(poses, pad.a), pad.arm_mm, seen_by);
  const Vector3 y =
      transposed_product(pad.surface, Vector3(transposed_product(seen_by.rotation, out.at.arm_b_mm) - pad.vertex_arm_mm));
  const Distance g = distance_at(pad, y);
  out.value = pad.reference_distance_mm - g.value;
  if (order == Order::value || pad.a == pad.b || out.value < acts_from) return out;
  out.moves = true;
  // With n the normal, q the steepness, H the Hessian of f: grad g = n - (g/q) H n, and the Hessian of g is
  // (H - n (H n)^T - (H n) n^T - (g/q) H H + 3 (g/q) (H n)(H n)^T)/q.
  const Matrix3 global_from_surface = product(seen_by.rotation, pad.surface);
  const Vector3 turned = g.bending.cwiseProduct(g.normal);
  const double off = g.value / g.steep;  // g over q
  out.slope = product(global_from_surface, Vector3(off * turned - g.normal));
  if (order != Order::hessian) return out;
  Matrix3 bend = Matrix3::Zero();
  bend.diagonal() = g.bending - off * g.bending.cwiseAbs2();
  add_outer(3.0 * off * turned - g.normal, turned, bend);
  add_outer(-turned, g.normal, bend);
  bend *= -1.0 / g.steep;
  out.bend = product(product(global_from_surface, bend), transposed(global_from_surface));
  return out;
}

void measure(const PadGeometry& pad, std::span<const Pose> poses, Order order, Measure& out) {
  take_bodies(pad.a, pad.b, out);
  clear_derivatives(order, out);
  take(point_measure(pad, poses, order), order, out);
}

}  // namespace opisthion::core::full
