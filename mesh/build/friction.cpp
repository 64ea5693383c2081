// SPDX-License-Identifier: MIT
#include "mesh/build/friction.hpp"

#include <cmath>
#include <numbers>
#include <utility>

#include "mesh/build/frames.hpp"

namespace opisthion::mesh {

NormalForce of_strand(int index, double weight) {
  return {.of = NormalForce::Of::strand, .index = index, .weight = weight};
}
NormalForce of_pad(int index, double weight) {
  return {.of = NormalForce::Of::pad, .index = index, .weight = weight};
}

double sticking_stiffness(const Assembly& assembly, double normal_stiffness_N_per_mm) {
  return assembly.number().scalar("friction.sticking_ratio") * normal_stiffness_N_per_mm;
}

double mean_radius_mm(double length_mm, double width_mm) {
  const double a = 0.5 * length_mm;
  const double b = 0.5 * width_mm;
  const double d = std::sqrt(a * a + b * b);
  return (d + a * a / (2.0 * b) * std::log((b + d) / a) + b * b / (2.0 * a) * std::log((a + d) / b)) / 3.0;
}

void add_slip(Assembly& assembly, const Attachment& a, BodyId b, const Vector3& direction, double stiffness_N_per_mm,
              double cap_per_N, std::vector<NormalForce> forces, const std::string& name) {
  assembly.system().slips.push_back({.a = a,
                                     .b = b,
                                     .direction = direction,
                                     .stiffness = stiffness_N_per_mm,
                                     .cap_per_N = cap_per_N,
                                     .normal = std::move(forces),
                                     .item = assembly.item(OriginKind::friction, name)});
}

void add_friction(Assembly& assembly, const FrictionPatch& patch, const std::string& name) {
  constexpr int kDirections = 4;
  constexpr double kSumOfFour = 2.514;  // see Slip in system.hpp
  const Matrix3 frame = surface_frame(patch.forward, patch.normal);
  for (int i = 0; i < kDirections; ++i) {
    const double angle = i * std::numbers::pi / kDirections;
    add_slip(assembly, {patch.a, patch.point_mm}, patch.b, std::cos(angle) * frame.col(0) + std::sin(angle) * frame.col(1),
             0.5 * patch.stiffness_N_per_mm, patch.coefficient / kSumOfFour, patch.forces, name);
  }
  if (patch.turning_radius_mm <= 0.0) return;
  const double r = patch.turning_radius_mm;
  assembly.system().slips.push_back({.a = {patch.a, patch.point_mm},
                                     .b = patch.b,
                                     .direction = frame.col(2),
                                     .turning = true,
                                     .stiffness = patch.stiffness_N_per_mm * r * r,
                                     .cap_per_N = patch.coefficient * r,
                                     .normal = patch.forces,
                                     .item = assembly.item(OriginKind::friction, name)});
}

}  // namespace opisthion::mesh
