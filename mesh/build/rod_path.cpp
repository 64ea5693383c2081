// SPDX-License-Identifier: MIT
#include "mesh/build/rod_path.hpp"

#include <Eigen/Geometry>
#include <Eigen/LU>
#include <algorithm>
#include <cassert>
#include <cmath>
#include <limits>

namespace opisthion::mesh {

namespace {

/// Slope inside: weighted harmonic mean of the neighbours' slopes, none at a turning point.
double inner_slope(double before, double after, double chord_before, double chord_after) {
  if (before * after <= 0.0) return 0.0;
  const double w1 = 2.0 * chord_after + chord_before;
  const double w2 = chord_after + 2.0 * chord_before;
  return (w1 + w2) / (w1 / before + w2 / after);
}

/// Slope at an end: three-point estimate, limited so that the first span stays monotone.
double end_slope(double near, double next, double chord_near, double chord_next) {
  const double estimate = ((2.0 * chord_near + chord_next) * near - chord_near * next) / (chord_near + chord_next);
  if (estimate * near <= 0.0) return 0.0;
  if (near * next <= 0.0 && std::abs(estimate) > 3.0 * std::abs(near)) return 3.0 * near;
  return estimate;
}

constexpr int kSamplesPerSpan = 64;

}  // namespace

RodPath::RodPath(std::vector<Vector3> points, bool closed, Shape shape) : points_(std::move(points)) {
  const std::size_t n = points_.size();
  assert(n >= (closed ? 3U : 2U));
  for (std::size_t i = 0; i + (closed ? 0 : 1) < n; ++i) {
    chords_.push_back((points_[after(i)] - points_[i]).norm());
    assert(chords_.back() > 0.0);
  }
  slopes_.resize(n);
  if (n == 2)
    slopes_[0] = slopes_[1] = (points_[1] - points_[0]) / chords_[0];
  else if (shape == Shape::smooth)
    smooth(closed);
  else
    preserve_shape(closed);
}

/// Second derivatives agree at every point: h_i m_(i-1) + 2 (h_(i-1) + h_i) m_i + h_(i-1) m_(i+1) = 3 (h_i s_(i-1) + h_(i-1)
/// s_i), and vanish at free ends: 2 m_0 + m_1 = 3 s_0.   h: chords;  s: secants;  m: slopes
void RodPath::smooth(bool closed) {
  const std::size_t n = points_.size();
  const auto secant = [this](std::size_t i) { return Vector3((points_[after(i)] - points_[i]) / chords_[i]); };
  const auto size = static_cast<Eigen::Index>(n);
  Eigen::MatrixXd matrix = Eigen::MatrixXd::Zero(size, size);
  Eigen::MatrixXd right(size, 3);
  for (std::size_t i = 0; i < n; ++i) {
    const auto row = static_cast<Eigen::Index>(i);
    const bool first = !closed && i == 0;
    const bool last = !closed && i + 1 == n;
    if (first || last) {
      matrix(row, row) = 2.0;
      matrix(row, first ? 1 : row - 1) = 1.0;
      right.row(row) = 3.0 * secant(first ? 0 : n - 2).transpose();
      continue;
    }
    const std::size_t before = i == 0 ? n - 1 : i - 1;
    matrix(row, static_cast<Eigen::Index>(before)) += chords_[i];
    matrix(row, row) += 2.0 * (chords_[before] + chords_[i]);
    matrix(row, static_cast<Eigen::Index>(after(i))) += chords_[before];
    right.row(row) = 3.0 * (chords_[i] * secant(before) + chords_[before] * secant(i)).transpose();
  }
  const Eigen::MatrixXd slopes = matrix.partialPivLu().solve(right);
  for (std::size_t i = 0; i < n; ++i) slopes_[i] = slopes.row(static_cast<Eigen::Index>(i)).transpose();
}

void RodPath::preserve_shape(bool closed) {
  const std::size_t n = points_.size();
  const auto secant = [this](std::size_t i) { return Vector3((points_[after(i)] - points_[i]) / chords_[i]); };
  for (Eigen::Index c = 0; c < 3; ++c) {
    for (std::size_t i = closed ? 0 : 1; i + (closed ? 0 : 1) < n; ++i) {
      const std::size_t before = i == 0 ? n - 1 : i - 1;
      slopes_[i][c] = inner_slope(secant(before)[c], secant(i)[c], chords_[before], chords_[i]);
    }
    if (closed) continue;
    slopes_[0][c] = end_slope(secant(0)[c], secant(1)[c], chords_[0], chords_[1]);
    slopes_[n - 1][c] = end_slope(secant(n - 2)[c], secant(n - 3)[c], chords_[n - 2], chords_[n - 3]);
  }
}

Vector3 RodPath::point(int span, double t) const {
  const auto i = static_cast<std::size_t>(span);
  // The ends are returned as they are, so that a path ends on its locks to the last bit.
  if (t <= 0.0) return points_[i];
  if (t >= 1.0) return points_[after(i)];
  const double h = chords_[i];
  const double t2 = t * t;
  const double t3 = t2 * t;
  return (2.0 * t3 - 3.0 * t2 + 1.0) * points_[i] + (t3 - 2.0 * t2 + t) * h * slopes_[i] +
         (3.0 * t2 - 2.0 * t3) * points_[after(i)] + (t3 - t2) * h * slopes_[after(i)];
}

Vector3 RodPath::first(int span, double t) const {
  const auto i = static_cast<std::size_t>(span);
  const double h = chords_[i];
  return (6.0 * t * t - 6.0 * t) / h * (points_[i] - points_[after(i)]) + (3.0 * t * t - 4.0 * t + 1.0) * slopes_[i] +
         (3.0 * t * t - 2.0 * t) * slopes_[after(i)];
}

Vector3 RodPath::second(int span, double t) const {
  const auto i = static_cast<std::size_t>(span);
  const double h = chords_[i];
  return ((12.0 * t - 6.0) / h * (points_[i] - points_[after(i)]) + (6.0 * t - 4.0) * slopes_[i] +
          (6.0 * t - 2.0) * slopes_[after(i)]) /
         h;
}

Vector3 RodPath::tangent(int span, double t) const {
  return first(span, t).normalized();
}

double RodPath::radius_mm(int span, double t) const {
  const Vector3 d = first(span, t);
  const double bend = d.cross(second(span, t)).norm();
  const double speed = d.norm();
  // Rounding alone gives a straight path radii of 1e10 mm and more: call that straight.
  constexpr double kStraight_per_mm = 1e-9;
  if (bend <= kStraight_per_mm * speed * speed * speed) return std::numeric_limits<double>::infinity();
  return speed * speed * speed / bend;
}

double RodPath::least_radius_mm(int span, double enough) const {
  double least = std::numeric_limits<double>::infinity();
  for (int i = 0; i <= kSamplesPerSpan && least >= enough; ++i)
    least = std::min(least, radius_mm(span, static_cast<double>(i) / kSamplesPerSpan));
  return least;
}

double RodPath::least_radius_mm() const {
  double least = std::numeric_limits<double>::infinity();
  for (int span = 0; span < spans(); ++span) least = std::min(least, least_radius_mm(span));
  return least;
}

}  // namespace opisthion::mesh
