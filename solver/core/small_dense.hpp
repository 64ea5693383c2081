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
/// matrix does not need. False when a pivot is not above least_share of its diagonal entry `own`; what m holds is then of no
/// use. `scratch` is kept between calls, so that a second one of the same size allocates nothing.
bool factor_lower(Eigen::MatrixXd& m, const Eigen::VectorXd& own, double least_share, Eigen::VectorXd& scratch);

/// x := (L D L^T)^-1 x.
void solve_lower(const Eigen::MatrixXd& factor, Eigen::VectorXd& right);
/// The same for each column.
void solve_lower(const Eigen::MatrixXd& factor, Eigen::MatrixXd& right);

}  // namespace opisthion::core
