// SPDX-License-Identifier: MIT
#include "mesh/build/seat.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <numbers>

namespace opisthion::mesh {

namespace {
double shear_modulus(double modulus, double poisson) {
  return modulus / (2.0 * (1.0 + poisson));
}
}  // namespace

double lateral_modulus_MPa(double bone_modulus_MPa, double bone_poisson, double bearing_diameter_mm, double bending_Nmm2) {
  assert(bending_Nmm2 > 0.0);
  const double slenderness = bone_modulus_MPa * std::pow(bearing_diameter_mm, 4) / bending_Nmm2;
  return 0.65 * std::pow(slenderness, 1.0 / 12.0) * bone_modulus_MPa / (1.0 - bone_poisson * bone_poisson);
}

double axial_modulus_MPa(double bone_modulus_MPa, double bone_poisson, double bearing_diameter_mm, double embedded_mm) {
  // The influence radius 2.5 L (1 - nu) must lie well outside the screw; a shorter piece is no pile. Its modulus is
  // held at that of zeta = 1, which is reached at an embedded length of about 0.8 diameters.
  const double zeta = std::max(1.0, std::log(2.5 * embedded_mm * (1.0 - bone_poisson) / (0.5 * bearing_diameter_mm)));
  return 2.0 * std::numbers::pi * shear_modulus(bone_modulus_MPa, bone_poisson) / zeta;
}

double torsional_modulus_N(double bone_modulus_MPa, double bone_poisson, double bearing_diameter_mm) {
  const double radius = 0.5 * bearing_diameter_mm;
  return 4.0 * std::numbers::pi * shear_modulus(bone_modulus_MPa, bone_poisson) * radius * radius;
}

double lateral_share(const Bed& bed, double bearing_diameter_mm) {
  if (bed.shell_mm <= 0.0) return 1.0;
  return std::min(1.0, bed.shell_bearing * bed.shell_mm / bearing_diameter_mm);
}

Foundation foundation_of(const Bed& bed, double bearing_diameter_mm, double bending_Nmm2, double embedded_mm,
                         double factor) {
  const double modulus = bed.modulus_MPa;
  return {.lateral_MPa = factor * lateral_share(bed, bearing_diameter_mm) *
                         lateral_modulus_MPa(modulus, bed.poisson, bearing_diameter_mm, bending_Nmm2),
          .axial_MPa = factor * axial_modulus_MPa(modulus, bed.poisson, bearing_diameter_mm, embedded_mm),
          .torsional_N = factor * torsional_modulus_N(modulus, bed.poisson, bearing_diameter_mm)};
}

}  // namespace opisthion::mesh
