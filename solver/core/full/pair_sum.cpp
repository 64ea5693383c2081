// SPDX-License-Identifier: MIT
#include "solver/core/full/pair_sum.hpp"

#include "solver/core/full/three_by_three.hpp"

namespace opisthion::core::full {
namespace {

/// Sum of the Hessians in theta of S . (theta x (theta x r))/2, from g = sum S r^T.
Matrix3 turning(const Matrix3& g) {
  Matrix3 out = twice_symmetric(0.5, g);
  add_to_diagonal(-g.trace(), out);
  return out;
}

/// Sum of arm x S from the sum of S arm^T.
Vector3 moment(const Matrix3& g) {
  const double* const m = g.data();
  return {m[5] - m[7], m[6] - m[2], m[1] - m[3]};
}

void put(const Matrix3& m, int row, int column, Matrix6& to) {
  const double* from = m.data();
  double* out = to.data() + row + 6 * column;
  for (int j = 0; j < 3; ++j, from += 3, out += 6) {
    out[0] = from[0];
    out[1] = from[1];
    out[2] = from[2];
  }
}

void put(const Vector3& force, const Vector3& moment, double sign, Vector6& to) {
  for (int i = 0; i < 3; ++i) {
    to.data()[i] = sign * force.data()[i];
    to.data()[i + 3] = sign * moment.data()[i];
  }
}

}  // namespace

void PairSum::clear() {
  pull_N.setZero();
  pull_by_arm.setZero();
  uu.setZero();
  ut.setZero();
  tt.setZero();
  couple_Nmm.setZero();
  touched = false;
}

void PairSum::add(const Vector3& arm_b_mm, const Vector3& pull) {
  touched = true;
  pull_N += pull;
  add_outer(pull, arm_b_mm, pull_by_arm);
}

void PairSum::add(const Vector3& arm_b_mm, const Vector3& pull, const Matrix3& bend) {
  add(arm_b_mm, pull);
  add_scaled(1.0, bend, uu);
  Matrix3 turned = Matrix3::Zero();
  add_times_cross(-1.0, bend, arm_b_mm, turned);
  add_scaled(1.0, turned, ut);
  add_cross_times(1.0, arm_b_mm, turned, tt);
}

void PairSum::add_couple(const Vector3& couple) {
  touched = true;
  couple_Nmm += couple;
}

void PairSum::add_couple(const Vector3& couple, const Matrix3& bend) {
  add_couple(couple);
  add_scaled(1.0, bend, tt);  // on (th_a - th_b) twice, as what the arms make is
}

// With arms r = s + t (from a) and s (from b) the blocks of relative_point.cpp sum to
//   aa: B, -B [r]x, H(S r^T) - [r]x B [r]x;  bb: B, -B [s]x + [S]x, H(S s^T) - [s]x B [s]x;
//   ab: -B, B [s]x - [S]x, (B [r]x)^T, [r]x (B [s]x - [S]x)
// with H(G) = (G + G^T)/2 - tr G and [r]x [S]x = S r^T - (r . S). A couple C on spins v of a and w of b: e = v - w - w x
// v/2, of which - [C]x/2 in ab.
void spread(const PairSum& sum, const Vector3& apart_mm, Order order, PairDerivatives& out) {
  const Vector3 about_b = moment(sum.pull_by_arm);
  const Vector3 turning_b = about_b + sum.couple_Nmm;
  put(sum.pull_N, turning_b + cross(apart_mm, sum.pull_N), 1.0, out.gradient_a);
  put(sum.pull_N, turning_b, -1.0, out.gradient_b);
  if (order != Order::hessian) return;

  Matrix3 by_arm_a = sum.pull_by_arm;  // sum S r^T
  add_outer(sum.pull_N, apart_mm, by_arm_a);

  Matrix3 ut_a = sum.ut;
  add_times_cross(-1.0, sum.uu, apart_mm, ut_a);
  Matrix3 tt_a = turning(by_arm_a) + sum.tt;
  add_cross_times(1.0, apart_mm, ut_a, tt_a);                // [t] (ut - uu [t])
  add_transposed_times_cross(-1.0, sum.ut, apart_mm, tt_a);  // - ut^T [t]
  put(sum.uu, 0, 0, out.aa);
  put(ut_a, 0, 3, out.aa);
  put(transposed(ut_a), 3, 0, out.aa);
  put(tt_a, 3, 3, out.aa);

  Matrix3 ut_b = sum.ut;
  add_cross(1.0, sum.pull_N, ut_b);
  put(sum.uu, 0, 0, out.bb);
  put(ut_b, 0, 3, out.bb);
  put(transposed(ut_b), 3, 0, out.bb);
  put(turning(sum.pull_by_arm) + sum.tt, 3, 3, out.bb);

  Matrix3 across = -sum.tt - by_arm_a;
  add_to_diagonal(by_arm_a.trace(), across);
  add_cross_times(-1.0, apart_mm, sum.ut, across);
  add_cross(-0.5, sum.couple_Nmm, across);
  put(-sum.uu, 0, 0, out.ab);
  put(-ut_b, 0, 3, out.ab);
  put(-transposed(ut_a), 3, 0, out.ab);
  put(across, 3, 3, out.ab);
}

}  // namespace opisthion::core::full
