// SPDX-License-Identifier: MIT
#pragma once
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

}  // namespace opisthion::mesh
