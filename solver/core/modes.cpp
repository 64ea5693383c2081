// SPDX-License-Identifier: MIT
// The one unit that instantiates Spectra: it costs seconds to compile.
#include "solver/core/modes.hpp"

#include <Spectra/MatOp/DenseSymMatProd.h>
#include <Spectra/MatOp/DenseSymShiftSolve.h>
#include <Spectra/SymEigsShiftSolver.h>
#include <Spectra/SymEigsSolver.h>
#include <Eigen/Cholesky>
#include <Eigen/Eigenvalues>
#include <algorithm>
#include <cassert>
#include <cmath>

namespace opisthion::core {
namespace {

constexpr double kShift = -1e-8;      // of the largest eigenvalue: the shifted matrix stays definite when modes are free
constexpr double kTolerance = 1e-12;  // of Spectra, relative
constexpr double kSame = 1e-8;        // relative: eigenvalues closer than this share one space
constexpr double kFree = 1e-12;       // of the largest eigenvalue: so do free modes, which differ by rounding alone
constexpr int kRestarts = 300;
constexpr int kSubspace = 20;  // Krylov vectors at least, when the model has as many unknowns

/// A start vector without symmetry, so that no mode is orthogonal to it: fractional parts of multiples of the golden ratio.
Eigen::VectorXd start_vector(Eigen::Index n) {
  Eigen::VectorXd v(n);
  double fraction = 0.0;
  for (Eigen::Index i = 0; i < n; ++i) {
    fraction += 0.6180339887498949;
    if (fraction >= 1.0) fraction -= 1.0;
    v[i] = fraction - 0.45;
  }
  return v;
}

double largest_eigenvalue(const Eigen::MatrixXd& matrix) {
  const auto n = static_cast<int>(matrix.rows());
  if (n == 1) return matrix(0, 0);
  Spectra::DenseSymMatProd<double> product(matrix);
  Spectra::SymEigsSolver<Spectra::DenseSymMatProd<double>> solver(product, 1, std::min(n, kSubspace));
  solver.init(start_vector(n).data());
  solver.compute(Spectra::SortRule::LargestAlge, kRestarts, 1e-8);
  if (solver.info() == Spectra::CompInfo::Successful) return solver.eigenvalues()[0];
  return matrix.norm();  // an upper bound: good enough to place the shift and for ratios
}

/// Columns: eigenvectors, softest first. Empty when Spectra gave up or missed one of a multiple eigenvalue.
Eigen::MatrixXd by_spectra(const Eigen::MatrixXd& matrix, double largest, int count) {
  const auto n = static_cast<int>(matrix.rows());
  if (n == 1) return Eigen::MatrixXd::Identity(1, 1);
  const int ask = std::min(count, n - 1);
  Spectra::DenseSymShiftSolve<double> shifted(matrix);
  Spectra::SymEigsShiftSolver<Spectra::DenseSymShiftSolve<double>> solver(
      shifted, ask, std::min(n, std::max(2 * ask + 1, kSubspace)), kShift * largest);
  solver.init(start_vector(n).data());
  solver.compute(Spectra::SortRule::LargestMagn, kRestarts, kTolerance, Spectra::SortRule::SmallestAlge);
  if (solver.info() != Spectra::CompInfo::Successful) return {};
  Eigen::MatrixXd vectors(n, count);
  vectors.leftCols(ask) = solver.eigenvectors();
  const double softest_not_sure = solver.eigenvalues()[ask - 1];
  if (count == n) {
    // Spectra stops at n - 1: the last one is what is orthogonal to all others.
    Eigen::VectorXd last = start_vector(n);
    for (int pass = 0; pass < 2; ++pass) last -= vectors.leftCols(ask) * (vectors.leftCols(ask).transpose() * last);
    vectors.col(ask) = last.normalized();
    return vectors;
  }
  // Sylvester: as many negative pivots of S - mu I as eigenvalues below mu. A Krylov space can miss copies of a multiple
  // one.
  const double mu = softest_not_sure * (1.0 - 1e-6) - 1e-10 * largest;
  const Eigen::LDLT<Eigen::MatrixXd> factor(matrix - mu * Eigen::MatrixXd::Identity(n, n));
  int below = 0;
  for (int i = 0; i < n; ++i) below += factor.vectorD()[i] < 0.0 ? 1 : 0;
  int found = 0;
  for (int i = 0; i < ask; ++i) found += solver.eigenvalues()[i] < mu ? 1 : 0;
  if (below != found) return {};
  return vectors;
}

/// Index of the largest component; the first of those that are as large up to rounding.
Eigen::Index leading(const Eigen::VectorXd& v) {
  const double most = v.cwiseAbs().maxCoeff();
  Eigen::Index i = 0;
  while (std::abs(v[i]) < (1.0 - 1e-9) * most) ++i;
  return i;
}

/// A basis of the columns' span that does not hang on rounding: repeatedly the unknown that the span holds best (the first
/// of equals), projected onto the span. Modes of one stiffness have no shape of their own; so they get the plainest one.
void make_canonical(Eigen::MatrixXd& vectors, Eigen::Index first, Eigen::Index count) {
  Eigen::MatrixXd span = vectors.middleCols(first, count) * vectors.middleCols(first, count).transpose();
  for (Eigen::Index c = first; c < first + count; ++c) {
    const double most = span.diagonal().maxCoeff();
    Eigen::Index i = 0;
    while (span(i, i) < (1.0 - 1e-6) * most) ++i;
    vectors.col(c) = span.col(i).normalized();
    span -= vectors.col(c) * vectors.col(c).transpose();
  }
}

}  // namespace

Modes softest_modes(const Eigen::MatrixXd& tangent, const std::vector<double>& dof_scale, int count) {
  const auto n = static_cast<int>(tangent.rows());
  assert(tangent.cols() == n && static_cast<int>(dof_scale.size()) == n);
  Modes out;
  count = std::min(count, n);
  if (count <= 0) {
    out.converged = true;
    return out;
  }
  const Eigen::Map<const Eigen::VectorXd> scale(dof_scale.data(), n);
  Eigen::MatrixXd scaled(n, n);
  for (int j = 0; j < n; ++j)
    for (int i = 0; i < n; ++i) scaled(i, j) = tangent(i, j) / (scale[i] * scale[j]);

  Eigen::MatrixXd vectors;
  if (scaled.cwiseAbs().maxCoeff() == 0.0) {
    vectors = Eigen::MatrixXd::Identity(n, count);
  } else {
    out.stiffest_N_per_mm = largest_eigenvalue(scaled);
    vectors = by_spectra(scaled, out.stiffest_N_per_mm, count);
    if (vectors.cols() == 0) {
      const Eigen::SelfAdjointEigenSolver<Eigen::MatrixXd> dense(scaled);
      if (dense.info() != Eigen::Success) return out;
      vectors = dense.eigenvectors().leftCols(count);
    }
  }
  out.converged = true;

  struct Ordered {
    double stiffness;
    Eigen::Index lead;
    Eigen::Index column;
  };
  std::vector<Ordered> order;
  for (Eigen::Index c = 0; c < vectors.cols(); ++c) {
    const Eigen::VectorXd v = vectors.col(c);
    order.push_back({v.dot(scaled * v) / v.squaredNorm(), leading(v), c});  // Rayleigh: free of the shift's cancellation
  }
  std::sort(order.begin(), order.end(), [](const Ordered& a, const Ordered& b) {
    return a.stiffness != b.stiffness ? a.stiffness < b.stiffness : a.lead < b.lead;
  });
  Eigen::MatrixXd sorted(n, count);
  for (int c = 0; c < count; ++c) sorted.col(c) = vectors.col(order[static_cast<std::size_t>(c)].column).normalized();
  const auto stiffness = [&order](int c) { return order[static_cast<std::size_t>(c)].stiffness; };
  for (int first = 0, next = 0; first < count; first = next) {
    for (next = first + 1; next < count; ++next)
      if (stiffness(next) - stiffness(first) > kSame * std::abs(stiffness(first)) + kFree * out.stiffest_N_per_mm) break;
    if (next - first > 1) make_canonical(sorted, first, next - first);
  }
  for (int c = 0; c < count; ++c) {
    Eigen::VectorXd v = sorted.col(c);
    if (v[leading(v)] < 0.0) v = -v;
    out.softest.push_back({v.dot(scaled * v), v.cwiseQuotient(scale)});
  }
  return out;
}

}  // namespace opisthion::core
