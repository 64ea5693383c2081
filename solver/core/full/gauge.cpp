// SPDX-License-Identifier: MIT
//
// In global axes, per port: h = x_i - x, h0 = R_m (P_i - P), r = R_i a_i, Q = R_i R_i0^T R_m^T, t = log Q, L^-1 of it.
// With steps u, theta of the body and mu of the gauge, all along exponentials, and v = u + theta x r:
//   d_1 to first order  R_m^T (v - mu x h)        to second  theta x (theta x r)/2 - mu x v + mu x (mu x h)/2
//   d_2                 R_m^T L^-1 (theta - mu)              -mu x theta/2 through L^-1, and log_hessian in theta - mu
// The gauge makes C = sum w h . h0 + l^2 tr Q largest: with N = sum w h h0^T + l^2 Q, ax(N) = (N32 - N23, ...) is zero, N
// symmetric. A = tr N I - N, and mu = B (u, theta) with B_u = A^-1 w [h0], B_theta = A^-1 (-w [h0][r] + l^2 (tr Q I - Q)).
// Second derivatives by the Lagrangian W + lambda . ax(exp(-mu) N), lambda = A^-1 W_mu:
//   H = W_qq + S B + B^T S^T + B^T S_mu B   with S the mixed derivatives and S_mu those by mu, lambda's terms included.
// W_q is not changed by x (K answers nothing to a common translation), nor is ax(N) (sum w (P_i - P) = 0).
#include "solver/core/full/gauge.hpp"

#include <Eigen/Geometry>
#include <Eigen/LU>
#include <cassert>
#include <cmath>

#include "solver/core/full/pair_gauge.hpp"
#include "solver/core/full/three_by_three.hpp"
#include "solver/core/response.hpp"

namespace opisthion::core::full {
namespace {

using Index = Eigen::Index;
using Port = GaugeWork::Port;

// Newton on the gauge converges quadratically at least: a step below the first leaves an error below rounding.
constexpr double kLastStepSquared = 1e-18;
constexpr int kMostSteps = 20;
constexpr double kLeastCosine = -0.5;

std::size_t at_index(Index i) {
  return static_cast<std::size_t>(i);
}

/// Twice the axial vector of the skew part: ax([v]) = 2 v.
Vector3 ax(const Matrix3& m) {
  return {m(2, 1) - m(1, 2), m(0, 2) - m(2, 0), m(1, 0) - m(0, 1)};
}

/// to += Hessian in theta of n . (theta x (theta x r))/2, which is (n r^T + r n^T)/2 - n.r I.
void add_turned_arm(const Vector3& n, const Vector3& r, Matrix3& to) {
  const Vector3 half = 0.5 * r;
  add_outer(n, half, to);
  add_outer(half, n, to);
  add_to_diagonal(-n.dot(r), to);
}

/// to += f times the symmetric part of m [v]x.
void add_symmetric_times_cross(double f, const Matrix3& m, const Vector3& v, Matrix3& to) {
  Matrix3 whole = Matrix3::Zero();
  add_times_cross(0.5 * f, m, v, whole);
  add_scaled(1.0, twice_symmetric(1.0, whole), to);
}

/// tr m I - m.
Matrix3 trace_less(const Matrix3& m) {
  Matrix3 out = -m;
  add_to_diagonal(m.trace(), out);
  return out;
}

/// exp(s) to third order in s, a rotation to rounding (Cayley).
Matrix3 cayley(const Vector3& step) {
  const Vector3 h = 0.5 * step;
  const double f = 2.0 / (1.0 + h.squaredNorm());
  Matrix3 out = f * (h * h.transpose());
  out.diagonal().array() += 1.0 - f * h.squaredNorm();
  return out + f * cross_matrix(h);
}

bool positive(const Matrix3& a) {
  return a(0, 0) > 0.0 && a(0, 0) * a(1, 1) - a(0, 1) * a(1, 0) > 0.0 && a.determinant() > 0.0;
}

/// Newton from r towards the rotation nearest to m. Where the second derivative -A is negative definite the maximum is the
/// one there is (any two singular values, signed, have a positive sum). False where it is not, or at the limit of steps.
bool refine(const Matrix3& m, Matrix3& r) {
  for (int step = 0; step < kMostSteps; ++step) {
    const Matrix3 n = product(m, transposed(r));
    const Matrix3 a = trace_less(twice_symmetric(0.5, n));
    if (!positive(a)) return false;
    const Vector3 mu = product(a.inverse(), ax(n));
    r = product(cayley(mu), r);
    if (mu.squaredNorm() < kLastStepSquared) return true;
  }
  return false;
}

Matrix3 nearest_rotation(const Matrix3& m, const Matrix3& start) {
  Matrix3 r = start;
  if (refine(m, r)) return r;
  r = polar_rotation(m);
  const Matrix3 rough = r;
  return refine(m, r) ? r : rough;
}

/// The smallest rotation that takes the direction of a to that of b; none where they are nearly opposite.
Matrix3 smallest_turn(const Vector3& a, const Vector3& b) {
  const double scale = 1.0 / std::sqrt(a.squaredNorm() * b.squaredNorm());
  const double cosine = a.dot(b) * scale;
  if (!(cosine > kLeastCosine)) return Matrix3::Identity();
  const Vector3 v = scale * cross(a, b);
  Matrix3 out = Matrix3::Zero();
  add_cross(1.0, v, out);
  add_outer(v, v / (1.0 + cosine), out);
  add_to_diagonal(cosine, out);
  return out;
}

void grow(Eigen::VectorXd& v, Index n) {
  if (v.size() < n) v.resize(n);
}

/// d, the gauge, and per port what they come from. Returns N.
Matrix3 place(const GaugeElement& element, std::span<const Pose> poses, GaugeWork& work) {
  const std::size_t count = element.ports.size();
  if (work.ports.size() < count) work.ports.resize(count);
  grow(work.d, static_cast<Index>(6 * count));
  double weights = 0.0;
  for (const GaugePort& port : element.ports) weights += port.position_weight;
  const bool plain = weights == 0.0;
  const double share = 1.0 / (plain ? static_cast<double>(count) : weights);

  Vector3 mean = Vector3::Zero();
  Vector3 mean_reference = Vector3::Zero();
  std::size_t start = 0;
  for (std::size_t i = 0; i < count; ++i) {
    const GaugePort& port = element.ports[i];
    const Pose& pose = pose_of(poses, port.body);
    Port& now = work.ports[i];
    now.arm = product(pose.rotation, port.arm_mm);
    now.hat = pose.position_mm + now.arm;
    now.turn = product(pose.rotation, transposed(port.reference_rotation));
    const double w = plain ? share : port.position_weight * share;
    mean += w * now.hat;
    mean_reference += w * port.reference_mm;
    if (port.rotation_weight_mm2 > element.ports[start].rotation_weight_mm2) start = i;
  }
  Matrix3 m = Matrix3::Zero();
  std::size_t farthest = 0;
  double farthest_weighs = 0.0;
  for (std::size_t i = 0; i < count; ++i) {
    const GaugePort& port = element.ports[i];
    Port& now = work.ports[i];
    now.hat -= mean;
    now.hat_reference = port.reference_mm - mean_reference;  // in gauge axes so far
    if (port.position_weight != 0.0) {
      add_outer(port.position_weight * now.hat, now.hat_reference, m);
      const double weighs = port.position_weight * now.hat_reference.squaredNorm();
      if (weighs > farthest_weighs) {
        farthest_weighs = weighs;
        farthest = i;
      }
    }
    if (port.rotation_weight_mm2 != 0.0) add_scaled(port.rotation_weight_mm2, now.turn, m);
  }
  Matrix3 near = work.ports[start].turn;
  // Ports in a line say little about the turn round it, and from a start off the line Newton would not see the maximum.
  if (farthest_weighs > 0.0) {
    const Port& far = work.ports[farthest];
    near = product(smallest_turn(product(near, far.hat_reference), far.hat), near);
  }
  const Matrix3 gauge = nearest_rotation(m, near);
  work.gauge = gauge;
  for (std::size_t i = 0; i < count; ++i) {
    Port& now = work.ports[i];
    double* const d = work.d.data() + 6 * i;
    const Vector3 shift = transposed_product(gauge, now.hat) - now.hat_reference;
    const Vector3 log = log_rotation(transposed_product(gauge, now.turn));
    for (int k = 0; k < 3; ++k) {
      d[k] = shift.data()[k];
      d[k + 3] = log.data()[k];
    }
    now.log = product(gauge, log);
    now.hat_reference = product(gauge, now.hat_reference);
  }
  return twice_symmetric(0.5, product(m, transposed(gauge)));
}

/// Energy; force (6n, gauge axes) that pairs with d.
double linear_energy(const GaugeElement& element, GaugeWork& work) {
  const Index n = element.stiffness.rows();
  assert(n == static_cast<Index>(6 * element.ports.size()) && element.stiffness.cols() == n);
  assert(element.force0.size() == 0 || element.force0.size() == n);
  const double* const d = work.d.data();
  double* const force = work.force.data();
  double energy = 0.0;
  for (Index row = 0; row < n; row += 6) {  // a port's six sums side by side
    const double* column = element.stiffness.data() + row;
    double s0 = 0.0, s1 = 0.0, s2 = 0.0, s3 = 0.0, s4 = 0.0, s5 = 0.0;
    for (Index j = 0; j < n; ++j, column += n) {
      const double f = d[j];
      s0 += column[0] * f;
      s1 += column[1] * f;
      s2 += column[2] * f;
      s3 += column[3] * f;
      s4 += column[4] * f;
      s5 += column[5] * f;
    }
    force[row] = s0;
    force[row + 1] = s1;
    force[row + 2] = s2;
    force[row + 3] = s3;
    force[row + 4] = s4;
    force[row + 5] = s5;
    energy += 0.5 * (s0 * d[row] + s1 * d[row + 1] + s2 * d[row + 2] + s3 * d[row + 3] + s4 * d[row + 4] + s5 * d[row + 5]);
  }
  if (element.force0.size() > 0) {
    const double* const force0 = element.force0.data();
    for (Index i = 0; i < n; ++i) {
      energy += force0[i] * d[i];
      force[i] += force0[i];
    }
  }
  return energy;
}

/// What bowing adds; the stiffness (12x12), its second derivatives included, goes to work.a when it is asked for:
///   K + EA/L ((s + g')(s + g')^T - s s^T + (u + g) G),  s: stretch.
double bowing_energy(const GaugeElement& element, Order order, GaugeWork& work) {
  assert(element.ports.size() == 2 && element.bowing.stretch.size() == 12);
  const Bow bow = bow_at(element.bowing, work.d.data());
  for (int i = 0; i < 12; ++i) work.force.data()[i] += bow.force.data()[i];
  if (order == Order::hessian) {
    if (work.a.rows() != 12) work.a.resize(12, 12);
    const double* const stretch = element.bowing.stretch.data();
    const double* const slope = bow.slope.data();
    const double* k = element.stiffness.data();
    const double* geometric = element.bowing.geometric.data();
    double* to = work.a.data();
    const double axial = element.bowing.axial_N_per_mm;
    const double tension = axial * bow.elongation_mm;
    for (int j = 0; j < 12; ++j, k += 12, geometric += 12, to += 12) {
      const double by_slope = axial * (stretch[j] + slope[j]);
      const double by_stretch = axial * slope[j];
      for (int i = j < 6 ? 0 : 6; i < 12; ++i)  // blocks above the diagonal are not read
        to[i] = k[i] + (slope[i] * by_slope + stretch[i] * by_stretch) + tension * geometric[i];
    }
  }
  return bow.energy_Nmm;
}

/// The same for six laws; their stiffness (12x12) goes to work.a when it is asked for.
double law_energy(const GaugeElement& element, Order order, GaugeWork& work) {
  assert(element.ports.size() == 2);
  const double* const d = work.d.data();
  double energy = 0.0;
  Vector3 pull[2] = {Vector3::Zero(), Vector3::Zero()};
  Matrix3 slopes[2] = {Matrix3::Zero(), Matrix3::Zero()};
  for (int k = 0; k < 6; ++k) {
    const int part = k / 3;
    const Vector3 axis = element.axes.col(k % 3);
    const double* const from = d + 3 * part;
    const double e = axis.x() * (from[6] - from[0]) + axis.y() * (from[7] - from[1]) + axis.z() * (from[8] - from[2]);
    const Response r = respond(element.laws[static_cast<std::size_t>(k)], e);
    energy += r.energy;
    pull[part] += r.force * axis;
    if (order == Order::hessian) slopes[part] += (r.stiffness * axis) * axis.transpose();
  }
  for (int part = 0; part < 2; ++part) {
    for (int k = 0; k < 3; ++k) {
      work.force[3 * part + k] = -pull[part][k];
      work.force[6 + 3 * part + k] = pull[part][k];
    }
  }
  if (order == Order::hessian) {
    if (work.a.rows() != 12) work.a.resize(12, 12);
    work.a.setZero();
    for (int part = 0; part < 2; ++part) {
      const int at = 3 * part;
      work.a.block<3, 3>(at, at) = slopes[part];
      work.a.block<3, 3>(at + 6, at + 6) = slopes[part];
      work.a.block<3, 3>(at, at + 6) = -slopes[part];
      work.a.block<3, 3>(at + 6, at) = -slopes[part];
    }
  }
  return energy;
}

void store(const Matrix3& m, double* to, Index stride) {
  const double* from = m.data();
  for (int j = 0; j < 3; ++j, from += 3, to += stride) {
    to[0] = from[0];
    to[1] = from[1];
    to[2] = from[2];
  }
}

/// A 6x6 block E_i^T K_ij E_j of the stiffness on the bodies' unknowns with the gauge held,
/// E = [R_m^T, -R_m^T [r]; 0, R_m^T L^-1].
struct Block {
  Matrix3 uu, ut, tu, tt;
};
Block on_bodies(const double* k, Index stride, const Matrix3& gauge, const Matrix3& back, const Port& i, const Port& j) {
  Block out;
  out.uu = product(gauge, product(k, stride, back));
  out.ut = product(gauge, product(k + 3 * stride, stride, j.gauge_log_inverse));
  out.tu = transposed_product(i.gauge_log_inverse, product(k + 3, stride, back));
  out.tt = transposed_product(i.gauge_log_inverse, product(k + 3 + 3 * stride, stride, j.gauge_log_inverse));
  add_times_cross(-1.0, out.uu, j.arm, out.ut);
  add_times_cross(-1.0, out.tu, j.arm, out.tt);
  add_cross_times(1.0, i.arm, out.uu, out.tu);
  add_cross_times(1.0, i.arm, out.ut, out.tt);
  return out;
}

/// 3x3 at `to` += mixed_i follow_j^T + follow_i mixed_j^T: how the gauge follows.
void add_following(const Matrix3& mixed_i, const Matrix3& follow_i, const Matrix3& mixed_j, const Matrix3& follow_j,
                   double* to, Index stride) {
  const double* const a = mixed_i.data();
  const double* const b = follow_i.data();
  const double* p = follow_j.data();
  const double* q = mixed_j.data();
  for (int column = 0; column < 3; ++column, ++p, ++q, to += stride) {
    const double p0 = p[0], p1 = p[3], p2 = p[6];
    const double q0 = q[0], q1 = q[3], q2 = q[6];
    const double s0 = (a[0] * p0 + a[3] * p1 + a[6] * p2) + (b[0] * q0 + b[3] * q1 + b[6] * q2);
    const double s1 = (a[1] * p0 + a[4] * p1 + a[7] * p2) + (b[1] * q0 + b[4] * q1 + b[7] * q2);
    const double s2 = (a[2] * p0 + a[5] * p1 + a[8] * p2) + (b[2] * q0 + b[5] * q1 + b[8] * q2);
    to[0] += s0;
    to[1] += s1;
    to[2] += s2;
  }
}

/// The stiffness with the gauge held, lower triangle of blocks, and the material part of the mixed derivatives: a step mu of
/// the gauge is a turn of all bodies about the mean, backwards, body j moving by mu x (h - r), mu.
void add_material(const double* stiffness, Index count, GaugeWork& work, double* hessian, Index wide) {
  const Index stride = 6 * count;
  const Matrix3 back = transposed(work.gauge);
  for (Index i = 0; i < count; ++i) {
    Port& now = work.ports[at_index(i)];
    now.mixed_u.setZero();
    now.mixed_t.setZero();
  }
  for (Index j = 0; j < count; ++j) {
    Port& second = work.ports[at_index(j)];
    const Vector3 at_second = second.hat - second.arm;
    for (Index i = j; i < count; ++i) {
      Port& first = work.ports[at_index(i)];
      const Block k = on_bodies(stiffness + 6 * i + 6 * j * stride, stride, work.gauge, back, first, second);
      add_scaled(-1.0, k.ut, first.mixed_u);
      add_times_cross(1.0, k.uu, at_second, first.mixed_u);
      add_scaled(-1.0, k.tt, first.mixed_t);
      add_times_cross(1.0, k.tu, at_second, first.mixed_t);
      if (i != j) {
        const Vector3 at_first = first.hat - first.arm;
        add_scaled(-1.0, transposed(k.tu), second.mixed_u);
        add_transposed_times_cross(1.0, k.uu, at_first, second.mixed_u);
        add_scaled(-1.0, transposed(k.tt), second.mixed_t);
        add_transposed_times_cross(1.0, k.ut, at_first, second.mixed_t);
      }
      double* const to = hessian + 6 * i + 6 * j * wide;
      store(k.uu, to, wide);
      store(k.tu, to + 3, wide);
      store(k.ut, to + 3 * wide, wide);
      store(k.tt, to + 3 + 3 * wide, wide);
    }
  }
}

/// Second derivatives of geometry at the forces that are there, those of lambda . ax included: mixed, by the gauge, and by
/// each body's own rotation (`second`). How the gauge follows the bodies. N is that of `place`.
void add_geometric(const GaugeElement& element, const Matrix3& n, const Matrix3& a_inverse, const Vector3& lambda,
                   GaugeWork& work) {
  const std::size_t count = element.ports.size();
  Matrix3 by_gauge = Matrix3::Zero();
  add_symmetric_times_cross(-1.0, n, lambda, by_gauge);
  for (std::size_t i = 0; i < count; ++i) {
    const GaugePort& port = element.ports[i];
    Port& now = work.ports[i];
    const double weight = port.rotation_weight_mm2;
    // the material part by the gauge twice, from the mixed one before lambda's terms come in
    Matrix3 own = now.mixed_t;
    add_cross_times(1.0, now.hat - now.arm, now.mixed_u, own);
    add_scaled(-0.5, twice_symmetric(1.0, own), by_gauge);
    add_turned_arm(now.force, now.hat, by_gauge);
    add_scaled(1.0, now.second, by_gauge);

    add_cross(-1.0, now.pull, now.mixed_u);
    // -[r][pull], which is r.pull I - pull r^T
    add_outer(-now.pull, now.arm, now.mixed_t);
    add_to_diagonal(now.pull.dot(now.arm), now.mixed_t);
    add_cross(-0.5, now.moment, now.mixed_t);
    add_scaled(-1.0, now.second, now.mixed_t);
    add_turned_arm(now.pull, now.arm, now.second);
    now.follow_u.setZero();
    now.follow_t.setZero();
    if (weight != 0.0) {
      const Vector3 axial = ax(now.turn);
      add_outer(weight * axial, lambda, now.mixed_t);
      add_cross_times(-weight, lambda, now.turn, now.mixed_t);
      add_symmetric_times_cross(-weight, now.turn, lambda, now.second);
      add_to_diagonal(-weight * lambda.dot(axial), now.second);
      now.follow_t = transposed_product(trace_less(now.turn), a_inverse);
      now.follow_t *= weight;
    }
    if (port.position_weight != 0.0) {
      add_cross_times(-port.position_weight, now.hat_reference, a_inverse, now.follow_u);
      add_cross_times(1.0, now.arm, now.follow_u, now.follow_t);
    }
  }
  by_gauge *= 0.5;  // one half on either side
  for (std::size_t i = 0; i < count; ++i) {
    Port& now = work.ports[i];
    add_scaled(1.0, product(now.follow_u, by_gauge), now.mixed_u);
    add_scaled(1.0, product(now.follow_t, by_gauge), now.mixed_t);
  }
}

/// Forces, moments and logs of the ports are there.
void find_hessian(const GaugeElement& element, const Matrix3& n, const Matrix3& a_inverse, const Vector3& lambda,
                  GaugeWork& work, Answer& out) {
  const Index count = static_cast<Index>(element.ports.size());
  if (out.hessian.rows() < 6 * count) out.hessian.resize(6 * count, 6 * count);
  double* const hessian = out.hessian.data();
  const Index wide = out.hessian.rows();
  const bool in_work = element.by_laws || element.bowing.there();
  add_material(in_work ? work.a.data() : element.stiffness.data(), count, work, hessian, wide);
  add_geometric(element, n, a_inverse, lambda, work);
  for (Index j = 0; j < count; ++j) {
    const Port& second = work.ports[at_index(j)];
    for (Index i = j; i < count; ++i) {
      const Port& first = work.ports[at_index(i)];
      double* const to = hessian + 6 * i + 6 * j * wide;
      double* const right = to + 3 * wide;
      add_following(first.mixed_u, first.follow_u, second.mixed_u, second.follow_u, to, wide);
      add_following(first.mixed_t, first.follow_t, second.mixed_u, second.follow_u, to + 3, wide);
      add_following(first.mixed_u, first.follow_u, second.mixed_t, second.follow_t, right, wide);
      add_following(first.mixed_t, first.follow_t, second.mixed_t, second.follow_t, right + 3, wide);
      if (i == j) {
        const double* own = second.second.data();
        for (int q = 0; q < 3; ++q, own += 3)
          for (int p = 0; p < 3; ++p) right[3 + p + q * wide] += own[p];
        for (int q = 0; q < 6; ++q)  // both triangles to the bit
          for (int p = q + 1; p < 6; ++p) to[q + p * wide] = to[p + q * wide];
      } else {
        double* const across = hessian + 6 * j + 6 * i * wide;
        for (int q = 0; q < 6; ++q)
          for (int p = 0; p < 6; ++p) across[q + p * wide] = to[p + q * wide];
      }
    }
  }
}

}  // namespace

void evaluate(const GaugeElement& element, std::span<const Pose> poses, Order order, GaugeWork& work, Answer& out) {
  if (rides_in_mean_frame(element)) return evaluate_pair(element, poses, order, out);
  detail::evaluate_fitted(element, poses, order, work, out);
}

void detail::evaluate_fitted(const GaugeElement& element, std::span<const Pose> poses, Order order, GaugeWork& work,
                             Answer& out) {
  const Matrix3 n = place(element, poses, work);
  const std::size_t count = element.ports.size();
  const Index size = static_cast<Index>(6 * count);
  grow(work.force, size);
  out.energy_Nmm = element.by_laws ? law_energy(element, order, work) : linear_energy(element, work);
  if (element.bowing.there()) out.energy_Nmm += bowing_energy(element, order, work);
  if (order == Order::value) return;

  Vector3 by_gauge = Vector3::Zero();  // W_mu
  for (std::size_t i = 0; i < count; ++i) {
    Port& now = work.ports[i];
    const double* const f = work.force.data() + 6 * i;
    now.force = product(work.gauge, Vector3(f[0], f[1], f[2]));
    const Vector3 pair = product(work.gauge, Vector3(f[3], f[4], f[5]));
    const LogSeries series = log_series(now.log.squaredNorm());
    const Vector3 once = cross(now.log, pair);
    now.moment = pair + 0.5 * once + series.c * cross(now.log, once);  // L^-T m
    by_gauge -= cross(now.hat, now.force) + now.moment;
    if (order == Order::hessian) {
      now.gauge_log_inverse = transposed_product(work.gauge, left_jacobian_inverse(now.log, series));
      now.second = log_hessian(now.log, pair, series);
    }
  }
  const Matrix3 a_inverse = trace_less(n).inverse();
  const Vector3 lambda = product(a_inverse, by_gauge);
  grow(out.gradient, size);
  for (std::size_t i = 0; i < count; ++i) {
    const GaugePort& port = element.ports[i];
    Port& now = work.ports[i];
    now.pull = now.force + port.position_weight * cross(lambda, now.hat_reference);
    Vector3 spin = cross(now.arm, now.pull) + now.moment;
    if (port.rotation_weight_mm2 != 0.0) {
      now.turn = product(now.turn, transposed(work.gauge));
      spin += port.rotation_weight_mm2 * (now.turn.trace() * lambda - transposed_product(now.turn, lambda));
    }
    double* const to = out.gradient.data() + 6 * i;
    for (int k = 0; k < 3; ++k) {
      to[k] = now.pull.data()[k];
      to[k + 3] = spin.data()[k];
    }
  }
  if (order == Order::hessian) find_hessian(element, n, a_inverse, lambda, work, out);
}

Bow bow_at(const Bowing& bowing, const double* d) {
  Bow out;
  double* const slope = out.slope.data();
  const double* const s = bowing.stretch.data();
  const double* g = bowing.geometric.data();
  for (int i = 0; i < 12; ++i) slope[i] = 0.0;
  double u = 0.0;
  for (int j = 0; j < 12; ++j, g += 12) {
    u += s[j] * d[j];
    for (int i = 0; i < 12; ++i) slope[i] += g[i] * d[j];
  }
  double twice = 0.0;
  for (int i = 0; i < 12; ++i) twice += slope[i] * d[i];
  out.shortening_mm = 0.5 * twice;
  out.elongation_mm = u + out.shortening_mm;
  out.energy_Nmm = bowing.axial_N_per_mm * out.shortening_mm * (u + 0.5 * out.shortening_mm);
  const double by_stretch = bowing.axial_N_per_mm * out.shortening_mm;
  const double tension = bowing.axial_N_per_mm * out.elongation_mm;
  for (int i = 0; i < 12; ++i) out.force.data()[i] = by_stretch * s[i] + tension * slope[i];
  return out;
}

void deformation(const GaugeElement& element, std::span<const Pose> poses, GaugeWork& work) {
  const Index size = static_cast<Index>(6 * element.ports.size());
  if (work.d.size() != size) work.d.resize(size);
  place(element, poses, work);
}

/// In the same gauge: with these references N becomes sum w h h^T + l^2 I, which is symmetric, so R_m stays.
void take_reference(GaugeElement& element, std::span<const Pose> poses, GaugeWork& work) {
  place(element, poses, work);
  for (std::size_t i = 0; i < element.ports.size(); ++i) {
    GaugePort& port = element.ports[i];
    port.reference_mm = work.gauge.transpose() * work.ports[i].hat;
    port.reference_rotation = work.gauge.transpose() * pose_of(poses, port.body).rotation;
  }
}

}  // namespace opisthion::core::full
