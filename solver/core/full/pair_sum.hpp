// SPDX-License-Identifier: MIT
#pragma once
// What all laws between the same two bodies answer, summed at body b's reference point before it is spread to the unknowns
// of both: dozens of ligament strands join the same two bones, and spreading costs more than any one of them.
//
// A law whose point stands at s from b pulls with S = F n and has B = k n n^T + F b (THEORY 7). The point moves as b sees it
// by U + O x s, with U = u_a + th_a x t - u_b, O = th_a - th_b and t from a's reference point to b's, so that sums of S, S
// s^T, B, -B [s]x and -[s]x B [s]x hold all that gradient and Hessian need.
#include "solver/core/full/relative_point.hpp"

namespace opisthion::core::full {

struct PairSum {
  BodyId a{}, b{};
  Vector3 pull_N = Vector3::Zero();
  Matrix3 pull_by_arm = Matrix3::Zero();  ///< sum S s^T
  Matrix3 uu = Matrix3::Zero();           ///< sum B
  Matrix3 ut = Matrix3::Zero();           ///< - sum B [s]x
  Matrix3 tt = Matrix3::Zero();           ///< - sum [s]x B [s]x
  Vector3 couple_Nmm = Vector3::Zero();   ///< on a, against b
  bool touched = false;

  void clear();
  /// `arm_b_mm`: s; `pull_N`: S; both in global axes.
  void add(const Vector3& arm_b_mm, const Vector3& pull);
  /// The same, and what it adds to the Hessian.
  void add(const Vector3& arm_b_mm, const Vector3& pull, const Matrix3& bend);
  /// A law of the turn of a as b sees it, theta = log(R_b^T R_a R_0^T): its derivative by a's spin, and R_b B R_b^T with B
  /// the second derivatives by e of the law at log(exp(e) R_b^T R_a R_0^T).
  void add_couple(const Vector3& couple);
  void add_couple(const Vector3& couple, const Matrix3& bend);
};

/// Derivatives on the unknowns of a and b (translation, rotation) along the exponential retraction.
struct PairDerivatives {
  Vector6 gradient_a, gradient_b;
  Matrix6 aa, bb, ab;  ///< rows by the first letter
};
/// `apart_mm`: t. The Hessian only where `order` asks for it.
void spread(const PairSum& sum, const Vector3& apart_mm, Order order, PairDerivatives& out);

}  // namespace opisthion::core::full
