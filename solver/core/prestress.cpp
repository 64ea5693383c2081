// SPDX-License-Identifier: MIT
#include "solver/core/prestress.hpp"

#include <Eigen/Geometry>
#include <algorithm>

#include "solver/core/blocks.hpp"
#include "solver/core/cross_matrix.hpp"
#include "solver/core/functional.hpp"

namespace opisthion::core {
namespace {

using mesh::BodyId;
using mesh::Matrix3;
using mesh::Matrix6;
using mesh::Vector3;
using mesh::Vector6;
using Matrix36 = Eigen::Matrix<double, 3, 6>;

constexpr double kSquare = 0.5;  // a leg that runs along the way it could slide on has no place square to it

/// Motion of a body's point, to first order.
Matrix36 point_motion(const Vector3& arm) {
  Matrix36 m;
  m << Matrix3::Identity(), -cross_matrix(arm);
  return m;
}

/// Hessian of n . (theta x (theta x arm)) / 2: the second-order motion of a point along n.
Matrix3 arm_hessian(const Vector3& n, const Vector3& arm) {
  return 0.5 * (n * arm.transpose() + arm * n.transpose()) - n.dot(arm) * Matrix3::Identity();
}

void add(BlockList& out, BodyId row, BodyId column, const Matrix6& block) {
  out.push_back({row, column, block});
  if (row != column) out.push_back({column, row, block.transpose()});
}

/// force * (gap's second variation): gap = n . z + z^T H z / 2 in the axes of b, z from b's surface to a's point.
void add_gap(const mesh::System& system, BodyId a, BodyId b, const Vector3& point_mm, const Vector3& n, const Matrix3& bend,
             double force, BlockList& out) {
  if (force == 0.0 || a == b) return;
  const Vector3 arm_a = point_mm - mesh::body(system, a).position_mm;
  const Vector3 arm_b = point_mm - mesh::body(system, b).position_mm;
  const Matrix36 da = point_motion(arm_a);
  const Matrix36 db = -point_motion(arm_b);
  Matrix6 aa = da.transpose() * bend * da;
  Matrix6 bb = db.transpose() * bend * db;
  Matrix6 ab = da.transpose() * bend * db;
  aa.bottomRightCorner<3, 3>() += arm_hessian(n, arm_a);
  bb.bottomRightCorner<3, 3>() -= arm_hessian(n, arm_b);
  // -n . (theta_b x z1) = theta_b . (n x z1)
  const Matrix36 turn_a = cross_matrix(n) * da;
  const Matrix36 turn_b = cross_matrix(n) * db;
  ab.rightCols<3>() += turn_a.transpose();
  bb.bottomRows<3>() += turn_b;
  bb.rightCols<3>() += turn_b.transpose();
  add(out, a, a, force * aa);
  add(out, a, b, force * ab);
  add(out, b, b, force * bb);
}

}  // namespace

std::vector<SlidesAlong> slides_of(const mesh::System& system, int strand) {
  std::vector<SlidesAlong> out;
  const std::vector<mesh::Attachment>& path = system.strands[static_cast<std::size_t>(strand)].path;
  const auto on_path = [&](BodyId id) {
    return is_metal(system, id) &&
           std::any_of(path.begin(), path.end(), [id](const mesh::Attachment& at) { return at.body == id; });
  };
  for (const mesh::Slip& slip : system.slips) {
    if (slip.turning) continue;
    const bool feeds = std::any_of(slip.normal.begin(), slip.normal.end(), [strand](const mesh::NormalForce& n) {
      return n.of == mesh::NormalForce::Of::strand && n.index == strand;
    });
    if (!feeds) continue;
    for (const BodyId id : {slip.a.body, slip.b})
      if (on_path(id)) out.push_back({id, slip.direction});
  }
  return out;
}

void add_strand_prestress(const mesh::Strand& strand, std::span<const SlidesAlong> slides, const mesh::System& system,
                          double tension_N, BlockList& out) {
  if (tension_N == 0.0) return;
  for (std::size_t i = 0; i + 1 < strand.path.size(); ++i) {
    const mesh::Attachment& from = strand.path[i];
    const mesh::Attachment& to = strand.path[i + 1];
    const Vector3 along = to.point_mm - from.point_mm;
    const double length = along.norm();
    if (length == 0.0 || from.body == to.body) continue;  // a segment on one body keeps its length
    const Vector3 n = along / length;
    const Vector3 arm_from = from.point_mm - mesh::body(system, from.body).position_mm;
    const Vector3 arm_to = to.point_mm - mesh::body(system, to.body).position_mm;
    const Matrix3 across = (Matrix3::Identity() - n * n.transpose()) / length;
    const Matrix36 d_from = point_motion(arm_from);
    const Matrix36 d_to = point_motion(arm_to);
    Matrix6 ff = d_from.transpose() * across * d_from;
    Matrix6 tt = d_to.transpose() * across * d_to;
    Matrix6 ft = -(d_from.transpose() * across * d_to);
    ff.bottomRightCorner<3, 3>() -= arm_hessian(n, arm_from);
    tt.bottomRightCorner<3, 3>() += arm_hessian(n, arm_to);
    // Slipping through its loop, the body leaves the leg where it is: (T/2L) (d . slip)^2 is not paid. The slip is that of
    // two points at one place, as friction counts it; what the leg's other end adds by turning stays.
    for (const SlidesAlong& slide : slides) {
      if (slide.body != from.body && slide.body != to.body) continue;
      const bool at_to = slide.body == to.body;
      const Vector3 way = slide.direction - slide.direction.dot(n) * n;
      if (way.norm() < kSquare) continue;
      const Vector3 d = way.normalized();
      const Vector3& point = at_to ? to.point_mm : from.point_mm;
      const auto row = [&](BodyId id, double sign) {
        return Vector6(sign * point_motion(point - mesh::body(system, id).position_mm).transpose() * d);
      };
      const Vector6 g_from = row(from.body, at_to ? -1.0 : 1.0);
      const Vector6 g_to = row(to.body, at_to ? 1.0 : -1.0);
      ff -= g_from * g_from.transpose() / length;
      tt -= g_to * g_to.transpose() / length;
      ft -= g_from * g_to.transpose() / length;
    }
    add(out, from.body, from.body, tension_N * ff);
    add(out, from.body, to.body, tension_N * ft);
    add(out, to.body, to.body, tension_N * tt);
  }
}

void add_pad_prestress(const mesh::Pad& pad, const mesh::System& system, double compression_N, BlockList& out) {
  const Vector3 gradient = pad_gradient(pad);
  const double steep = gradient.norm();
  const Vector3 n = gradient / steep;
  // Hessian of f/|grad f| where f = 0: (H - n (H n)^T - (H n) n^T)/|grad f|, H that of z - (s x^2 + c y^2)/2.
  const Matrix3 own = pad.global_from_surface *
                      Vector3(-pad.curvature_sagittal_per_mm, -pad.curvature_coronal_per_mm, 0.0).asDiagonal() *
                      pad.global_from_surface.transpose();
  const Vector3 turned = own * n;
  const Matrix3 bend = (own - n * turned.transpose() - turned * n.transpose()) / steep;
  add_gap(system, pad.a.body, pad.b, pad.a.point_mm, n, bend, -compression_N, out);
}

void add_ring_prestress(const mesh::Ring& ring, const mesh::System& system, double arch_N, double ligament_N,
                        BlockList& out) {
  // The arch closes by +anterior . z, the ligament lengthens by -gain anterior . z, z of the dens in the axes of the ring.
  add_gap(system, ring.dens, ring.ring, ring.axis_point_mm, ring.anterior, Matrix3::Zero(),
          arch_N - ring.ligament_gain * ligament_N, out);
}

void add_slip_prestress(const mesh::Slip& slip, const mesh::System& system, double force, BlockList& out) {
  if (!slip.turning) {
    add_gap(system, slip.a.body, slip.b, slip.a.point_mm, slip.direction, Matrix3::Zero(), force, out);
    return;
  }
  if (force == 0.0 || slip.a.body == slip.b) return;
  // direction . log(exp(-theta_b) exp(theta_a)): to second order -direction . (theta_b x theta_a)/2
  Matrix6 ba = Matrix6::Zero();
  ba.bottomRightCorner<3, 3>() = 0.5 * force * cross_matrix(slip.direction);
  add(out, slip.b, slip.a.body, ba);
}

void add_group_prestress(const ForceGroup& group, const mesh::System& system, BlockList& out) {
  const auto count = static_cast<Eigen::Index>(group.bodies.size());
  if (count < 2 || group.force.squaredNorm() == 0.0) return;
  const double share = 1.0 / static_cast<double>(count);
  const auto reference = [&](std::size_t i) { return mesh::body(system, group.bodies[i]).position_mm; };
  const auto place = [&](std::size_t i) { return group.points_mm.empty() ? reference(i) : group.points_mm[i]; };
  Vector3 middle = Vector3::Zero();
  for (std::size_t i = 0; i < group.bodies.size(); ++i) middle += share * place(i);
  // In motions of the places: sum F_i . (-t x (u_i - u) + t x (t x P_i)/2) - M_i . (t x theta_i)/2, with t and u the means
  // of theta_i and u_i; and F_i . theta_i x (theta_i x r_i)/2, what a place moves to second order at its arm r_i.
  const Eigen::Index n = 6 * count;
  Eigen::MatrixXd mean_turn = Eigen::MatrixXd::Zero(3, n);
  Eigen::MatrixXd mean_motion = Eigen::MatrixXd::Zero(3, n);
  for (std::size_t i = 0; i < group.bodies.size(); ++i) {
    const Eigen::Index at = 6 * static_cast<Eigen::Index>(i);
    mean_motion.middleCols<6>(at) = share * point_motion(place(i) - reference(i));
    mean_turn.block<3, 3>(0, at + 3) = share * Matrix3::Identity();
  }
  Eigen::MatrixXd half = Eigen::MatrixXd::Zero(n, n);  // energy = q^T half q
  for (std::size_t i = 0; i < group.bodies.size(); ++i) {
    const Eigen::Index at = 6 * static_cast<Eigen::Index>(i);
    const Vector3 arm = place(i) - reference(i);
    const Vector3 force = group.force.segment<3>(at);
    const Vector3 moment = group.force.segment<3>(at + 3) - arm.cross(force);
    Eigen::MatrixXd motion = -mean_motion;
    motion.middleCols<6>(at) += point_motion(arm);
    // -F . (t x d) = t . (F x d)
    half += mean_turn.transpose() * cross_matrix(force) * motion;
    half += 0.5 * mean_turn.transpose() * arm_hessian(force, place(i) - middle) * mean_turn;
    // -M . (t x theta_i)/2 = t . (M x theta_i)/2
    half.block(0, at + 3, n, 3) += 0.5 * mean_turn.transpose() * cross_matrix(moment);
    half.block<3, 3>(at + 3, at + 3) += 0.5 * arm_hessian(force, arm);
  }
  const Eigen::MatrixXd hessian = half + half.transpose();
  for (Eigen::Index i = 0; i < count; ++i)
    for (Eigen::Index j = 0; j < count; ++j)
      out.push_back({group.bodies[static_cast<std::size_t>(i)], group.bodies[static_cast<std::size_t>(j)],
                     hessian.block<6, 6>(6 * i, 6 * j)});
}

}  // namespace opisthion::core
