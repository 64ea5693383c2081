// SPDX-License-Identifier: MIT
#pragma once
#include <algorithm>
#include <cmath>
#include <numbers>

#include "mesh/system/system.hpp"

namespace opisthion::mesh {

/// Linear elastic metal.
struct Elastic {
  double modulus_MPa = 0.0;
  double poisson = 0.0;
  double shear_MPa() const { return modulus_MPa / (2.0 * (1.0 + poisson)); }
};

/// Cross-section constants of a solid round bar.
///   A = pi d^2/4,  I = pi d^4/64,  J = 2 I,  kappa = 6 (1 + nu)/(7 + 6 nu)
/// Source of kappa: Cowper, J. Appl. Mech. 33 (1966) 335-340
inline Section round_section(double diameter_mm, const Elastic& metal) {
  const double area = std::numbers::pi * diameter_mm * diameter_mm / 4.0;
  const double inertia = area * diameter_mm * diameter_mm / 16.0;
  const double kappa = 6.0 * (1.0 + metal.poisson) / (7.0 + 6.0 * metal.poisson);
  Section s;
  s.axial_N = metal.modulus_MPa * area;
  s.torsional_Nmm2 = metal.shear_MPa() * 2.0 * inertia;
  s.bending_y_Nmm2 = s.bending_z_Nmm2 = metal.modulus_MPa * inertia;
  s.shear_y_N = s.shear_z_N = kappa * metal.shear_MPa() * area;
  return s;
}

/// Cross-section constants of a solid rectangular bar, width along the beam's y, thickness along its z.
///   I_y = w t^3/12,  I_z = t w^3/12,  kappa = 10 (1 + nu)/(12 + 11 nu)
///   J = a b^3 (16/3 - 3.36 b/a (1 - b^4/(12 a^4))),  a >= b half the sides: within 0.5 % of the exact series
/// Source of kappa: Cowper, J. Appl. Mech. 33 (1966) 335-340; of J: Roark, Formulas for Stress and Strain, table of torsion
/// constants (from memory)
inline Section rectangular_section(double width_mm, double thickness_mm, const Elastic& metal) {
  const double area = width_mm * thickness_mm;
  const double a = 0.5 * std::max(width_mm, thickness_mm);
  const double b = 0.5 * std::min(width_mm, thickness_mm);
  const double slim = b / a;
  const double torsion = a * b * b * b * (16.0 / 3.0 - 3.36 * slim * (1.0 - slim * slim * slim * slim / 12.0));
  const double kappa = 10.0 * (1.0 + metal.poisson) / (12.0 + 11.0 * metal.poisson);
  Section s;
  s.axial_N = metal.modulus_MPa * area;
  s.torsional_Nmm2 = metal.shear_MPa() * torsion;
  s.bending_y_Nmm2 = metal.modulus_MPa * area * thickness_mm * thickness_mm / 12.0;
  s.bending_z_Nmm2 = metal.modulus_MPa * area * width_mm * width_mm / 12.0;
  s.shear_y_N = s.shear_z_N = kappa * metal.shear_MPa() * area;
  return s;
}

}  // namespace opisthion::mesh
