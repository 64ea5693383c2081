// SPDX-License-Identifier: MIT
//
// Q_i = R_i R_i0^T, Q_a^T Q_b = exp(phi), h = phi/2, R_m = Q_a exp(h) = Q_b exp(-h): the mean frame, which maximises
// tr R_m^T (Q_a + Q_b). With y = x_b - x_a the deformation d_2 - d_1 is D = (e, phi), e = R_m^T y - (P_b - P_a), and as d_1
// = -D/2, d_2 = D/2, W is a function of D alone. F = W_e, m = W_phi, their stiffness X = W_ee, M = W_ephi, K = W_phiphi.
//
// Steps u_i, and alpha, beta of the bodies' rotations along exponentials, in the axes of the gauge: exp(phi) becomes
// exp(h) exp(-alpha) exp(beta) exp(h), and exp(-alpha) exp(beta) = exp(g) with g = delta - s x delta/2, delta = beta -
// alpha, s = (alpha + beta)/2 (Baker, Campbell, Hausdorff, to second order). Along exp(h) exp(t g) exp(h) = exp(h(t))^2
//   phi' = B(h) k,  k' = tau/2 (h x k) x k,  k(0) = g        B = h/sin h across h, 1 along it = f I + k_f h h^T
//   m . phi'' = (f' + (k_f + tau) f/2) (h.g)(m.g) + (k_f' + k_f^2 + tau k_f/2) (m.h)(h.g)^2 + (k_f f - tau)/2 (m.h) g.g
// where f = h/sin h, k_f = (1 - f)/h^2, tau = tan(h/2)/h are functions of h^2, and primes on them derivatives by it. The
// frame is turned (in its own axes) by exp(s) exp(nu), as alpha and beta are exp(s) exp(-+g/2) to second order; nu takes the
// same sign with a and b exchanged, and from its rate on the right, -tau/2 h x k,
//   nu = -tau/2 h x g + kappa (h.g) (h x g),  kappa = -(tau' + tau (k_f + tau)/2)/4
//
// To first order, with v' = sum +-(u_i + theta_i x rho_i), + for b, rho_i from the body to half way between the points,
//   e' = v' + E delta,  E = tau/2 ((h.y) I - h y^T),  phi' = B delta
//   W' = F . v' + p . delta,  p = B m + tau/2 (c x h),  c = y x F
// To second order the terms of s with itself and of each theta with itself cancel but for what depends on delta, and
//   W'' = [v' delta] [X Y; Y^T Z] [v' delta] - 2 F . (s x (u_b - u_a))
//         - F . (alpha x (beta x rho_b)) + F . (beta x (alpha x rho_a)) - p . (alpha x beta)
//   Y = X E + M B - tau/2 ((h.F) I - h F^T)
//   Z = E^T X E + E^T M B + B M^T E + B K B + [m . phi'']
//       + tau^2/4 (sym (F x h)(y x h)^T - F.y (h^2 I - h h^T)) - 2 kappa sym h (c x h)^T + (sym F y^T - F.y I)/4
// with sym the symmetric part. No term has a preferred frame, so that all of it is done in global axes.
#include "solver/core/full/pair_gauge.hpp"

#include <array>
#include <cassert>
#include <cmath>

#include "solver/core/full/three_by_three.hpp"
#include "solver/core/response.hpp"

namespace opisthion::core::full {
namespace {

using Index = Eigen::Index;

/// k_f = (1 - x/sin x)/x^2 and tau = tan(x/2)/x by powers of x^2: -(4^n - 2) and 2 (4^n - 1) times |B_2n|/(2n)!.
constexpr std::array<double, 11> kAcross = {-0.16666666666666666,   -0.019444444444444445,   -0.00205026455026455,
                                            -0.0002099867724867725, -2.1336045641601196e-05, -2.1633474427786596e-06,
                                            -2.192327134456764e-07, -2.2213930853920414e-08, -2.2507674795567867e-09,
                                            -2.280510770721821e-10, -2.3106421580996967e-11};
constexpr std::array<double, 11> kTangent = {0.5,
                                             0.041666666666666664,
                                             0.004166666666666667,
                                             0.00042162698412698415,
                                             4.271384479717813e-05,
                                             4.327751723585057e-06,
                                             4.384921919644142e-07,
                                             4.4428539643900096e-08,
                                             4.501552131237686e-09,
                                             4.5610258911810394e-10,
                                             4.6212854179999594e-11};
// Terms fall by (x/pi)^2 each: up to here they reach rounding, and the closed forms would lose three digits.
constexpr double kSeriesUpTo = 0.25;
// Up to here (relative turns of 16 deg) the first seven do.
constexpr double kShortSeriesUpTo = 0.02;
constexpr std::size_t kShortSeries = 7;

double dot(const Vector3& a, const Vector3& b) {
  const double* const p = a.data();
  const double* const q = b.data();
  return p[0] * q[0] + p[1] * q[1] + p[2] * q[2];
}

/// to += f v.
void add_times(double f, const Vector3& v, Vector3& to) {
  for (int i = 0; i < 3; ++i) to.data()[i] += f * v.data()[i];
}

/// to += f a a^T.
void add_square(double f, const Vector3& a, Matrix3& to) {
  const double* const p = a.data();
  double* const out = to.data();
  const double x = f * p[0], y = f * p[1];
  const double xy = x * p[1], xz = x * p[2], yz = y * p[2];
  out[0] += x * p[0], out[4] += y * p[1], out[8] += f * p[2] * p[2];
  out[1] += xy, out[3] += xy;
  out[2] += xz, out[6] += xz;
  out[5] += yz, out[7] += yz;
}

/// to += a b^T + b a^T.
void add_both(const Vector3& a, const Vector3& b, Matrix3& to) {
  const double* const p = a.data();
  const double* const q = b.data();
  double* const out = to.data();
  const double xy = p[0] * q[1] + p[1] * q[0], xz = p[0] * q[2] + p[2] * q[0], yz = p[1] * q[2] + p[2] * q[1];
  out[0] += 2.0 * p[0] * q[0], out[4] += 2.0 * p[1] * q[1], out[8] += 2.0 * p[2] * q[2];
  out[1] += xy, out[3] += xy;
  out[2] += xz, out[6] += xz;
  out[5] += yz, out[7] += yz;
}

/// Where the bodies are to each other. Global axes unless a name says otherwise.
struct Relative {
  Matrix3 gauge;  ///< R_m
  Vector3 phi;    ///< gauge axes
  Vector3 h, y;
  Vector3 rho_a, rho_b;
  double angle = 0.0, sine = 0.0, cosine = 1.0;  ///< of h
};

/// exp(h) from the quaternion of exp(phi), which is (cos h, sin h axis): no angle halved, none found twice.
Relative relative_pose(const GaugeElement& element, std::span<const Pose> poses) {
  const GaugePort& a = element.ports[0];
  const GaugePort& b = element.ports[1];
  const Pose& pose_a = pose_of(poses, a.body);
  const Pose& pose_b = pose_of(poses, b.body);
  Relative out;
  out.rho_a = product(pose_a.rotation, a.arm_mm);
  out.rho_b = product(pose_b.rotation, b.arm_mm);
  for (int i = 0; i < 3; ++i) {
    const double y =
        (pose_b.position_mm.data()[i] - pose_a.position_mm.data()[i]) + (out.rho_b.data()[i] - out.rho_a.data()[i]);
    out.y.data()[i] = y;
    out.rho_a.data()[i] += 0.5 * y;
    out.rho_b.data()[i] -= 0.5 * y;
  }
  const Matrix3 turn_a = product(pose_a.rotation, transposed(a.reference_rotation));
  const Matrix3 turn_b = product(pose_b.rotation, transposed(b.reference_rotation));
  Quaternion turn = quaternion_of(transposed_product(turn_a, turn_b));
  const double square = dot(turn.vector, turn.vector);
  const double scale = 1.0 / std::sqrt(turn.scalar * turn.scalar + square);
  turn.vector *= scale;
  out.cosine = scale * turn.scalar;
  out.sine = scale * std::sqrt(square);
  out.angle = std::atan2(out.sine, out.cosine);
  const double over_sine = out.sine > 0.0 ? out.angle / out.sine : 1.0;
  out.phi = (2.0 * over_sine) * turn.vector;
  Matrix3 half = Matrix3::Zero();
  add_square(1.0 / (1.0 + out.cosine), turn.vector, half);
  add_cross(1.0, turn.vector, half);
  add_to_diagonal(out.cosine, half);
  out.gauge = product(turn_a, half);
  out.h = product(turn_a, Vector3(0.5 * out.phi));
  return out;
}

/// W and its derivatives by D; forces and stiffness in global axes.
struct Stress {
  double energy = 0.0;
  Vector3 force = Vector3::Zero(), moment = Vector3::Zero();
  Matrix3 x = Matrix3::Zero(), k = Matrix3::Zero();
  Matrix3 mixed = Matrix3::Zero();  ///< M; laws have none
};

Stress by_laws(const GaugeElement& element, const Relative& at, Order order) {
  Stress out;
  const Matrix3 axes = product(at.gauge, element.axes);  // global_from_laws
  Vector3 apart;
  for (int i = 0; i < 3; ++i)
    apart.data()[i] = element.ports[1].reference_mm.data()[i] - element.ports[0].reference_mm.data()[i];
  const Vector3 now = transposed_product(axes, at.y);
  const Vector3 then = transposed_product(element.axes, apart);
  const Vector3 turn = transposed_product(element.axes, at.phi);
  for (std::size_t i = 0; i < 3; ++i) {
    const double* const column = axes.data() + 3 * i;
    const Vector3 axis(column[0], column[1], column[2]);
    const Response slide = respond(element.laws[i], now.data()[i] - then.data()[i]);
    const Response roll = respond(element.laws[i + 3], turn.data()[i]);
    out.energy += slide.energy + roll.energy;
    add_times(slide.force, axis, out.force);
    add_times(roll.force, axis, out.moment);
    if (order != Order::hessian) continue;
    add_square(slide.stiffness, axis, out.x);
    add_square(roll.stiffness, axis, out.k);
  }
  return out;
}

/// d_1 = -D/2 and d_2 = D/2 in d^T K d/2 + f0 . d, whatever K is.
Stress linear(const GaugeElement& element, const Relative& at, Order order) {
  assert(element.stiffness.rows() == 12 && element.stiffness.cols() == 12);
  assert(element.force0.size() == 0 || element.force0.size() == 12);
  double on_relative[36];
  double force[6];
  double d[6];
  const Vector3 moved = transposed_product(at.gauge, at.y);
  for (int i = 0; i < 3; ++i) {
    d[i] = moved.data()[i] - (element.ports[1].reference_mm.data()[i] - element.ports[0].reference_mm.data()[i]);
    d[i + 3] = at.phi.data()[i];
  }
  for (double& f : force) f = 0.0;
  const double* column = element.stiffness.data();
  double* to = on_relative;
  for (int j = 0; j < 6; ++j, column += 12, to += 6) {
    for (int i = 0; i < 6; ++i) {
      to[i] = 0.25 * ((column[i] - column[i + 6]) - (column[i + 72] - column[i + 78]));
      force[i] += to[i] * d[j];
    }
  }
  Stress out;
  for (int i = 0; i < 6; ++i) out.energy += 0.5 * force[i] * d[i];
  if (element.force0.size() > 0) {
    const double* const force0 = element.force0.data();
    for (int i = 0; i < 6; ++i) {
      const double own = 0.5 * (force0[i + 6] - force0[i]);
      out.energy += own * d[i];
      force[i] += own;
    }
  }
  if (order == Order::value) return out;
  out.force = product(at.gauge, Vector3(force[0], force[1], force[2]));
  out.moment = product(at.gauge, Vector3(force[3], force[4], force[5]));
  if (order == Order::gradient) return out;
  const Matrix3 back = transposed(at.gauge);
  out.x = product(at.gauge, product(on_relative, 6, back));
  out.k = product(at.gauge, product(on_relative + 21, 6, back));
  out.mixed = product(at.gauge, product(on_relative + 18, 6, back));
  return out;
}

struct Across {
  double f = 1.0, k = 0.0, tau = 0.5;  ///< k: k_f
  double f_slope = 0.0, k_slope = 0.0, tau_slope = 0.0;
};

Across across(const Relative& at) {
  Across out;
  const double square = at.angle * at.angle;
  if (square < kSeriesUpTo) {
    double k = 0.0, k_slope = 0.0, tau = 0.0, tau_slope = 0.0;
    for (std::size_t n = square < kShortSeriesUpTo ? kShortSeries : kAcross.size(); n-- > 0;) {
      k_slope = k_slope * square + k;
      tau_slope = tau_slope * square + tau;
      k = k * square + kAcross[n];
      tau = tau * square + kTangent[n];
    }
    out.k = k;
    out.k_slope = k_slope;
    out.tau = tau;
    out.tau_slope = tau_slope;
    out.f = 1.0 - square * k;
    out.f_slope = -k - square * k_slope;
    return out;
  }
  const double one = 1.0 + at.cosine;
  out.f = at.angle / at.sine;
  out.f_slope = 0.5 * out.f * (1.0 - out.f * at.cosine) / square;
  out.k = (1.0 - out.f) / square;
  out.k_slope = -(out.f_slope + out.k) / square;
  out.tau = at.sine / (one * at.angle);
  out.tau_slope = 0.5 * (1.0 / one - out.tau) / square;
  return out;
}

/// Y and Z of the head.
struct Second {
  Matrix3 y = Matrix3::Zero(), z = Matrix3::Zero();
};

Second second_derivatives(const Relative& at, const Stress& stress, const Across& s, bool couples, const Vector3& c_by_h) {
  const Vector3& h = at.h;
  const Vector3& y = at.y;
  const Vector3& force = stress.force;
  const double half_tau = 0.5 * s.tau;
  const double tau_square = half_tau * half_tau;
  const double hy = dot(h, y), hf = dot(h, force), fy = dot(force, y), mh = dot(stress.moment, h);
  const double kappa = -0.25 * (s.tau_slope + half_tau * (s.k + s.tau));
  const Vector3 xh = product(stress.x, h);
  const Vector3 kh = product(stress.k, h);
  Second out;

  // X E - tau/2 ((h.F) I - h F^T)
  const Vector3 half_h = half_tau * h;
  add_scaled(half_tau * hy, stress.x, out.y);
  add_outer(-half_tau * xh, y, out.y);
  add_outer(half_h, force, out.y);
  add_to_diagonal(-half_tau * hf, out.y);

  add_scaled(tau_square * hy * hy, stress.x, out.z);
  add_scaled(s.f * s.f, stress.k, out.z);
  add_to_diagonal(0.5 * (s.k * s.f - s.tau) * mh - tau_square * fy * dot(h, h) - 0.25 * fy, out.z);
  Vector3 with_h = (s.f * s.k) * kh;
  add_times(0.5 * (s.f_slope + 0.5 * (s.k + s.tau) * s.f), stress.moment, with_h);
  add_times(-kappa, c_by_h, with_h);
  const double own = (s.k_slope + s.k * s.k + half_tau * s.k) * mh + tau_square * fy + s.k * s.k * dot(h, kh);
  add_times(0.5 * own, h, with_h);
  add_both(h, with_h, out.z);
  Vector3 with_y = 0.125 * force;
  add_times(-tau_square * hy, xh, with_y);
  add_times(0.5 * tau_square * dot(h, xh), y, with_y);
  add_both(y, with_y, out.z);
  add_both((0.5 * tau_square) * cross(force, h), cross(y, h), out.z);

  if (couples) {
    Matrix3 turned = s.f * stress.mixed;  // M B
    add_outer(s.k * product(stress.mixed, h), h, turned);
    add_scaled(1.0, turned, out.y);
    add_scaled(half_tau * hy, twice_symmetric(1.0, turned), out.z);
    add_both(y, -transposed_product(turned, half_h), out.z);
  }
  return out;
}

/// [rho_i] U_j - Y^T [rho_j] + Z with U_j = Y - X [rho_j].
Matrix3 turns(const Vector3& rho_i, const Matrix3& u_j, const Vector3& rho_j, const Second& second) {
  Matrix3 out = second.z;
  add_cross_times(1.0, rho_i, u_j, out);
  add_transposed_times_cross(-1.0, second.y, rho_j, out);
  return out;
}

/// A body's own 6x6, symmetric to the bit. `ut`: by its translation and its rotation.
void store_own(const Matrix3& uu, const Matrix3& ut, const Matrix3& tt, double* to, Index wide) {
  const double* const p = uu.data();
  const double* const q = ut.data();
  const double* const r = tt.data();
  for (int j = 0; j < 3; ++j) {
    for (int i = 0; i < 3; ++i) {
      const int lower = i >= j ? i + 3 * j : j + 3 * i;
      to[i + j * wide] = p[lower];
      to[i + (j + 3) * wide] = q[i + 3 * j];
      to[j + 3 + i * wide] = q[i + 3 * j];
      to[i + 3 + (j + 3) * wide] = r[lower];
    }
  }
}

/// A 3x3 and its transpose in the place across.
void store_both(const Matrix3& m, double* to, double* across, Index wide) {
  const double* const p = m.data();
  for (int j = 0; j < 3; ++j) {
    for (int i = 0; i < 3; ++i) {
      to[i + j * wide] = p[i + 3 * j];
      across[j + i * wide] = p[i + 3 * j];
    }
  }
}

void find_hessian(const Relative& at, const Stress& stress, const Second& second, const Vector3& p, Answer& out) {
  if (out.hessian.rows() < 12) out.hessian.resize(12, 12);
  const Index wide = out.hessian.rows();
  double* const aa = out.hessian.data();
  const Matrix3& x = stress.x;
  const Vector3& force = stress.force;
  Matrix3 u_a = second.y;
  add_times_cross(-1.0, x, at.rho_a, u_a);
  Matrix3 u_b = second.y;
  add_times_cross(-1.0, x, at.rho_b, u_b);
  const Matrix3 tt_aa = turns(at.rho_a, u_a, at.rho_a, second);
  const Matrix3 tt_bb = turns(at.rho_b, u_b, at.rho_b, second);
  Matrix3 tt_ba = turns(at.rho_b, u_a, at.rho_a, second);
  // minus what alpha and beta have together: rows beta, columns alpha
  add_outer(0.5 * force, at.rho_b, tt_ba);
  add_outer(-0.5 * at.rho_a, force, tt_ba);
  add_to_diagonal(0.5 * (dot(at.rho_a, force) - dot(at.rho_b, force)), tt_ba);
  add_cross(0.5, p, tt_ba);

  Matrix3 minus_x = Matrix3::Zero(), minus_tt = Matrix3::Zero();
  add_scaled(-1.0, x, minus_x);
  add_scaled(-1.0, tt_ba, minus_tt);
  add_cross(0.5, force, u_a);   // u_a, alpha
  add_cross(-0.5, force, u_b);  // u_b, beta
  store_own(x, u_a, tt_aa, aa, wide);
  store_own(x, u_b, tt_bb, aa + 6 + 6 * wide, wide);
  double* const ba = aa + 6;
  double* const ab = aa + 6 * wide;
  store_both(minus_x, ba, ab, wide);
  // across, the turn that s has of the other body: -U_a - [F]/2 and -U_b + [F]/2, as above with the other sign
  Matrix3 u_b_alpha = Matrix3::Zero(), u_a_beta = Matrix3::Zero();
  add_scaled(-1.0, u_a, u_b_alpha);
  add_scaled(-1.0, u_b, u_a_beta);
  store_both(u_b_alpha, ba + 3 * wide, ab + 3, wide);
  store_both(u_a_beta, ab + 3 * wide, ba + 3, wide);
  store_both(minus_tt, ba + 3 + 3 * wide, ab + 3 + 3 * wide, wide);
}

}  // namespace

void evaluate_pair(const GaugeElement& element, std::span<const Pose> poses, Order order, Answer& out) {
  assert(rides_in_mean_frame(element));
  const Relative at = relative_pose(element, poses);
  const Stress stress = element.by_laws ? by_laws(element, at, order) : linear(element, at, order);
  out.energy_Nmm = stress.energy;
  if (order == Order::value) return;
  const Across s = across(at);
  const Vector3 c_by_h = cross(cross(at.y, stress.force), at.h);
  Vector3 p = s.f * stress.moment;
  add_times(s.k * dot(at.h, stress.moment), at.h, p);
  add_times(0.5 * s.tau, c_by_h, p);
  const Vector3 about_a = cross(at.rho_a, stress.force);
  const Vector3 about_b = cross(at.rho_b, stress.force);
  if (out.gradient.size() < 12) out.gradient.resize(12);
  double* const to = out.gradient.data();
  for (int i = 0; i < 3; ++i) {
    to[i] = -stress.force.data()[i];
    to[i + 3] = -(about_a.data()[i] + p.data()[i]);
    to[i + 6] = stress.force.data()[i];
    to[i + 9] = about_b.data()[i] + p.data()[i];
  }
  if (order == Order::hessian) find_hessian(at, stress, second_derivatives(at, stress, s, !element.by_laws, c_by_h), p, out);
}

}  // namespace opisthion::core::full
