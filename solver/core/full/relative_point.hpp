// SPDX-License-Identifier: MIT
#pragma once
// A point of body a as body b sees it, y = R_b^T (x_a - p_b), and what any function of y answers to motions of both bodies.
// Segments of strands, pads and slides are such functions.
#include <cassert>

#include "solver/core/full/measures.hpp"

namespace opisthion::core::full {

struct RelativePoint {
  Vector3 arm_a_mm;  ///< from a's reference point to the point, global axes
  Vector3 arm_b_mm;  ///< from b's reference point to the same point, global axes
};

inline RelativePoint relative_point(const Pose& a, const Vector3& arm_mm, const Pose& b) {
  RelativePoint at;
  at.arm_a_mm = a.rotation * arm_mm;
  at.arm_b_mm = a.position_mm + at.arm_a_mm - b.position_mm;
  return at;
}

/// Hessian in theta of n . (theta x (theta x arm)) / 2: the second-order motion of a point along n.
inline Matrix3 turning_hessian(const Vector3& n, const Vector3& arm) {
  return 0.5 * (n * arm.transpose() + arm * n.transpose()) - n.dot(arm) * Matrix3::Identity();
}

/// Bodies of a measure on two; one when they are the same (then it is constant).
inline void take_bodies(BodyId a, BodyId b, Measure& out) {
  out.bodies.resize(a == b ? 1 : 2);
  out.bodies.front() = a;
  out.bodies.back() = b;
}
/// Derivatives of the size that `out.bodies` asks for, all zero.
void clear_derivatives(Order order, Measure& out);

/// Adds the derivatives of phi(y): gradient and Hessian of phi in y are given in global axes (R_b n and R_b B R_b^T). Bodies
/// a and b stand at places `a` and `b` of `out.bodies`, and differ.
void add_derivatives(const RelativePoint& at, const Vector3& slope, const Matrix3& bend, int a, int b, Order order,
                     Measure& out);

}  // namespace opisthion::core::full
