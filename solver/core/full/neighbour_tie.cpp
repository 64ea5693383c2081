// SPDX-License-Identifier: MIT
#include "solver/core/full/neighbour_tie.hpp"

#include "solver/core/full/three_by_three.hpp"

namespace opisthion::core::full {
namespace {

// As in small kinematics (THEORY 5).
constexpr double kRegularisation_N_per_mm = 0.001;
constexpr double kRegularisation_Nmm_per_rad = 1.0;

}  // namespace

NeighbourTie neighbour_tie(const mesh::System& system, const mesh::NeighbourPair& pair) {
  const Vector3& upper = mesh::body(system, pair.upper).position_mm;
  const Vector3& lower = mesh::body(system, pair.lower).position_mm;
  return {.a = pair.upper,
          .b = pair.lower,
          .arm_a_mm = 0.5 * (lower - upper),
          .arm_b_mm = 0.5 * (upper - lower),
          .stiffness_N_per_mm = kRegularisation_N_per_mm,
          .stiffness_Nmm_per_rad = kRegularisation_Nmm_per_rad};
}

TieStretch stretch(const NeighbourTie& tie, std::span<const Pose> poses) {
  const Pose& a = pose_of(poses, tie.a);
  const Pose& b = pose_of(poses, tie.b);
  const Vector3 apart = a.position_mm + product(a.rotation, tie.arm_a_mm) - b.position_mm;
  return {.slide_mm = transposed_product(b.rotation, apart) - tie.arm_b_mm,
          .turn_rad = log_rotation(product(transposed_product(b.rotation, a.rotation), transposed(tie.reference)))};
}

double energy_Nmm(const NeighbourTie& tie, const TieStretch& at) {
  return 0.5 * tie.stiffness_N_per_mm * at.slide_mm.squaredNorm() + tie.force_N.dot(at.slide_mm) +
         0.5 * tie.stiffness_Nmm_per_rad * at.turn_rad.squaredNorm() + tie.moment_Nmm.dot(at.turn_rad);
}

// y is the place of a's point as b sees it (pair_sum.hpp); theta the one of turn_geometry, along L^-T (c theta + m).
void add(const NeighbourTie& tie, const TieStretch& at, std::span<const Pose> poses, Order order, PairSum& pair) {
  const Pose& b = pose_of(poses, tie.b);
  const Vector3 arm = product(b.rotation, Vector3(at.slide_mm + tie.arm_b_mm));
  const Vector3 pull = product(b.rotation, Vector3(tie.stiffness_N_per_mm * at.slide_mm + tie.force_N));
  const Vector3 own = tie.stiffness_Nmm_per_rad * at.turn_rad + tie.moment_Nmm;
  const LogSeries series = log_series(at.turn_rad.squaredNorm());
  const Matrix3 inverse = left_jacobian_inverse(at.turn_rad, series);
  const Vector3 couple = product(b.rotation, transposed_product(inverse, own));
  if (order != Order::hessian) {
    pair.add(arm, pull);
    pair.add_couple(couple);
    return;
  }
  Matrix3 bend = Matrix3::Zero();
  add_to_diagonal(tie.stiffness_N_per_mm, bend);
  pair.add(arm, pull, bend);
  Matrix3 turning = log_hessian(at.turn_rad, own, series);
  add_scaled(tie.stiffness_Nmm_per_rad, transposed_product(inverse, inverse), turning);
  pair.add_couple(couple, product(product(b.rotation, turning), transposed(b.rotation)));
}

void take_reference(NeighbourTie& tie, std::span<const Pose> poses) {
  const TieStretch at = stretch(tie, poses);
  const Matrix3 relative = pose_of(poses, tie.b).rotation.transpose() * pose_of(poses, tie.a).rotation;
  tie.force_N += tie.stiffness_N_per_mm * at.slide_mm;
  tie.moment_Nmm =
      left_jacobian_inverse(at.turn_rad).transpose() * (tie.stiffness_Nmm_per_rad * at.turn_rad + tie.moment_Nmm);
  tie.arm_b_mm += 0.5 * at.slide_mm;
  tie.arm_a_mm -= 0.5 * (relative.transpose() * at.slide_mm);
  tie.reference = relative;
}

}  // namespace opisthion::core::full
