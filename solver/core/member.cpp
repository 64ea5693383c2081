// SPDX-License-Identifier: MIT
#include "solver/core/member.hpp"

#include <cassert>
#include <cmath>

namespace opisthion::core {
namespace {

// Below these the series needs no more than kTerms terms and loses no digits: |root| <= 1, so term n is below 1/n!.
constexpr double kLargestBed = 1.0;
constexpr int kTerms = 24;

/// Two equal members in a row, the middle node condensed out.
LineStiffness doubled(const LineStiffness& k) {
  const double given_away = k.far * k.far / (2.0 * k.near);
  return {k.near - given_away, -given_away, k.net * (k.near - k.far) / k.near};
}

/// The middle node of two equal members has no coupling between v and theta (vt and -vt cancel), so it is two divisions:
///   K' = K11 - K12 diag(1/(2 vv), 1/(2 tt)) K12^T,  K12' = -K12 diag(...) K12
BendingStiffness doubled(const BendingStiffness& k) {
  const double v = 1.0 / (2.0 * k.vv);
  const double t = 1.0 / (2.0 * k.tt);
  BendingStiffness r;
  r.vv = k.vv - (k.far_vv * k.far_vv * v + k.far_vt * k.far_vt * t);
  r.vt = k.vt - (-k.far_vv * k.far_vt * v + k.far_vt * k.far_tt * t);
  r.tt = k.tt - (k.far_vt * k.far_vt * v + k.far_tt * k.far_tt * t);
  r.far_vv = -(k.far_vv * k.far_vv * v - k.far_vt * k.far_vt * t);
  r.far_vt = -(k.far_vv * k.far_vt * v + k.far_vt * k.far_tt * t);
  r.far_tt = -(-k.far_vt * k.far_vt * v + k.far_tt * k.far_tt * t);
  return r;
}

/// Unit length and bending stiffness; shear: EI/(kGA L^2), bed: k L^4/EI, both dimensionless.
/// State (v, theta, m, q): v' = theta + shear q, theta' = m, m' = -q, q' = bed v. Its matrix A satisfies
/// A^4 = shear bed A^2 - bed I (Cayley-Hamilton), so exp A = c0 + c1 A + c2 A^2 + c3 A^3 with scalar series for c;
/// the end forces follow from the upper half of exp A: (m, q)_0 = T12^-1 (d_1 - T11 d_0).
BendingStiffness unit_member(double shear, double bed) {
  double c[4] = {1.0, 1.0, 1.0 / 2.0, 1.0 / 6.0};
  const double both = shear * bed;
  if (bed > 0.0) {
    double p[4] = {0.0, 0.0, 0.0, 1.0};  // A^n in powers of A, from n = 3
    double inverse_factorial = 1.0 / 6.0;
    for (int n = 4; n <= kTerms; ++n) {
      const double next[4] = {-bed * p[3], p[0], p[1] + both * p[3], p[2]};
      inverse_factorial /= n;
      for (int i = 0; i < 4; ++i) {
        p[i] = next[i];
        c[i] += p[i] * inverse_factorial;
      }
    }
  }
  const double t11_vv = c[0] + both * c[2];
  const double t11_vt = c[1] + both * c[3];
  const double t11_tv = -bed * c[3];
  const double t11_tt = c[0];
  const double t12_vq = c[1] * shear + c[3] * (both * shear - 1.0);
  const double d = c[2] * c[2] + c[1] * t12_vq;  // -det T12: 1/12 + shear without a bed
  BendingStiffness k;
  k.vv = (c[1] * t11_vv - c[2] * t11_tv) / d;
  k.vt = (c[1] * t11_vt - c[2] * t11_tt) / d;
  k.tt = (c[2] * t11_vt + t12_vq * t11_tt) / d;
  k.far_vv = -c[1] / d;
  k.far_vt = c[2] / d;
  k.far_tt = -t12_vq / d;
  return k;
}

/// x coth x, -x / sinh x and x tanh(x/2) from y = x^2 <= 1.
LineStiffness unit_line(double y) {
  double cosh_less_one = 0.0;
  double sinh_over_x = 1.0;
  double term = 1.0;
  if (y > 0.0) {
    for (int n = 1; n <= 11; ++n) {
      term *= y / (2.0 * n * (2.0 * n - 1.0));
      cosh_less_one += term;
      sinh_over_x += term / (2.0 * n + 1.0);
    }
  }
  return {(1.0 + cosh_less_one) / sinh_over_x, -1.0 / sinh_over_x, cosh_less_one / sinh_over_x};
}

}  // namespace

LineStiffness line_stiffness(double rigidity, double length_mm, double bed) {
  assert(rigidity > 0.0 && length_mm > 0.0 && bed >= 0.0);
  double y = bed * length_mm * length_mm / rigidity;
  double part_mm = length_mm;
  int halvings = 0;
  for (; y > kLargestBed; ++halvings) {
    y *= 0.25;
    part_mm *= 0.5;
  }
  LineStiffness k = unit_line(y);
  for (; halvings > 0; --halvings) k = doubled(k);
  const double scale = rigidity / part_mm;
  return {k.near * scale, k.far * scale, k.net * scale};
}

BendingStiffness bending_stiffness(double bending_Nmm2, double shear_N, double length_mm, double lateral_MPa) {
  assert(bending_Nmm2 > 0.0 && shear_N > 0.0 && length_mm > 0.0 && lateral_MPa >= 0.0);
  double part_mm = length_mm;
  double shear = bending_Nmm2 / (shear_N * part_mm * part_mm);
  double bed = lateral_MPa * part_mm * part_mm * part_mm * part_mm / bending_Nmm2;
  int halvings = 0;
  // the roots of r^4 - shear bed r^2 + bed: bounded by both coefficients
  for (; bed > kLargestBed || shear * bed > kLargestBed; ++halvings) {
    part_mm *= 0.5;
    shear *= 4.0;
    bed *= 0.0625;
  }
  BendingStiffness k = unit_member(shear, bed);
  // doubling keeps the unit length of the part, so the scale below is that of the part
  for (; halvings > 0; --halvings) k = doubled(k);
  const double tt = bending_Nmm2 / part_mm;
  const double vt = tt / part_mm;
  const double vv = vt / part_mm;
  return {k.vv * vv, k.vt * vt, k.tt * tt, k.far_vv * vv, k.far_vt * vt, k.far_tt * tt};
}

MemberStiffness member_stiffness(const mesh::Section& section, double length_mm, const mesh::Foundation& foundation) {
  MemberStiffness k;
  k.axial = line_stiffness(section.axial_N, length_mm, foundation.axial_MPa);
  k.torsion = line_stiffness(section.torsional_Nmm2, length_mm, foundation.torsional_N);
  k.in_y = bending_stiffness(section.bending_z_Nmm2, section.shear_y_N, length_mm, foundation.lateral_MPa);
  const bool round = section.bending_y_Nmm2 == section.bending_z_Nmm2 && section.shear_y_N == section.shear_z_N;
  k.in_z = round ? k.in_y : bending_stiffness(section.bending_y_Nmm2, section.shear_z_N, length_mm, foundation.lateral_MPa);
  return k;
}

}  // namespace opisthion::core
