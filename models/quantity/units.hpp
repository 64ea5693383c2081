// SPDX-License-Identifier: MIT
#pragma once
// One unit system, written once. Inside the program: N, mm, MPa, N mm, rad. In files and on screens: mm, N, N m, deg.
#include <numbers>

namespace opisthion::models {

inline constexpr double kNmm_per_Nm = 1000.0;
inline constexpr double kRad_per_deg = std::numbers::pi / 180.0;

constexpr double to_deg(double angle_rad) {
  return angle_rad / kRad_per_deg;
}
constexpr double to_rad(double angle_deg) {
  return angle_deg * kRad_per_deg;
}
constexpr double to_Nm(double moment_Nmm) {
  return moment_Nmm / kNmm_per_Nm;
}
constexpr double to_Nmm(double moment_Nm) {
  return moment_Nm * kNmm_per_Nm;
}
/// Rotational stiffness for screens [N m/deg] from the internal one [N mm/rad].
constexpr double to_Nm_per_deg(double stiffness_Nmm_per_rad) {
  return stiffness_Nmm_per_rad / kNmm_per_Nm * kRad_per_deg;
}

}  // namespace opisthion::models
