// SPDX-License-Identifier: MIT
#include "mesh/build/rod_path.hpp"

#include <Eigen/Geometry>
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

RodPath::RodPath(std::vector<Vector3> points) : points_(std::move(points)) {
  assert(points_.size() >= 2);
  const std::size_t n = points_.size();
  for (std::size_t i = 0; i + 1 < n; ++i) {
    chords_.push_back((points_[i + 1] - points_[i]).norm());
    assert(chords_.back() > 0.0);
  }
  slopes_.resize(n);
  const auto secant = [this](std::size_t i) { return Vector3((points_[i + 1] - points_[i]) / chords_[i]); };
  if (n == 2) {
    slopes_[0] = slopes_[1] = secant(0);
    return;
  }
  for (Eigen::Index c = 0; c < 3; ++c) {
    for (std::size_t i = 1; i + 1 < n; ++i)
      slopes_[i][c] = inner_slope(secant(i - 1)[c], secant(i)[c], chords_[i - 1], chords_[i]);
    slopes_[0][c] = end_slope(secant(0)[c], secant(1)[c], chords_[0], chords_[1]);
    slopes_[n - 1][c] = end_slope(secant(n - 2)[c], secant(n - 3)[c], chords_[n - 2], chords_[n - 3]);
  }
}

Vector3 RodPath::point(int span, double t) const {
  const auto i = static_cast<std::size_t>(span);
  // The ends are returned as they are, so that a path ends on its locks to the last bit.
  if (t <= 0.0) return points_[i];
  if (t >= 1.0) return points_[i + 1];
  const double h = chords_[i];
  const double t2 = t * t;
  const double t3 = t2 * t;
  return (2.0 * t3 - 3.0 * t2 + 1.0) * points_[i] + (t3 - 2.0 * t2 + t) * h * slopes_[i] +
         (3.0 * t2 - 2.0 * t3) * points_[i + 1] + (t3 - t2) * h * slopes_[i + 1];
}

Vector3 RodPath::first(int span, double t) const {
  const auto i = static_cast<std::size_t>(span);
  const double h = chords_[i];
  return (6.0 * t * t - 6.0 * t) / h * (points_[i] - points_[i + 1]) + (3.0 * t * t - 4.0 * t + 1.0) * slopes_[i] +
         (3.0 * t * t - 2.0 * t) * slopes_[i + 1];
}

Vector3 RodPath::second(int span, double t) const {
  const auto i = static_cast<std::size_t>(span);
  const double h = chords_[i];
  return ((12.0 * t - 6.0) / h * (points_[i] - points_[i + 1]) + (6.0 * t - 4.0) * slopes_[i] +
          (6.0 * t - 2.0) * slopes_[i + 1]) /
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

double RodPath::least_radius_mm() const {
  double least = std::numeric_limits<double>::infinity();
  for (int span = 0; span < spans(); ++span)
    for (int i = 0; i <= kSamplesPerSpan; ++i)
      least = std::min(least, radius_mm(span, static_cast<double>(i) / kSamplesPerSpan));
  return least;
}

}  // namespace opisthion::mesh
