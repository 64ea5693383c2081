// SPDX-License-Identifier: MIT
#include "solver/core/beam.hpp"

#include <Eigen/LU>
#include <cassert>

#include "solver/core/blocks.hpp"
#include "solver/core/cross_matrix.hpp"
#include "solver/core/member.hpp"

namespace opisthion::core {
namespace {

using mesh::Matrix12;
using mesh::Matrix3;
using mesh::Matrix6;
using mesh::Vector3;

/// m * rigid_arm(r): only the columns of the rotations change.
Matrix6 times_arm(const Matrix6& m, const Vector3& r) {
  Matrix6 out = m;
  // [A B] [I -[r]x; 0 I] = [A, B - A [r]x]; column j of A [r]x is A (r x e_j) negated in pairs
  for (int i = 0; i < 6; ++i) {
    out(i, 3) -= m(i, 1) * r.z() - m(i, 2) * r.y();
    out(i, 4) -= m(i, 2) * r.x() - m(i, 0) * r.z();
    out(i, 5) -= m(i, 0) * r.y() - m(i, 1) * r.x();
  }
  return out;
}

/// rigid_arm(r)^T * m: only the rows of the moments change.
Matrix6 arm_transposed_times(const Matrix6& m, const Vector3& r) {
  Matrix6 out = m;
  for (int j = 0; j < 6; ++j) {
    out(3, j) += r.y() * m(2, j) - r.z() * m(1, j);
    out(4, j) += r.z() * m(0, j) - r.x() * m(2, j);
    out(5, j) += r.x() * m(1, j) - r.y() * m(0, j);
  }
  return out;
}

/// sum of d_i e_i e_i^T with e_i the columns of the frame, exactly symmetric.
Matrix3 turned(const Matrix3& frame, double x, double y, double z) {
  Matrix3 out;
  for (int j = 0; j < 3; ++j) {
    for (int i = j; i < 3; ++i) {
      out(i, j) = x * (frame(i, 0) * frame(j, 0)) + y * (frame(i, 1) * frame(j, 1)) + z * (frame(i, 2) * frame(j, 2));
      out(j, i) = out(i, j);
    }
  }
  return out;
}

/// yz e_y e_z^T + zy e_z e_y^T.
Matrix3 coupled(const Matrix3& frame, double yz, double zy) {
  Matrix3 out;
  for (int j = 0; j < 3; ++j)
    for (int i = 0; i < 3; ++i) out(i, j) = yz * frame(i, 1) * frame(j, 2) + zy * frame(i, 2) * frame(j, 1);
  return out;
}

PairBlocks member_blocks(const MemberStiffness& k, const Matrix3& frame) {
  PairBlocks out;
  const Matrix3 uu = turned(frame, k.axial.near, k.in_y.vv, k.in_z.vv);
  const Matrix3 rr = turned(frame, k.torsion.near, k.in_z.tt, k.in_y.tt);
  const Matrix3 ur = coupled(frame, k.in_y.vt, -k.in_z.vt);
  out.aa << uu, ur, ur.transpose(), rr;
  out.bb << uu, -ur, -ur.transpose(), rr;
  const Matrix3 far_ur = coupled(frame, k.in_y.far_vt, -k.in_z.far_vt);
  const Matrix3 far_ru = coupled(frame, k.in_z.far_vt, -k.in_y.far_vt);
  out.ab << turned(frame, k.axial.far, k.in_y.far_vv, k.in_z.far_vv), far_ur, far_ru,
      turned(frame, k.torsion.far, k.in_z.far_tt, k.in_y.far_tt);
  return out;
}

Matrix12 assembled(const PairBlocks& pair) {
  Matrix12 out;
  out << pair.aa, pair.ab, pair.ab.transpose(), pair.bb;
  return out;
}

/// Chain of layers seen from the head, the tip free: k_head = K11 - K12 (K22 + k_tip)^-1 K12^T, per plane and line.
/// On a line near^2 - far^2 = net (near - far), so that a soft bed keeps its digits.
void add_layer(const LineStiffness& layer, double& k) {
  k = (layer.net * (layer.near - layer.far) + layer.near * k) / (layer.near + k);
}

using Matrix2 = Eigen::Matrix2d;
void add_layer(const BendingStiffness& layer, Matrix2& k) {
  Matrix2 near, far, mid;
  near << layer.vv, layer.vt, layer.vt, layer.tt;
  far << layer.far_vv, layer.far_vt, -layer.far_vt, layer.far_tt;
  mid << layer.vv, -layer.vt, -layer.vt, layer.tt;
  mid += k;
  const Matrix2 given = far * mid.inverse() * far.transpose();
  k = near - 0.5 * (given + given.transpose());
}

}  // namespace

PairBlocks beam_blocks(const mesh::Beam& beam) {
  return member_blocks(member_stiffness(beam.section, beam.length_mm, beam.foundation), beam.global_from_beam);
}

BoneBlocks bone_blocks(const mesh::System& system, const mesh::Beam& beam, const PairBlocks& pair) {
  const Vector3 bone = mesh::body(system, beam.bone).position_mm;
  const Vector3 to_a = mesh::body(system, beam.a).position_mm - bone;
  const Vector3 to_b = mesh::body(system, beam.b).position_mm - bone;
  BoneBlocks out;
  out.ac = -(times_arm(pair.aa, to_a) + times_arm(pair.ab, to_b));
  out.bc = -(times_arm(pair.ab.transpose(), to_a) + times_arm(pair.bb, to_b));
  const Matrix6 cc = arm_transposed_times(out.ac, to_a) + arm_transposed_times(out.bc, to_b);
  out.cc = -0.5 * (cc + cc.transpose());
  return out;
}

PairBlocks cushion_blocks(const mesh::System& system, const mesh::Cushion& cushion) {
  const Vector3 to_a = cushion.point_mm - mesh::body(system, cushion.a).position_mm;
  const Vector3 to_b = cushion.point_mm - mesh::body(system, cushion.b).position_mm;
  Matrix6 frame = Matrix6::Zero();
  frame.topLeftCorner<3, 3>() = cushion.global_from_cushion;
  frame.bottomRightCorner<3, 3>() = cushion.global_from_cushion;
  const Matrix6 turned_stiffness = frame * cushion.stiffness * frame.transpose();
  const Matrix6 k = 0.5 * (turned_stiffness + turned_stiffness.transpose());
  const Matrix6 k_a = times_arm(k, to_a);
  const Matrix6 k_b = times_arm(k, to_b);
  PairBlocks out;
  out.aa = arm_transposed_times(k_a, to_a);
  out.ab = -arm_transposed_times(k_b, to_a);
  out.bb = arm_transposed_times(k_b, to_b);
  return out;
}

Matrix12 beam_stiffness(const mesh::Section& section, double length_mm, const mesh::Foundation& foundation) {
  return assembled(member_blocks(member_stiffness(section, length_mm, foundation), Matrix3::Identity()));
}

Matrix6 rigid_arm(const Vector3& offset_mm) {
  Matrix6 arm = Matrix6::Identity();
  arm.topRightCorner<3, 3>() = -cross_matrix(offset_mm);
  return arm;
}

Eigen::MatrixXd beam_stiffness_global(const mesh::System& system, const mesh::Beam& beam) {
  const PairBlocks pair = beam_blocks(beam);
  if (!beam.bone.valid()) {
    assert(beam.foundation.none());
    return assembled(pair);
  }
  const BoneBlocks bone = bone_blocks(system, beam, pair);
  Eigen::MatrixXd out(18, 18);
  out << pair.aa, pair.ab, bone.ac, pair.ab.transpose(), pair.bb, bone.bc, bone.ac.transpose(), bone.bc.transpose(), bone.cc;
  return out;
}

Matrix12 cushion_stiffness_global(const mesh::System& system, const mesh::Cushion& cushion) {
  return assembled(cushion_blocks(system, cushion));
}

Matrix6 seat_stiffness(const mesh::Section& section, std::span<const SeatLayer> layers_from_head) {
  double axial = 0.0;
  double torsion = 0.0;
  Matrix2 in_y = Matrix2::Zero();
  Matrix2 in_z = Matrix2::Zero();
  for (std::size_t i = layers_from_head.size(); i-- > 0;) {
    const MemberStiffness layer = member_stiffness(section, layers_from_head[i].length_mm, layers_from_head[i].foundation);
    add_layer(layer.axial, axial);
    add_layer(layer.torsion, torsion);
    add_layer(layer.in_y, in_y);
    add_layer(layer.in_z, in_z);
  }
  Matrix6 k = Matrix6::Zero();
  k(0, 0) = axial;
  k(1, 1) = in_y(0, 0);
  k(1, 5) = k(5, 1) = in_y(0, 1);
  k(5, 5) = in_y(1, 1);
  k(2, 2) = in_z(0, 0);
  k(2, 4) = k(4, 2) = -in_z(0, 1);
  k(4, 4) = in_z(1, 1);
  k(3, 3) = torsion;
  return k;
}

}  // namespace opisthion::core
