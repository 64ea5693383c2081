// SPDX-License-Identifier: MIT
#pragma once
// Regularisation between two neighbours in finite rotation: what places a joint that nothing else places (THEORY 5, 7). It
// rides on the lower body, for a thousandth of a newton as good as any mean frame, and cheaper.
//   y = R_b^T (x_a - x_b),  theta = log(R_b^T R_a R_0^T),  W = k y^2/2 + f . y + c theta^2/2 + m . theta
#include "mesh/system/system.hpp"
#include "solver/core/full/pair_sum.hpp"

namespace opisthion::core::full {

struct NeighbourTie {
  BodyId a{}, b{};                          ///< upper, lower
  Vector3 arm_a_mm = Vector3::Zero();       ///< in a's axes
  Vector3 arm_b_mm = Vector3::Zero();       ///< in b's axes: of the same place, where the tie counts from
  Matrix3 reference = Matrix3::Identity();  ///< R_0 = R_b^T R_a there
  double stiffness_N_per_mm = 0.0;          ///< k
  double stiffness_Nmm_per_rad = 0.0;       ///< c
  Vector3 force_N = Vector3::Zero();        ///< f, in b's axes: what it holds where it counts from
  Vector3 moment_Nmm = Vector3::Zero();     ///< m, likewise
};

/// How far the two have come apart, in b's axes.
struct TieStretch {
  Vector3 slide_mm = Vector3::Zero();  ///< y
  Vector3 turn_rad = Vector3::Zero();  ///< theta
};

/// 0.001 N/mm and 1 N mm/rad on the relative motion about the point half way between the reference points.
NeighbourTie neighbour_tie(const mesh::System& system, const mesh::NeighbourPair& pair);
TieStretch stretch(const NeighbourTie& tie, std::span<const Pose> poses);
double energy_Nmm(const NeighbourTie& tie, const TieStretch& at);
/// Adds what the tie answers; `pair` is that of its bodies, a first.
void add(const NeighbourTie& tie, const TieStretch& at, std::span<const Pose> poses, Order order, PairSum& pair);
/// Counts from these poses on, and holds there what it held: the two places become the one half way between them. (A force
/// that was held before and has turned out of line is moved with them by half of how far they are apart.)
void take_reference(NeighbourTie& tie, std::span<const Pose> poses);

}  // namespace opisthion::core::full
