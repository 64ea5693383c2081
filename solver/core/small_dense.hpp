// SPDX-License-Identifier: MIT
#pragma once
// Symmetric matrices of one to a few dozen unknowns, six a body: there the calls, copies and pivot search of a general
// library cost more than the arithmetic.
#include <Eigen/Core>
#include <cassert>

namespace opisthion::core {

/// out = m q; out and q different. Six rows at a time (a body), so that their sums run side by side.
inline void times(const Eigen::MatrixXd& m, const Eigen::VectorXd& q, Eigen::VectorXd& out) {
  const Eigen::Index n = m.rows();
  assert(m.cols() == n && q.size() == n);
  out.resize(n);
  const double* const factors = q.data();  // plain pointers: Eigen's index checks stay on, and would be half of this loop
  double* const sums = out.data();
  Eigen::Index row = 0;
  for (; row + 6 <= n; row += 6) {
    const double* column = m.data() + row;
    double s0 = 0.0, s1 = 0.0, s2 = 0.0, s3 = 0.0, s4 = 0.0, s5 = 0.0;
    for (Eigen::Index j = 0; j < n; ++j, column += n) {
      const double f = factors[j];
      s0 += column[0] * f;
      s1 += column[1] * f;
      s2 += column[2] * f;
      s3 += column[3] * f;
      s4 += column[4] * f;
      s5 += column[5] * f;
    }
    sums[row] = s0;
    sums[row + 1] = s1;
    sums[row + 2] = s2;
    sums[row + 3] = s3;
    sums[row + 4] = s4;
    sums[row + 5] = s5;
  }
  for (; row < n; ++row) {  // a model with single unknowns held
    double sum = 0.0;
    for (Eigen::Index j = 0; j < n; ++j) sum += m.data()[row + j * n] * factors[j];
    sums[row] = sum;
  }
}

/// The lower triangle of m becomes L D L^T, L below the diagonal, 1/D on it. Without pivoting, which a positive definite
/// matrix does not need. False when a pivot is not above least_share of its diagonal entry `own`.
inline bool factor_lower(Eigen::MatrixXd& m, const Eigen::VectorXd& own, double least_share) {
  const Eigen::Index n = m.rows();
  for (Eigen::Index k = 0; k < n; ++k) {
    double* const pivot = m.data() + k * n;
    if (!(pivot[k] > least_share * own[k]) || !(own[k] > 0.0)) return false;
    const double inverse = 1.0 / pivot[k];
    pivot[k] = inverse;
    for (Eigen::Index j = k + 1; j < n; ++j) {
      double* const column = m.data() + j * n;
      const double factor = pivot[j] * inverse;
      for (Eigen::Index i = j; i < n; ++i) column[i] -= factor * pivot[i];
      pivot[j] = factor;  // not read again as an entry: column j was the last that needed it
    }
  }
  return true;
}

/// x := (L D L^T)^-1 x.
inline void solve_lower(const Eigen::MatrixXd& factor, Eigen::VectorXd& right) {
  const Eigen::Index n = factor.rows();
  double* const x = right.data();
  for (Eigen::Index j = 0; j < n; ++j) {
    const double* const column = factor.data() + j * n;
    const double known = x[j];
    for (Eigen::Index i = j + 1; i < n; ++i) x[i] -= column[i] * known;
  }
  for (Eigen::Index j = n; j-- > 0;) {
    const double* const column = factor.data() + j * n;
    double sum = x[j] * column[j];
    for (Eigen::Index i = j + 1; i < n; ++i) sum -= column[i] * x[i];
    x[j] = sum;
  }
}

}  // namespace opisthion::core
