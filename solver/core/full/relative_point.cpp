// SPDX-License-Identifier: MIT
#include "solver/core/full/relative_point.hpp"

#include <Eigen/Geometry>

namespace opisthion::core::full {
namespace {

/// m [v]x
Matrix3 times_cross(const Matrix3& m, const Vector3& v) {
  Matrix3 out;
  out.col(0) = m.col(1) * v.z() - m.col(2) * v.y();
  out.col(1) = m.col(2) * v.x() - m.col(0) * v.z();
  out.col(2) = m.col(0) * v.y() - m.col(1) * v.x();
  return out;
}
/// [v]x m
Matrix3 cross_times(const Vector3& v, const Matrix3& m) {
  Matrix3 out;
  out.row(0) = v.y() * m.row(2) - v.z() * m.row(1);
  out.row(1) = v.z() * m.row(0) - v.x() * m.row(2);
  out.row(2) = v.x() * m.row(1) - v.y() * m.row(0);
  return out;
}
Matrix3 minus_cross(const Matrix3& m, const Vector3& v) {
  Matrix3 out = m;
  out(0, 1) += v.z();
  out(0, 2) -= v.y();
  out(1, 0) -= v.z();
  out(1, 2) += v.x();
  out(2, 0) += v.y();
  out(2, 1) -= v.x();
  return out;
}

}  // namespace

void clear_derivatives(Order order, Measure& out) {
  const auto size = 6 * static_cast<Eigen::Index>(out.bodies.size());
  if (order != Order::value) out.gradient.setZero(size);
  if (order == Order::hessian) out.hessian.setZero(size, size);
}

// With arms r (from a) and s (from b) to the point, in global axes, the point moves as b sees it by
//   d = u_a - u_b + theta_a x r - theta_b x s  to first order, and to second by
//   theta_a x (theta_a x r)/2 - theta_b x (u_a - u_b + theta_a x r) + theta_b x (theta_b x s)/2.
// So with n, B in global axes the second variation is d^T B d, H(n, r) on theta_a, H(n, s) on theta_b, and
// theta_b . (n x (u_a - u_b + theta_a x r)) between them.
void add_derivatives(const RelativePoint& at, const Vector3& slope, const Matrix3& bend, int a, int b, Order order,
                     Measure& out) {
  if (order == Order::value) return;
  assert(a != b && "a point that rides on the body that sees it stands still");
  const Vector3& r = at.arm_a_mm;
  const Vector3& s = at.arm_b_mm;
  const Eigen::Index ua = 6 * a;
  const Eigen::Index ta = ua + 3;
  const Eigen::Index ub = 6 * b;
  const Eigen::Index tb = ub + 3;
  out.gradient.segment<3>(ua) += slope;
  out.gradient.segment<3>(ta) += r.cross(slope);
  out.gradient.segment<3>(ub) -= slope;
  out.gradient.segment<3>(tb) -= s.cross(slope);
  if (order != Order::hessian) return;

  const Matrix3 by_a = times_cross(bend, r);
  const Matrix3 by_b = minus_cross(times_cross(bend, s), slope);  // u_a against theta_b: B [s]x - [n]x
  const Matrix3 a_a = turning_hessian(slope, r) - cross_times(r, by_a);
  const Matrix3 a_b = cross_times(r, by_b);
  const Matrix3 b_b = turning_hessian(slope, s) - cross_times(s, times_cross(bend, s));
  Eigen::MatrixXd& h = out.hessian;
  h.block<3, 3>(ua, ua) += bend;
  h.block<3, 3>(ua, ta) -= by_a;
  h.block<3, 3>(ta, ua) -= by_a.transpose();
  h.block<3, 3>(ta, ta) += a_a;
  h.block<3, 3>(ub, ub) += bend;
  h.block<3, 3>(ub, tb) -= by_b;
  h.block<3, 3>(tb, ub) -= by_b.transpose();
  h.block<3, 3>(tb, tb) += b_b;
  h.block<3, 3>(ua, ub) -= bend;
  h.block<3, 3>(ub, ua) -= bend;
  h.block<3, 3>(ua, tb) += by_b;
  h.block<3, 3>(tb, ua) += by_b.transpose();
  h.block<3, 3>(ta, ub) += by_a.transpose();
  h.block<3, 3>(ub, ta) += by_a;
  h.block<3, 3>(ta, tb) += a_b;
  h.block<3, 3>(tb, ta) += a_b.transpose();
}

}  // namespace opisthion::core::full
