// SPDX-License-Identifier: MIT
#pragma once
// Closed forms of straight members. Every deflection is an Euler-Bernoulli part plus a shear part.
// Sources: Timoshenko, Strength of Materials (from memory; each figure re-derived independently to the printed digits).
#include <Eigen/Core>
#include <Eigen/Geometry>
#include <cmath>
#include <numbers>

#include "mesh/system/system.hpp"

namespace opisthion::reference {

/// Shear coefficients. Source: G. R. Cowper, J. Appl. Mech. 33 (1966) 335-340; circle and hollow circle seen as quoted
/// from the paper, rectangle and thin tube from memory.
inline double cowper_circle(double nu) {
  return 6.0 * (1.0 + nu) / (7.0 + 6.0 * nu);
}
inline double cowper_rectangle(double nu) {
  return 10.0 * (1.0 + nu) / (12.0 + 11.0 * nu);
}
inline double cowper_thin_tube(double nu) {
  return 2.0 * (1.0 + nu) / (4.0 + 3.0 * nu);
}
/// m = inner radius / outer radius
inline double cowper_hollow(double nu, double m) {
  const double s = (1.0 + m * m) * (1.0 + m * m);
  return 6.0 * (1.0 + nu) * s / ((7.0 + 6.0 * nu) * s + (20.0 + 12.0 * nu) * m * m);
}

/// Torsion constant of a rectangle, long side `a`, short side `b`.
///   J = a b^3 (1/3 - 64 b/(pi^5 a) sum_{odd n} tanh(n pi a / 2b)/n^5)
/// Source: Timoshenko & Goodier, Theory of Elasticity (from memory; 6 x 0.2 x 0.1 in gives 4.573633542e-5).
inline double torsion_constant_rectangle(double a, double b) {
  double sum = 0.0;
  for (int n = 1; n < 400; n += 2) sum += std::tanh(n * std::numbers::pi * a / (2.0 * b)) / std::pow(n, 5);
  return a * b * b * b * (1.0 / 3.0 - 64.0 * b / (std::pow(std::numbers::pi, 5) * a) * sum);
}

/// Solid circular section with Cowper's shear coefficient.
inline mesh::Section circle(double diameter_mm, double youngs_modulus_MPa, double nu) {
  const double area = std::numbers::pi * diameter_mm * diameter_mm / 4.0;
  const double second_moment = std::numbers::pi * std::pow(diameter_mm, 4) / 64.0;
  const double shear_modulus = youngs_modulus_MPa / (2.0 * (1.0 + nu));
  mesh::Section s;
  s.axial_N = youngs_modulus_MPa * area;
  s.torsional_Nmm2 = shear_modulus * 2.0 * second_moment;
  s.bending_y_Nmm2 = s.bending_z_Nmm2 = youngs_modulus_MPa * second_moment;
  s.shear_y_N = s.shear_z_N = cowper_circle(nu) * shear_modulus * area;
  return s;
}

/// Titanium rods of verification.md: d 5.5 and d 3.5, E = 110000, nu = 0.34.
inline mesh::Section rod_55() {
  return circle(5.5, 110000.0, 0.34);
}
inline mesh::Section rod_35() {
  return circle(3.5, 110000.0, 0.34);
}

/// The same section without shear flexibility (Euler-Bernoulli): a shear stiffness far above every other.
inline mesh::Section without_shear(mesh::Section s) {
  s.shear_y_N = s.shear_z_N = 1e25 * s.bending_z_Nmm2;
  return s;
}

/// One plane of bending: EI and kGA.
struct Plane {
  double bending_Nmm2;
  double shear_N;
};
inline Plane plane_xy(const mesh::Section& s) {
  return {s.bending_z_Nmm2, s.shear_y_N};
}
inline Plane plane_xz(const mesh::Section& s) {
  return {s.bending_y_Nmm2, s.shear_z_N};
}

/// w = P L^3/3EI + P L/kGA
inline double cantilever_tip_force_deflection(Plane p, double length, double force) {
  return force * std::pow(length, 3) / (3.0 * p.bending_Nmm2) + force * length / p.shear_N;
}
/// slope = P L^2/2EI
inline double cantilever_tip_force_slope(Plane p, double length, double force) {
  return force * length * length / (2.0 * p.bending_Nmm2);
}
/// w = q L^4/8EI + q L^2/2kGA
inline double cantilever_line_load_deflection(Plane p, double length, double q) {
  return q * std::pow(length, 4) / (8.0 * p.bending_Nmm2) + q * length * length / (2.0 * p.shear_N);
}
/// w = P L^3/48EI + P L/4kGA
inline double simple_centre_force_deflection(Plane p, double length, double force) {
  return force * std::pow(length, 3) / (48.0 * p.bending_Nmm2) + force * length / (4.0 * p.shear_N);
}
/// w = 5 q L^4/384EI + q L^2/8kGA
inline double simple_line_load_deflection(Plane p, double length, double q) {
  return 5.0 * q * std::pow(length, 4) / (384.0 * p.bending_Nmm2) + q * length * length / (8.0 * p.shear_N);
}
/// w = P L^3/192EI + P L/4kGA
inline double clamped_centre_force_deflection(Plane p, double length, double force) {
  return force * std::pow(length, 3) / (192.0 * p.bending_Nmm2) + force * length / (4.0 * p.shear_N);
}
/// Prop force of a cantilever propped at its tip: deflection of the load over deflection of a unit force at the tip.
inline double propped_line_load_reaction(Plane p, double length, double q) {
  return cantilever_line_load_deflection(p, length, q) / cantilever_tip_force_deflection(p, length, 1.0);
}
/// Load at mid span: tip deflection = w(L/2) + slope(L/2) L/2.
inline double propped_centre_force_reaction(Plane p, double length, double force) {
  const double half = length / 2.0;
  const double tip = cantilever_tip_force_deflection(p, half, force) + cantilever_tip_force_slope(p, half, force) * half;
  return tip / cantilever_tip_force_deflection(p, length, 1.0);
}

/// Tip motion (translation, rotation) of a clamped straight rod of circular section along the unit vector t.
///   u = tt.F L/EA + (I - tt)F (L^3/3EI + L/kGA) + (M x t) L^2/2EI;  theta = (t x F) L^2/2EI + (I - tt)M L/EI + tt.M L/GJ
inline mesh::Vector6 oblique_cantilever(const mesh::Section& s, double length, const mesh::Vector3& t,
                                        const mesh::Vector3& force, const mesh::Vector3& moment) {
  const double ei = s.bending_z_Nmm2;
  const mesh::Vector3 force_along = t * t.dot(force);
  const mesh::Vector3 moment_along = t * t.dot(moment);
  mesh::Vector6 tip;
  tip.head<3>() = force_along * (length / s.axial_N) +
                  (force - force_along) * (std::pow(length, 3) / (3.0 * ei) + length / s.shear_y_N) +
                  moment.cross(t) * (length * length / (2.0 * ei));
  tip.tail<3>() = t.cross(force) * (length * length / (2.0 * ei)) + (moment - moment_along) * (length / ei) +
                  moment_along * (length / s.torsional_Nmm2);
  return tip;
}

}  // namespace opisthion::reference
