// SPDX-License-Identifier: MIT
#include "solver/core/full/rotation.hpp"

#include <Eigen/LU>
#include <Eigen/SVD>
#include <array>
#include <cmath>

#include "solver/core/full/three_by_three.hpp"

namespace opisthion::core::full {
namespace {

constexpr double kPi = 3.14159265358979323846;

/// |B_2k|/(2k)!, B_2k the Bernoulli numbers: c(a) = sum over k >= 1 of these times a^(2k-2), from the series of x cot x.
constexpr std::array<double, 15> kBernoulli = {
    0.08333333333333333,    0.001388888888888889,   3.306878306878307e-05,  8.267195767195768e-07, 2.08767569878681e-08,
    5.284190138687493e-10,  1.3382536530684679e-11, 3.3896802963225827e-13, 8.586062056277845e-15, 2.174868698558062e-16,
    5.5090028283602295e-18, 1.3954464685812522e-19, 3.534707039629467e-21,  8.953517427037546e-23, 2.267952452337683e-24};
// Terms fall by (a / 2 pi)^2 each. Up to here all of them reach rounding, and the closed form would lose two digits or more.
constexpr double kSeriesUpTo = 2.25;
// Up to here the first eight do.
constexpr double kShortSeriesUpTo = 0.25;
constexpr std::size_t kShortSeries = 8;

/// (a - sin a)/a^3 by its series below this square of the angle: the closed form loses digits like 6/a^2.
constexpr double kSineSeriesUpTo = 0.25;

// An angle below this has no axis to speak of.
constexpr double kNoAngle = 1e-12;

struct SineParts {
  double first = 1.0;   ///< sin a / a
  double second = 0.5;  ///< (1 - cos a) / a^2
};

/// By the half angle neither loses digits anywhere.
SineParts sine_parts(double angle_squared) {
  // below, a^2/6 is under rounding
  if (angle_squared < 1e-30) return {};
  const double half = 0.5 * std::sqrt(angle_squared);
  const double s = std::sin(half) / half;
  return {s * std::cos(half), 0.5 * s * s};
}

/// a I + b [t]x + c [t]x^2, with [t]x^2 = t t^T - t.t I.
Matrix3 combined(const Vector3& t, double a, double b, double c) {
  const double diagonal = a - c * t.squaredNorm();
  const double xy = c * t.x() * t.y(), xz = c * t.x() * t.z(), yz = c * t.y() * t.z();
  Matrix3 m;
  m << diagonal + c * t.x() * t.x(), xy - b * t.z(), xz + b * t.y(),  //
      xy + b * t.z(), diagonal + c * t.y() * t.y(), yz - b * t.x(),   //
      xz - b * t.y(), yz + b * t.x(), diagonal + c * t.z() * t.z();
  return m;
}

}  // namespace

Matrix3 cross_matrix(const Vector3& v) {
  Matrix3 m;
  m << 0.0, -v.z(), v.y(), v.z(), 0.0, -v.x(), -v.y(), v.x(), 0.0;
  return m;
}

Matrix3 exp_rotation(const Vector3& theta) {
  const SineParts parts = sine_parts(theta.squaredNorm());
  return combined(theta, 1.0, parts.first, parts.second);
}

Quaternion quaternion_of(const Matrix3& rotation) {
  const double* const r = rotation.data();
  const double trace = r[0] + (r[4] + r[8]);
  if (trace >= r[0] && trace >= r[4] && trace >= r[8]) return {1.0 + trace, {r[5] - r[7], r[6] - r[2], r[1] - r[3]}};
  const int i = r[0] >= r[4] && r[0] >= r[8] ? 0 : (r[4] >= r[8] ? 1 : 2);
  const int j = (i + 1) % 3;
  const int k = (i + 2) % 3;
  Quaternion out;
  out.scalar = r[k + 3 * j] - r[j + 3 * k];
  out.vector.data()[i] = 1.0 + r[4 * i] - r[4 * j] - r[4 * k];
  out.vector.data()[j] = r[j + 3 * i] + r[i + 3 * j];
  out.vector.data()[k] = r[k + 3 * i] + r[i + 3 * k];
  if (out.scalar < 0.0) {
    out.scalar = -out.scalar;
    out.vector = -out.vector;
  }
  return out;
}

/// By the quaternion: the usual formula by the trace has no digits left near pi.
Vector3 log_rotation(const Matrix3& rotation) {
  const Quaternion q = quaternion_of(rotation);
  const double sine = q.vector.norm();
  if (sine == 0.0) return Vector3::Zero();
  return q.vector * (2.0 * std::atan2(sine, q.scalar) / sine);
}

Vector3 log_near(const Matrix3& rotation, const Vector3& previous) {
  const Vector3 principal = log_rotation(rotation);
  const double angle = principal.norm();
  Vector3 axis = principal;
  if (angle > kNoAngle)
    axis /= angle;
  else if (previous.norm() > kPi)  // a whole number of turns: about any axis, so about the one that it had
    axis = previous.normalized();
  else
    return principal;
  const double turns = std::round((previous.dot(axis) - angle) / (2.0 * kPi));
  return turns == 0.0 ? principal : Vector3(axis * (angle + 2.0 * kPi * turns));
}

Matrix3 left_jacobian(const Vector3& theta) {
  const double square = theta.squaredNorm();
  const SineParts parts = sine_parts(square);
  double third = 0.0;  // (a - sin a)/a^3
  if (square < kSineSeriesUpTo) {
    double term = 1.0 / 6.0;
    for (int n = 4; n < 20; n += 2) {
      third += term;
      term *= -square / (n * (n + 1.0));
    }
  } else {
    third = (1.0 - parts.first) / square;
  }
  return combined(theta, 1.0, parts.second, third);
}

/// c = 1/a^2 - cot(a/2)/(2a),  c'/a = (-2/a^2 + cot(a/2)/(2a) + 1/(4 sin^2(a/2)))/a^2
LogSeries log_series(double square) {
  LogSeries out;
  if (square < kSeriesUpTo) {
    for (std::size_t k = square < kShortSeriesUpTo ? kShortSeries : kBernoulli.size(); k-- > 1;) {
      out.c = out.c * square + kBernoulli[k];
      out.slope_over_angle = out.slope_over_angle * square + 2.0 * static_cast<double>(k) * kBernoulli[k];
    }
    out.c = out.c * square + kBernoulli[0];
    return out;
  }
  const double angle = std::sqrt(square);
  const double sine = std::sin(0.5 * angle);
  const double cot_part = 0.5 * std::cos(0.5 * angle) / (sine * angle);
  out.c = 1.0 / square - cot_part;
  out.slope_over_angle = (-2.0 / square + cot_part + 0.25 / (sine * sine)) / square;
  return out;
}

Matrix3 left_jacobian_inverse(const Vector3& theta, const LogSeries& series) {
  return combined(theta, 1.0, -0.5, series.c);
}

Matrix3 left_jacobian_inverse(const Vector3& theta) {
  return left_jacobian_inverse(theta, log_series(theta.squaredNorm()));
}

/// Along exp(s e) exp(t) the rotation vector has the rate h = L^-1 e, hence the second derivative D(L^-1)(t)[h] e.
/// Contracted with m that is h . N e, so that the Hessian is the symmetric part of L^-T N, where
///   N = [m]/2 + (c'/a) t (t x (t x m))^T + c ((t.m) I - 2 t m^T + m t^T)
Matrix3 log_hessian(const Vector3& t, const Vector3& m, const LogSeries& series) {
  const Vector3 twice = cross(t, cross(t, m));
  Matrix3 n = Matrix3::Zero();
  add_cross(0.5, m, n);
  add_to_diagonal(series.c * t.dot(m), n);
  add_outer(t, series.slope_over_angle * twice - 2.0 * series.c * m, n);
  add_outer(series.c * m, t, n);
  return twice_symmetric(0.5, transposed_product(left_jacobian_inverse(t, series), n));
}

Matrix3 log_hessian(const Vector3& theta, const Vector3& m) {
  return log_hessian(theta, m, log_series(theta.squaredNorm()));
}

Matrix3 polar_rotation(const Matrix3& m) {
  const Eigen::JacobiSVD<Matrix3> svd(m, Eigen::ComputeFullU | Eigen::ComputeFullV);
  Matrix3 u = svd.matrixU();
  if ((u * svd.matrixV().transpose()).determinant() < 0.0) u.col(2) = -u.col(2);
  return u * svd.matrixV().transpose();
}

}  // namespace opisthion::core::full
