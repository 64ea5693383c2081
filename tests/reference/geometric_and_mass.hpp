// SPDX-License-Identifier: MIT
#pragma once
// Geometric stiffness and consistent mass of a straight beam, on the test's side: the program has neither in its first part,
// but buckling loads and frequencies are sharp checks of its elastic stiffness.
#include <Eigen/Core>
#include <array>
#include <cmath>

#include "mesh/system/system.hpp"

namespace opisthion::reference {

/// Shape functions of the exact Timoshenko beam, Phi = 12EI/(kGA L^2); Phi = 0 gives Hermite's cubics.
/// Unknowns (v_a, theta_a, v_b, theta_b). Source: Przemieniecki, Theory of Matrix Structural Analysis (1968), from memory.
struct BeamShapes {
  Eigen::Vector4d v, dv, theta;
};
inline BeamShapes beam_shapes(double xi, double length, double phi) {
  const double x2 = xi * xi, x3 = x2 * xi, d = 1.0 + phi;
  BeamShapes s;
  s.v << 1 - 3 * x2 + 2 * x3 + phi * (1 - xi), length * (xi - 2 * x2 + x3 + 0.5 * phi * (xi - x2)),
      3 * x2 - 2 * x3 + phi * xi, length * (-x2 + x3 - 0.5 * phi * (xi - x2));
  s.dv << (-6 * xi + 6 * x2 - phi) / length, 1 - 4 * xi + 3 * x2 + 0.5 * phi * (1 - 2 * xi),
      (6 * xi - 6 * x2 + phi) / length, -2 * xi + 3 * x2 - 0.5 * phi * (1 - 2 * xi);
  s.theta << 6 * (-xi + x2) / length, 1 - 4 * xi + 3 * x2 + phi * (1 - xi), 6 * (xi - x2) / length,
      -2 * xi + 3 * x2 + phi * xi;
  s.v /= d;
  s.dv /= d;
  s.theta /= d;
  return s;
}

struct MassDensity {
  double per_length = 0.0;  ///< rho A
  double rotary_y = 0.0;    ///< rho I about y (0: rotary inertia left out)
  double rotary_z = 0.0;
  double polar = 0.0;  ///< rho times the polar moment of area
};

namespace detail {
inline double phi_of(double ei, double shear, double length) {
  return 12.0 * ei / (shear * length * length);
}
/// Rows of the 12 unknowns for bending in x-y (v, rz) and x-z (w, -ry).
inline constexpr std::array<int, 4> kPlaneXY{1, 5, 7, 11}, kPlaneXZ{2, 4, 8, 10};
inline constexpr std::array<double, 4> kSignXY{1, 1, 1, 1}, kSignXZ{1, -1, 1, -1};
inline void add_plane(const Eigen::Matrix4d& m, bool xy, mesh::Matrix12& out) {
  const auto& at = xy ? kPlaneXY : kPlaneXZ;
  const auto& sign = xy ? kSignXY : kSignXZ;
  for (std::size_t i = 0; i < 4; ++i)
    for (std::size_t j = 0; j < 4; ++j) out(at[i], at[j]) += sign[i] * sign[j] * m(static_cast<int>(i), static_cast<int>(j));
}
template <class Integrand>
Eigen::Matrix4d integrate(double length, double phi, Integrand integrand) {
  // Four Gauss points: exact to degree seven, the mass needs six.
  static const std::array<double, 4> at{-0.8611363115940526, -0.3399810435848563, 0.3399810435848563, 0.8611363115940526};
  static const std::array<double, 4> weight{0.3478548451374538, 0.6521451548625461, 0.6521451548625461, 0.3478548451374538};
  Eigen::Matrix4d m = Eigen::Matrix4d::Zero();
  for (std::size_t i = 0; i < 4; ++i) m += 0.5 * length * weight[i] * integrand(beam_shapes(0.5 * (1 + at[i]), length, phi));
  return m;
}
}  // namespace detail

/// Geometric stiffness for unit axial tension (integral of v'^2 in both planes), beam's own frame.
inline mesh::Matrix12 geometric_stiffness(const mesh::Section& s, double length) {
  mesh::Matrix12 k = mesh::Matrix12::Zero();
  const auto f = [](const BeamShapes& n) -> Eigen::Matrix4d { return n.dv * n.dv.transpose(); };
  detail::add_plane(detail::integrate(length, detail::phi_of(s.bending_z_Nmm2, s.shear_y_N, length), f), true, k);
  detail::add_plane(detail::integrate(length, detail::phi_of(s.bending_y_Nmm2, s.shear_z_N, length), f), false, k);
  return k;
}

inline mesh::Matrix12 consistent_mass(const mesh::Section& s, double length, const MassDensity& d) {
  mesh::Matrix12 m = mesh::Matrix12::Zero();
  const auto plane = [&](double rotary) {
    return [&d, rotary](const BeamShapes& n) -> Eigen::Matrix4d {
      return d.per_length * n.v * n.v.transpose() + rotary * n.theta * n.theta.transpose();
    };
  };
  detail::add_plane(detail::integrate(length, detail::phi_of(s.bending_z_Nmm2, s.shear_y_N, length), plane(d.rotary_z)),
                    true, m);
  detail::add_plane(detail::integrate(length, detail::phi_of(s.bending_y_Nmm2, s.shear_z_N, length), plane(d.rotary_y)),
                    false, m);
  for (const int first : {0, 3}) {
    const double total = length * (first == 0 ? d.per_length : d.polar);
    m(first, first) += total / 3.0;
    m(first + 6, first + 6) += total / 3.0;
    m(first, first + 6) += total / 6.0;
    m(first + 6, first) += total / 6.0;
  }
  return m;
}

}  // namespace opisthion::reference
