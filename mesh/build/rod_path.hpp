// SPDX-License-Identifier: MIT
#pragma once
// A rod's centre line through its locks.
#include <vector>

#include "mesh/system/system.hpp"

namespace opisthion::mesh {

/// Shape-preserving cubic through points: monotone Hermite per coordinate over the summed chord length, so that a coordinate
/// never overshoots between two locks. Two points: straight.
/// Source of the slopes: Fritsch and Carlson 1980, SIAM J. Numer. Anal. 17:238 (limited as in Fritsch and Butland 1984)
class RodPath {
 public:
  /// At least two points, neighbours apart (asserted).
  explicit RodPath(std::vector<Vector3> points);
  int spans() const { return static_cast<int>(points_.size()) - 1; }
  Vector3 point(int span, double t) const;    ///< t in 0..1 along the span
  Vector3 tangent(int span, double t) const;  ///< unit
  /// Radius of the circle that touches the path; infinite where it is straight.
  double radius_mm(int span, double t) const;
  /// Smallest radius, sampled along every span.
  double least_radius_mm() const;

 private:
  Vector3 first(int span, double t) const;  ///< d/ds over chord length
  Vector3 second(int span, double t) const;
  std::vector<Vector3> points_;
  std::vector<Vector3> slopes_;
  std::vector<double> chords_;
};

}  // namespace opisthion::mesh
