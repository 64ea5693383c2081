// SPDX-License-Identifier: MIT
#pragma once
// The finite helical axis of a joint: the screw that takes its upper body from one state to another.
#include <Eigen/Core>
#include <optional>

namespace opisthion::study {

/// Below this the direction is decided by rounding and by figures that no bench can see: no axis is told.
/// The error of a measured axis grows as one over its angle (Woltring et al. 1985, from memory; 0.5 deg is our own choice).
inline constexpr double kLeastHelicalRotation_deg = 0.5;

struct HelicalAxis {
  Eigen::Vector3d direction = Eigen::Vector3d::UnitZ();  ///< unit, lower body's axes; the rotation about it is positive
  Eigen::Vector3d point_mm = Eigen::Vector3d::Zero();    ///< of the axis, nearest to the named point in the first state
  double rotation_deg = 0.0;                             ///< > 0
  double translation_mm = 0.0;                           ///< along the direction
};

/// The screw of a rotation and of the displacement of one point, all in the lower body's axes.
///   n = theta / |theta|,  t = n . d,  c = p + d'/2 + cot(|theta|/2) (n x d')/2,  d' = d - t n
/// rotation_vector_rad: theta, angle below pi;  displacement_mm: d, of the named point;  point_mm: p, where the named point
/// stood in the first state, in any coordinates that ride on the lower body: c comes in the same.
/// Nothing below 0.5 deg.
/// Source: the centre of a plane rotation by an angle that takes p to p + d' (elementary geometry), and Chasles' theorem.
std::optional<HelicalAxis> helical_axis(const Eigen::Vector3d& rotation_vector_rad, const Eigen::Vector3d& displacement_mm,
                                        const Eigen::Vector3d& point_mm);

}  // namespace opisthion::study
