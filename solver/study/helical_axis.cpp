// SPDX-License-Identifier: MIT
#include "solver/study/helical_axis.hpp"

#include <Eigen/Geometry>
#include <cmath>

#include "models/quantity/units.hpp"

namespace opisthion::study {

std::optional<HelicalAxis> helical_axis(const Eigen::Vector3d& rotation_vector_rad, const Eigen::Vector3d& displacement_mm,
                                        const Eigen::Vector3d& point_mm) {
  const double angle_rad = rotation_vector_rad.norm();
  // Not (>=): what is not a number has no axis.
  if (!(models::to_deg(angle_rad) >= kLeastHelicalRotation_deg) || !displacement_mm.allFinite()) return std::nullopt;
  HelicalAxis out;
  out.direction = rotation_vector_rad / angle_rad;
  out.rotation_deg = models::to_deg(angle_rad);
  out.translation_mm = out.direction.dot(displacement_mm);
  const Eigen::Vector3d across = displacement_mm - out.translation_mm * out.direction;
  const double half = 0.5 * angle_rad;
  out.point_mm = point_mm + 0.5 * across + 0.5 * std::cos(half) / std::sin(half) * out.direction.cross(across);
  return out;
}

}  // namespace opisthion::study
