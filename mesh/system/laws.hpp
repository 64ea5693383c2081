// SPDX-License-Identifier: MIT
#pragma once
// Scalar laws: parameters only (solver/core answers with energy, force and stiffness). Every law is monotone, so its
// energy is convex. The argument e is an elongation, a closing distance [mm] or an angle [rad]; the answer is its
// work-conjugate force [N] or moment [N mm].
#include <array>
#include <variant>

namespace opisthion::mesh {

/// One-sided: nothing up to the slack, then a parabolic toe, then a straight line.
///   x = e - slack;  F = 0 (x <= 0);  k x^2 / (2 toe) (x < toe);  k (x - toe/2) (x >= toe)
/// A ligament fibre or wire leg (e: elongation), or a contact (e: closing of the gap, slack: the gap).
struct ToeLinear {
  double slack = 0.0;      ///< [mm], may be negative: taut, or pressed together, at the reference pose
  double toe = 0.0;        ///< [mm], >= 0
  double stiffness = 0.0;  ///< [N/mm], >= 0
};

/// Monotone polygon through up to eight points, continued with the end slopes given.
struct Polygon {
  static constexpr int kMost = 8;
  int count = 0;
  std::array<double, kMost> at{};
  std::array<double, kMost> value{};
  double slope_below = 0.0;
  double slope_above = 0.0;
};

using ScalarLaw = std::variant<ToeLinear, Polygon>;

/// Two different straight slopes on either side of zero.
constexpr Polygon two_slopes(double slope_below, double slope_above) {
  Polygon p;
  p.count = 1;
  p.slope_below = slope_below;
  p.slope_above = slope_above;
  return p;
}

}  // namespace opisthion::mesh
