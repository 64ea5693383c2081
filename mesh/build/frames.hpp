// SPDX-License-Identifier: MIT
#pragma once
#include <Eigen/Geometry>
#include <cmath>

#include "mesh/system/system.hpp"

namespace opisthion::mesh {

/// The part of a direction that lies across an axis, as a unit vector. The two must not be parallel.
inline Vector3 across(const Vector3& direction, const Vector3& axis) {
  return (direction - direction.dot(axis) / axis.squaredNorm() * axis).normalized();
}

/// Columns: sagittal tangent, coronal tangent, normal; right-handed.
inline Matrix3 surface_frame(const Vector3& forward, const Vector3& normal) {
  Matrix3 frame;
  frame.col(2) = normal.normalized();
  frame.col(0) = across(forward, frame.col(2));
  frame.col(1) = frame.col(2).cross(frame.col(0));
  return frame;
}

/// Columns: axis, y, z; right-handed. y is the part of `sideways` across the axis, or of the next coordinate axis when the
/// two are nearly parallel.
inline Matrix3 beam_frame(const Vector3& axis, const Vector3& sideways) {
  Matrix3 frame;
  frame.col(0) = axis.normalized();
  constexpr double kNearlyParallel = 0.99;
  const Vector3 guide = std::abs(sideways.normalized().dot(frame.col(0))) < kNearlyParallel
                            ? sideways
                            : Vector3(sideways.y(), sideways.z(), sideways.x());
  frame.col(1) = across(guide, frame.col(0));
  frame.col(2) = frame.col(0).cross(frame.col(1));
  return frame;
}

/// The frame carried along to a new axis by the smallest turn, so that it does not twist along a bent rod.
inline Matrix3 transported(const Matrix3& frame, const Vector3& axis) {
  Matrix3 carried = Eigen::Quaterniond::FromTwoVectors(frame.col(0), axis).toRotationMatrix() * frame;
  carried.col(0) = axis.normalized();  // to the last bit, so that the columns stay orthonormal along many elements
  carried.col(1) = across(carried.col(1), carried.col(0));
  carried.col(2) = carried.col(0).cross(carried.col(1));
  return carried;
}

}  // namespace opisthion::mesh
