// SPDX-License-Identifier: MIT
#pragma once
// A rod's centre line through its locks.
#include <vector>

#include "mesh/system/system.hpp"

namespace opisthion::mesh {

/// Shape-preserving cubic through points: monotone Hermite per coordinate over the summed chord length, so that a coordinate
/// never overshoots between two locks. Two points: straight. A closed path runs on from its last point to its first, with no
/// kink anywhere.
/// Source of the slopes: Fritsch and Carlson 1980, SIAM J. Numer. Anal. 17:238 (limited as in Fritsch and Butland 1984)
/// Or smooth: the cubic with continuous curvature through the same points, straight at free ends, which is how a thin
/// elastic rod would lie (small slopes): it swings out beyond its stops, and bends the least. Source: any text on splines,
/// natural end conditions (from memory)
class RodPath {
 public:
  enum class Shape { preserving, smooth };
  /// At least two points, closed three, neighbours apart (asserted).
  explicit RodPath(std::vector<Vector3> points, bool closed = false, Shape shape = Shape::preserving);
  int spans() const { return static_cast<int>(chords_.size()); }
  Vector3 point(int span, double t) const;    ///< t in 0..1 along the span
  Vector3 tangent(int span, double t) const;  ///< unit
  /// Radius of the circle that touches the path; infinite where it is straight.
  double radius_mm(int span, double t) const;
  /// Smallest radius, sampled along one span, or the first below `enough`.
  double least_radius_mm(int span, double enough = 0.0) const;
  /// Smallest radius of all spans.
  double least_radius_mm() const;

 private:
  void preserve_shape(bool closed);
  void smooth(bool closed);
  Vector3 first(int span, double t) const;  ///< d/ds over chord length
  Vector3 second(int span, double t) const;
  std::size_t after(std::size_t point) const { return point + 1 == points_.size() ? 0 : point + 1; }
  std::vector<Vector3> points_;
  std::vector<Vector3> slopes_;
  std::vector<double> chords_;
};

}  // namespace opisthion::mesh
