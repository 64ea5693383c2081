// SPDX-License-Identifier: MIT
#pragma once
// Measures of the place of one point of body a as body b sees it, y = R_b^T (x_a - p_b): pads, slides, and each segment of a
// strand. Nearly all laws of a neck are such. The whole derivatives of a law of one (measures.hpp) are never needed then:
// force and stiffness go into one 3-vector and one 3x3 before any arm does (pair_sum.hpp).
#include <limits>

#include "solver/core/full/relative_point.hpp"

namespace opisthion::core::full {

struct PointMeasure {
  double value = 0.0;
  bool moves = false;  ///< bodies differ and the measure has derivatives here; else the rest is not set
  RelativePoint at{};
  Vector3 slope{};  ///< by y, in global axes: R_b n
  Matrix3 bend{};   ///< second derivatives by y, in global axes: R_b B R_b^T; set for Order::hessian
};

/// Half of a neck's strands are slack and two thirds of its pads lie open: below `acts_from` nothing but that it is below is
/// told (`moves` is false).
inline constexpr double kAlways = -std::numeric_limits<double>::infinity();
PointMeasure point_measure(const PadGeometry& pad, std::span<const Pose> poses, Order order, double acts_from = kAlways);
PointMeasure point_measure(const SlideGeometry& slide, std::span<const Pose> poses, Order order);
/// Length of segment `leg` of the strand [mm]; its bodies a and b are the leg's.
PointMeasure point_measure(const StrandGeometry& strand, int leg, std::span<const Pose> poses, Order order,
                           double acts_from = kAlways);

/// Into a measure on two bodies, a first, whose derivatives are clear.
inline void take(const PointMeasure& from, Order order, Measure& out) {
  out.value = from.value;
  if (from.moves) add_derivatives(from.at, from.slope, from.bend, 0, 1, order, out);
}

}  // namespace opisthion::core::full
