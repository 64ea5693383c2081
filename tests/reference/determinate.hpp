// SPDX-License-Identifier: MIT
#pragma once
// Clamped-free rods of any shape by the force method: statics gives the section forces exactly, so the tip flexibility is
// an integral (Castigliano). An independent route to what stiffness elements give, for curved rods and for chains of
// straight pieces alike.
#include <Eigen/Core>
#include <Eigen/Geometry>
#include <array>
#include <cmath>
#include <functional>
#include <numbers>

#include "mesh/system/system.hpp"

namespace opisthion::reference {

/// A point of the rod's axis and its frame (columns: tangent, y, z).
struct Station {
  mesh::Vector3 position;
  mesh::Matrix3 frame;
};

/// Adds integral of H^T C H over one stretch of length `length`; station(x) for x in [0, 1]. Five-point Gauss per stretch.
inline void add_flexibility(const mesh::Section& s, double length, const mesh::Vector3& tip,
                            const std::function<Station(double)>& station, mesh::Matrix6& flexibility) {
  static const std::array<double, 5> at{-0.9061798459386640, -0.5384693101056831, 0.0, 0.5384693101056831,
                                        0.9061798459386640};
  static const std::array<double, 5> weight{0.2369268850561891, 0.4786286704993665, 0.5688888888888889, 0.4786286704993665,
                                            0.2369268850561891};
  for (std::size_t i = 0; i < at.size(); ++i) {
    const Station here = station(0.5 * (1.0 + at[i]));
    // Section force and moment at `here` from a wrench at the tip, in the section's frame.
    mesh::Matrix6 h = mesh::Matrix6::Zero();
    const mesh::Vector3 r = tip - here.position;
    mesh::Matrix3 cross;
    cross << 0, -r.z(), r.y(), r.z(), 0, -r.x(), -r.y(), r.x(), 0;
    h.topLeftCorner<3, 3>() = here.frame.transpose();
    h.bottomRightCorner<3, 3>() = here.frame.transpose();
    h.bottomLeftCorner<3, 3>() = here.frame.transpose() * cross;
    mesh::Vector6 compliance;
    compliance << 1.0 / s.axial_N, 1.0 / s.shear_y_N, 1.0 / s.shear_z_N, 1.0 / s.torsional_Nmm2, 1.0 / s.bending_y_Nmm2,
        1.0 / s.bending_z_Nmm2;
    flexibility += 0.5 * weight[i] * length * h.transpose() * compliance.asDiagonal() * h;
  }
}

/// Circular arc in the x-y plane: clamped at the origin, tangent +x there, curving towards +y; frame z stays global z.
inline Station arc_station(double radius, double angle) {
  Station s;
  s.position = {radius * std::sin(angle), radius * (1.0 - std::cos(angle)), 0.0};
  s.frame.col(0) = mesh::Vector3(std::cos(angle), std::sin(angle), 0.0);
  s.frame.col(1) = mesh::Vector3(-std::sin(angle), std::cos(angle), 0.0);
  s.frame.col(2) = mesh::Vector3::UnitZ();
  return s;
}

/// Tip flexibility of the curved rod itself (40 stretches of Gauss: exact to rounding).
inline mesh::Matrix6 arc_flexibility(const mesh::Section& s, double radius, double total_angle) {
  mesh::Matrix6 f = mesh::Matrix6::Zero();
  const int stretches = 40;
  const double step = total_angle / stretches;
  const mesh::Vector3 tip = arc_station(radius, total_angle).position;
  for (int i = 0; i < stretches; ++i)
    add_flexibility(
        s, radius * step, tip, [&](double x) { return arc_station(radius, (i + x) * step); }, f);
  return f;
}

/// Tip flexibility of n straight pieces between points on the arc: what exact straight elements must give, to rounding.
inline mesh::Matrix6 chord_flexibility(const mesh::Section& s, double radius, double total_angle, int n) {
  mesh::Matrix6 f = mesh::Matrix6::Zero();
  const double step = total_angle / n;
  const mesh::Vector3 tip = arc_station(radius, total_angle).position;
  for (int i = 0; i < n; ++i) {
    const mesh::Vector3 from = arc_station(radius, i * step).position;
    const mesh::Vector3 to = arc_station(radius, (i + 1) * step).position;
    const mesh::Matrix3 frame = arc_station(radius, (i + 0.5) * step).frame;  // the chord is parallel to the mid tangent
    add_flexibility(
        s, (to - from).norm(), tip,
        [&](double x) {
          return Station{from + x * (to - from), frame};
        },
        f);
  }
  return f;
}

/// Quarter circle, closed forms (Castigliano, R much larger than d). Source: derived; classical, from memory.
struct QuarterCircle {
  double xx, yy, xy, zz, theta_z;
};
inline QuarterCircle quarter_circle(const mesh::Section& s, double r) {
  const double pi = std::numbers::pi;
  const double ei = s.bending_z_Nmm2;
  const double membrane = pi * r / (4.0 * s.axial_N) + pi * r / (4.0 * s.shear_y_N);
  return {.xx = pi * r * r * r / (4.0 * ei) + membrane,
          .yy = (0.75 * pi - 2.0) * r * r * r / ei + membrane,
          .xy = -r * r * r / (2.0 * ei) + r / (2.0 * s.axial_N) - r / (2.0 * s.shear_y_N),
          .zz = pi * r * r * r / (4.0 * s.bending_y_Nmm2) + (0.75 * pi - 2.0) * r * r * r / s.torsional_Nmm2 +
                pi * r / (2.0 * s.shear_z_N),
          .theta_z = pi * r / (2.0 * ei)};
}

/// Straight rod along x whose section turns evenly about x by `twist`; frame y at the root is global y.
inline Station twisted_station(double length, double twist, double x) {
  Station s;
  s.position = {length * x, 0.0, 0.0};
  s.frame = Eigen::AngleAxisd(twist * x, mesh::Vector3::UnitX()).toRotationMatrix();
  return s;
}
inline mesh::Matrix6 twisted_flexibility(const mesh::Section& s, double length, double twist) {
  mesh::Matrix6 f = mesh::Matrix6::Zero();
  for (int i = 0; i < 40; ++i)
    add_flexibility(
        s, length / 40.0, {length, 0, 0}, [&](double x) { return twisted_station(length, twist, (i + x) / 40.0); }, f);
  return f;
}
/// The same as n straight pieces, each at its mid angle.
inline mesh::Matrix6 twisted_pieces_flexibility(const mesh::Section& s, double length, double twist, int n) {
  mesh::Matrix6 f = mesh::Matrix6::Zero();
  for (int i = 0; i < n; ++i) {
    const mesh::Matrix3 frame = twisted_station(length, twist, (i + 0.5) / n).frame;
    add_flexibility(
        s, length / n, {length, 0, 0},
        [&](double x) {
          return Station{{length * (i + x) / n, 0, 0}, frame};
        },
        f);
  }
  return f;
}

}  // namespace opisthion::reference
