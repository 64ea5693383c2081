// SPDX-License-Identifier: MIT
#pragma once
// Rotations as matrices and rotation vectors (THEORY 7). theta: axis times angle [rad].
#include "mesh/system/system.hpp"

namespace opisthion::core::full {

using mesh::Matrix3;
using mesh::Vector3;

/// [v]x: cross_matrix(v) * w = v x w.
Matrix3 cross_matrix(const Vector3& v);
/// exp([theta]x), Rodrigues; exact to rounding for every angle, small ones included.
Matrix3 exp_rotation(const Vector3& theta);
/// cos(a/2) >= 0 and sin(a/2) axis of a rotation, times a common positive factor.
struct Quaternion {
  double scalar = 1.0;
  Vector3 vector = Vector3::Zero();
};
/// The largest component is taken from the matrix first (Shepperd 1978, from memory), so that none loses its digits.
Quaternion quaternion_of(const Matrix3& rotation);
/// Rotation vector with angle in [0, pi].
Vector3 log_rotation(const Matrix3& rotation);
/// The rotation vector of the same rotation whose branch (angle plus a multiple of 2 pi about the same axis) is nearest to
/// the one given: a body that a load turns past 180 deg keeps its history.
Vector3 log_near(const Matrix3& rotation, const Vector3& previous);
/// L(theta): exp(theta + d) = exp(L d) exp(theta) to first order.
Matrix3 left_jacobian(const Vector3& theta);
/// L^-1(theta): log(exp(e) exp(theta)) = theta + L^-1 e to first order. Singular at multiples of 2 pi other than zero.
Matrix3 left_jacobian_inverse(const Vector3& theta);
/// Symmetric Hessian in e of m . log(exp(e) exp(theta)) at e = 0.
Matrix3 log_hessian(const Vector3& theta, const Vector3& m);

/// L^-1(theta) = I - [theta]x/2 + c [theta]x^2: c and c'(a)/a, a the angle. For inner loops that need both of the above.
struct LogSeries {
  double c = 0.0;
  double slope_over_angle = 0.0;
};
LogSeries log_series(double angle_squared);
Matrix3 left_jacobian_inverse(const Vector3& theta, const LogSeries& series);
Matrix3 log_hessian(const Vector3& theta, const Vector3& m, const LogSeries& series);
/// Nearest rotation to a 3x3 (polar factor, det +1). The matrix must not be within rounding of a reflection's.
Matrix3 polar_rotation(const Matrix3& m);

}  // namespace opisthion::core::full
