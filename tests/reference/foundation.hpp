// SPDX-License-Identifier: MIT
#pragma once
// Beams on an elastic bed and what bone around a screw does: closed forms. k: force per length and deflection [N/mm^2].
#include <Eigen/Dense>
#include <array>
#include <cmath>
#include <complex>
#include <numbers>
#include <span>
#include <vector>

#include "mesh/system/system.hpp"

namespace opisthion::reference {

/// lambda = (k/4EI)^(1/4). Source: M. Hetenyi, Beams on Elastic Foundation (1946).
inline double hetenyi_lambda(double k, double ei) {
  return std::pow(k / (4.0 * ei), 0.25);
}

/// Flexibility of the loaded end: deflection per force, slope per force (= deflection per moment), slope per moment.
struct EndFlexibility {
  double y_P, theta_P, theta_M;
};
/// Semi-infinite: y_P = 2 lambda/k, theta_P = 2 lambda^2/k, theta_M = 4 lambda^3/k. Source: Hetenyi 1946 (from memory,
/// re-derived).
inline EndFlexibility hetenyi_semi_infinite(double k, double ei) {
  const double l = hetenyi_lambda(k, ei);
  return {2.0 * l / k, 2.0 * l * l / k, 4.0 * l * l * l / k};
}
/// Finite, free ends, D = sinh^2 a - sin^2 a, a = lambda L. Source: Hetenyi 1946, eqs 37-38 pp. 50-51 (seen in a scan).
inline EndFlexibility hetenyi_finite(double k, double ei, double length) {
  const double l = hetenyi_lambda(k, ei);
  const double a = l * length;
  const double sh = std::sinh(a), ch = std::cosh(a), s = std::sin(a), c = std::cos(a);
  const double d = sh * sh - s * s;
  return {2.0 * l / k * (sh * ch - s * c) / d, 2.0 * l * l / k * (sh * sh + s * s) / d,
          4.0 * l * l * l / k * (sh * ch + s * c) / d};
}
/// Equal forces P at both free ends: end deflection (37b). Source: as above.
inline double hetenyi_equal_end_forces(double k, double ei, double length, double force) {
  const double l = hetenyi_lambda(k, ei);
  const double a = l * length;
  return 2.0 * force * l / k * (std::cosh(a) + std::cos(a)) / (std::sinh(a) + std::sin(a));
}
/// Infinite beam, point load: y0 = P lambda/2k, M0 = P/4 lambda. Source: Hetenyi 1946 (from memory, re-derived).
inline double hetenyi_infinite_deflection(double k, double ei, double force) {
  return force * hetenyi_lambda(k, ei) / (2.0 * k);
}
inline double hetenyi_infinite_moment(double k, double ei, double force) {
  return force / (4.0 * hetenyi_lambda(k, ei));
}

/// Weightless long beam on a bed that only pushes, central load: deflection and moment over those of the bonded bed; the
/// contact length is pi/lambda. Source: derived; consistent with Y. Weitsman, J. Appl. Mech. (1970), from memory.
inline constexpr double kOneSidedBedRatio = 1.0903314107;

/// Axial bar (or, with GJ and k_t, a twisted one) on a bed with a spring at its tip.
///   K = EA mu (EA mu tanh(mu L) + K_b)/(EA mu + K_b tanh(mu L)), mu = sqrt(k/EA);  no bed: series of EA/L and K_b.
/// Layers by recursion from the tip. Source: t-z method, pile textbooks (from memory, re-derived).
inline double axial_on_bed(double ea, double k, double length, double tip_spring) {
  if (k == 0.0) return tip_spring / (1.0 + tip_spring * length / ea);
  const double mu = std::sqrt(k / ea);
  const double th = std::tanh(mu * length);
  return ea * mu * (ea * mu * th + tip_spring) / (ea * mu + tip_spring * th);
}

/// Load transfer moduli of a circle in an elastic space.
///   k_a = 2 pi G_s/ln(r_m/r_0), r_m = 2.5 L (1 - nu). Source: Randolph & Wroth, J. Geotech. Eng. 104 (1978) 1465 (from
///   memory). k_t = 4 pi G_s r_0^2: a rigid circle turning in an elastic space (exact; two-line derivation).
inline double randolph_wroth_axial(double es, double nu, double radius, double embedded_length) {
  const double g = es / (2.0 * (1.0 + nu));
  return 2.0 * std::numbers::pi * g / std::log(2.5 * embedded_length * (1.0 - nu) / radius);
}
inline double elastic_space_torsional(double es, double nu, double radius) {
  return 4.0 * std::numbers::pi * es / (2.0 * (1.0 + nu)) * radius * radius;
}
/// k = 0.65 (E_s D^4/EI)^(1/12) E_s/(1 - nu^2). Source: A. S. Vesic 1961 (formula seen in the title page of the paper and in
/// public code); for a beam resting on the half-space.
inline double vesic_lateral(double es, double nu, double diameter, double ei) {
  return 0.65 * std::pow(es * std::pow(diameter, 4) / ei, 1.0 / 12.0) * es / (1.0 - nu * nu);
}
/// k = 22.24 E_s (1 - nu)/((1 + nu)(3 - 4 nu)(2 ln(2L/D) - 0.433)). Source: Glick 1948 (from memory: do not rely on it).
inline double glick_lateral(double es, double nu, double diameter, double length) {
  return 22.24 * es * (1.0 - nu) / ((1.0 + nu) * (3.0 - 4.0 * nu) * (2.0 * std::log(2.0 * length / diameter) - 0.433));
}

struct BedLayer {
  double length, lateral, axial, torsional;
};

/// Head stiffness (v, theta; x into the bone) of a Timoshenko beam through layers of bed, free tip, in closed form.
/// In each layer v = sum of four exponentials exp(r x), r^2 = k/2kGA -+ sqrt((k/2kGA)^2 - k/EI); theta, M, Q follow;
/// the constants come from continuity and the ends. Source: derived from v' = theta + Q/kGA, theta' = M/EI, M' = -Q, Q' = k
/// v.
inline Eigen::Matrix2d layered_head_stiffness(double ei, double kga, std::span<const BedLayer> layers) {
  using Complex = std::complex<double>;
  using Matrix = Eigen::Matrix<Complex, Eigen::Dynamic, Eigen::Dynamic>;
  const int n = static_cast<int>(layers.size());
  struct Roots {
    std::array<Complex, 4> r;
  };
  std::vector<Roots> roots;
  for (const BedLayer& layer : layers) {
    const Complex half = 0.5 * layer.lateral / kga;
    const Complex root = std::sqrt(half * half - layer.lateral / ei);
    const Complex r1 = std::sqrt(half + root), r2 = std::sqrt(half - root);
    roots.push_back({{r1, -r1, r2, -r2}});
  }
  // Column j of layer i at its local x: decaying and growing terms are both normalised to be at most one inside the layer.
  const auto state = [&](int i, int j, double x) {
    const BedLayer& layer = layers[static_cast<std::size_t>(i)];
    const Complex r = roots[static_cast<std::size_t>(i)].r[static_cast<std::size_t>(j)];
    const Complex e = std::exp(r * (x - (r.real() > 0.0 ? layer.length : 0.0)));
    const Complex q = layer.lateral / r * e;
    const Complex theta = r * e - q / kga;
    Eigen::Matrix<Complex, 4, 1> s;
    s << e, theta, ei * r * theta, q;
    return s;
  };
  Matrix a = Matrix::Zero(4 * n, 4 * n);
  Matrix b = Matrix::Zero(4 * n, 2);
  for (int j = 0; j < 4; ++j) {
    a.col(j).head(2) = state(0, j, 0.0).head<2>();
    const auto tip = state(n - 1, j, layers[static_cast<std::size_t>(n - 1)].length);
    a(4 * n - 2, 4 * (n - 1) + j) = tip(2);
    a(4 * n - 1, 4 * (n - 1) + j) = tip(3);
  }
  for (int i = 0; i + 1 < n; ++i)
    for (int j = 0; j < 4; ++j) {
      a.block(2 + 4 * i, 4 * i + j, 4, 1) = state(i, j, layers[static_cast<std::size_t>(i)].length);
      a.block(2 + 4 * i, 4 * (i + 1) + j, 4, 1) = -state(i + 1, j, 0.0);
    }
  b(0, 0) = 1.0;
  b(1, 1) = 1.0;
  // Bring the four kinds of equation (deflection, slope, moment, shear) to one size.
  for (int row = 0; row < 4 * n; ++row) {
    const double size = a.row(row).cwiseAbs().maxCoeff();
    a.row(row) /= size;
    b.row(row) /= size;
  }
  const Matrix c = a.fullPivLu().solve(b);
  Eigen::Matrix2d k;
  for (int column = 0; column < 2; ++column) {
    Complex m = 0.0, q = 0.0;
    for (int j = 0; j < 4; ++j) {
      const auto s = state(0, j, 0.0);
      m += c(j, column) * s(2);
      q += c(j, column) * s(3);
    }
    k(0, column) = -q.real();  // head force on the beam
    k(1, column) = -m.real();
  }
  return k;
}

/// Transfer matrix of (v, theta, M, Q) along x by the classical fourth-order Runge-Kutta rule: knows nothing of
/// exponentials.
inline Eigen::Matrix4d transfer_by_runge_kutta(double ei, double kga, double k, double length, int steps) {
  Eigen::Matrix4d a = Eigen::Matrix4d::Zero();
  a(0, 1) = 1.0;
  a(0, 3) = 1.0 / kga;
  a(1, 2) = 1.0 / ei;
  a(2, 3) = -1.0;
  a(3, 0) = k;
  const double h = length / steps;
  Eigen::Matrix4d t = Eigen::Matrix4d::Identity();
  for (int i = 0; i < steps; ++i) {
    const Eigen::Matrix4d k1 = a * t;
    const Eigen::Matrix4d k2 = a * (t + 0.5 * h * k1);
    const Eigen::Matrix4d k3 = a * (t + 0.5 * h * k2);
    const Eigen::Matrix4d k4 = a * (t + h * k3);
    t += h / 6.0 * (k1 + 2.0 * k2 + 2.0 * k3 + k4);
  }
  return t;
}
/// Head stiffness from a transfer matrix when the tip is free: b = -T22^-1 T21 (v, theta), K = -(Q; M).
inline Eigen::Matrix2d free_tip_head_stiffness(const Eigen::Matrix4d& t) {
  const Eigen::Matrix2d b = -t.bottomRightCorner<2, 2>().inverse() * t.bottomLeftCorner<2, 2>();
  Eigen::Matrix2d k;
  k.row(0) = -b.row(1);
  k.row(1) = -b.row(0);
  return k;
}

/// Linearly increasing modulus E_s = n_h x, T = (EI/n_h)^(1/5). Integrated independently; the published long-pile table of
/// Matlock & Reese, Trans. ASCE 127 (1962) (from memory) reads 2.435, -1.623, 1.623, -1.750.
struct MatlockReese {
  double depth_over_T, deflection_P, slope_P, deflection_M, slope_M;
};
inline constexpr MatlockReese kMatlockReese10{10.0, 2.429179, -1.619399, 1.619399, -1.746770};
inline constexpr MatlockReese kMatlockReese5{5.0, 2.431483, -1.621416, 1.621416, -1.748816};

}  // namespace opisthion::reference
