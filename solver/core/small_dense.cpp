// SPDX-License-Identifier: MIT
#include "solver/core/small_dense.hpp"

namespace opisthion::core {
namespace {

using Eigen::Index;

/// to -= f a, and the same four times over in this order: plain pointers that do not overlap, so that entries go side by
/// side through the processor, and each entry is fetched once for four columns.
void subtract(double f, const double* __restrict a, Index count, double* __restrict to) {
  for (Index i = 0; i < count; ++i) to[i] -= f * a[i];
}
void subtract_four(const double* f, const double* __restrict a, const double* __restrict b, const double* __restrict c,
                   const double* __restrict d, Index count, double* __restrict to) {
  const double fa = f[0], fb = f[1], fc = f[2], fd = f[3];
  for (Index i = 0; i < count; ++i) to[i] = (((to[i] - fa * a[i]) - fb * b[i]) - fc * c[i]) - fd * d[i];
}

}  // namespace

// By columns: each takes what all columns before it subtract at once. Below the diagonal columns hold L D until the end.
bool factor_lower(Eigen::MatrixXd& m, const Eigen::VectorXd& own, double least_share, Eigen::VectorXd& scratch) {
  const Index n = m.rows();
  double* const entries = m.data();
  scratch.resize(2 * n);
  double* const inverse = scratch.data();
  double* const f = inverse + n;
  for (Index j = 0; j < n; ++j) {
    double* const column = entries + j * n;
    const double* before = entries + j;  // row j of column k
    for (Index k = 0; k < j; ++k) f[k] = before[k * n] * inverse[k];
    const Index count = n - j;
    Index k = 0;
    for (; k + 4 <= j; k += 4, before += 4 * n)
      subtract_four(f + k, before, before + n, before + 2 * n, before + 3 * n, count, column + j);
    for (; k < j; ++k, before += n) subtract(f[k], before, count, column + j);
    if (!(column[j] > least_share * own.data()[j]) || !(own.data()[j] > 0.0)) return false;
    inverse[j] = 1.0 / column[j];
  }
  for (Index j = 0; j < n; ++j) {
    double* const column = entries + j * n;
    const double scale = inverse[j];
    for (Index i = j + 1; i < n; ++i) column[i] *= scale;
    column[j] = scale;
  }
  return true;
}

namespace {

constexpr Index kWide = 4;  // sums side by side: one alone waits for each of its additions

/// Rows below `from`, which are known, taken out of the four rows x[from - 4] to x[from - 1]; then these among themselves.
void back_four(const double* entries, Index n, Index from, double* __restrict x) {
  const double* const a = entries + (from - 4) * n;
  const double* const b = a + n;
  const double* const c = b + n;
  const double* const d = c + n;
  double sa = 0.0, sb = 0.0, sc = 0.0, sd = 0.0;
  for (Index i = from; i < n; ++i) {
    const double known = x[i];
    sa += a[i] * known;
    sb += b[i] * known;
    sc += c[i] * known;
    sd += d[i] * known;
  }
  const Index at = from - 4;
  x[at + 3] = x[at + 3] * d[at + 3] - sd;
  x[at + 2] = x[at + 2] * c[at + 2] - sc - c[at + 3] * x[at + 3];
  x[at + 1] = x[at + 1] * b[at + 1] - sb - b[at + 2] * x[at + 2] - b[at + 3] * x[at + 3];
  x[at] = x[at] * a[at] - sa - a[at + 1] * x[at + 1] - a[at + 2] * x[at + 2] - a[at + 3] * x[at + 3];
}

void solve_one(const double* entries, Index n, double* x) {
  for (Index j = 0; j < n; ++j) subtract(x[j], entries + j * n + j + 1, n - j - 1, x + j + 1);
  Index from = n;
  for (; from >= kWide; from -= kWide) back_four(entries, n, from, x);
  for (Index j = from; j-- > 0;) {
    const double* const column = entries + j * n;
    double sum = x[j] * column[j];
    for (Index i = j + 1; i < n; ++i) sum -= column[i] * x[i];
    x[j] = sum;
  }
}

/// Four right sides at once; x holds four numbers for each row.
void solve_four(const double* entries, Index n, double* __restrict x) {
  for (Index j = 0; j < n; ++j) {
    const double* const column = entries + j * n;
    const double* const known = x + kWide * j;
    const double ka = known[0], kb = known[1], kc = known[2], kd = known[3];
    for (Index i = j + 1; i < n; ++i) {
      double* const to = x + kWide * i;
      to[0] -= column[i] * ka;
      to[1] -= column[i] * kb;
      to[2] -= column[i] * kc;
      to[3] -= column[i] * kd;
    }
  }
  for (Index j = n; j-- > 0;) {
    const double* const column = entries + j * n;
    double* const to = x + kWide * j;
    double sa = to[0] * column[j], sb = to[1] * column[j], sc = to[2] * column[j], sd = to[3] * column[j];
    for (Index i = j + 1; i < n; ++i) {
      const double* const known = x + kWide * i;
      sa -= column[i] * known[0];
      sb -= column[i] * known[1];
      sc -= column[i] * known[2];
      sd -= column[i] * known[3];
    }
    to[0] = sa, to[1] = sb, to[2] = sc, to[3] = sd;
  }
}

}  // namespace

void solve_lower(const Eigen::MatrixXd& factor, Eigen::VectorXd& right) {
  solve_one(factor.data(), factor.rows(), right.data());
}

void solve_lower(const Eigen::MatrixXd& factor, Eigen::MatrixXd& right) {
  const Index n = factor.rows();
  Eigen::VectorXd side_by_side(kWide * n);
  Index column = 0;
  for (; column + kWide <= right.cols(); column += kWide) {
    double* const x = side_by_side.data();
    double* const own = right.data() + column * n;
    for (Index i = 0; i < n; ++i)
      for (Index k = 0; k < kWide; ++k) x[kWide * i + k] = own[k * n + i];
    solve_four(factor.data(), n, x);
    for (Index i = 0; i < n; ++i)
      for (Index k = 0; k < kWide; ++k) own[k * n + i] = x[kWide * i + k];
  }
  for (; column < right.cols(); ++column) solve_one(factor.data(), n, right.data() + column * n);
}

}  // namespace opisthion::core
