// SPDX-License-Identifier: MIT
#include "solver/core/full/tangent_matrix.hpp"

#include <Eigen/LU>
#include <algorithm>
#include <cassert>
#include <cmath>

#include "solver/core/at_index.hpp"
#include "solver/core/small_dense.hpp"

namespace opisthion::core::full {
namespace {

constexpr double kSingularShare = 1e-13;  // of the unknown's own stiffness: rounding

}  // namespace

TangentMatrix::TangentMatrix(int dofs, std::span<const std::pair<int, int>> pairs) : dofs_(dofs) {
  if (!sparse()) {
    values_.setZero(dofs, dofs);
    return;
  }
  std::vector<Eigen::Triplet<double>> entries;
  const auto put = [&entries](int i, int j) {
    for (int c = 0; c < 6; ++c)
      for (int r = i == j ? c : 0; r < 6; ++r) entries.emplace_back(i + r, j + c, 0.0);
  };
  for (int i = 0; i < dofs; i += 6) put(i, i);
  for (const auto& [i, j] : pairs) {
    assert(i >= j);
    if (i != j) put(i, j);
  }
  pattern_.resize(dofs, dofs);
  pattern_.setFromTriplets(entries.begin(), entries.end());
  pattern_.makeCompressed();
  const int bodies = dofs / 6;
  place_.assign(at_index(bodies * bodies), -1);
  const auto record = [&](int i, int j) {
    int& place = place_[at_index(i / 6 * bodies + j / 6)];
    if (place >= 0) return;
    place = static_cast<int>(columns_.size());
    std::array<int, 6> starts{};
    for (int c = 0; c < 6; ++c) {
      const int row = i == j ? i + c : i;
      const int* from = pattern_.innerIndexPtr() + pattern_.outerIndexPtr()[j + c];
      const int* to = pattern_.innerIndexPtr() + pattern_.outerIndexPtr()[j + c + 1];
      starts[at_index(c)] = static_cast<int>(std::lower_bound(from, to, row) - pattern_.innerIndexPtr());
    }
    columns_.push_back(starts);
  };
  for (int i = 0; i < dofs; i += 6) record(i, i);
  for (const auto& [i, j] : pairs) record(i, j);
  shifted_ = pattern_;
  ldlt_.analyzePattern(pattern_);
}

void TangentMatrix::clear() {
  products_ = 0;
  if (sparse())
    std::fill_n(pattern_.valuePtr(), pattern_.nonZeros(), 0.0);
  else
    values_.setZero();
}

void TangentMatrix::add(int i, int j, const Matrix6& block) {
  if (!sparse()) {
    double* const corner = values_.data() + i + static_cast<Eigen::Index>(j) * dofs_;
    for (int c = 0; c < 6; ++c) {
      double* const column = corner + static_cast<Eigen::Index>(c) * dofs_;
      const double* const from = block.data() + 6 * c;
      for (int r = i == j ? c : 0; r < 6; ++r) column[r] += from[r];
    }
    return;
  }
  const int place = place_[at_index(i / 6 * (dofs_ / 6) + j / 6)];
  assert(place >= 0);
  for (int c = 0; c < 6; ++c) {
    const int skip = i == j ? c : 0;
    double* const column = pattern_.valuePtr() + columns_[at_index(place)][at_index(c)];
    for (int r = skip; r < 6; ++r) column[r - skip] += block(r, c);
  }
}

void TangentMatrix::add_unsymmetric(int i, const Matrix6& block) {
  Eigen::VectorXd left = Eigen::VectorXd::Zero(dofs_);
  Eigen::VectorXd right = Eigen::VectorXd::Zero(dofs_);
  for (int row = 0; row < 6; ++row) {
    if (block.row(row).isZero(0.0)) continue;
    left[i + row] = 1.0;
    right.segment<6>(i) = block.row(row).transpose();
    add_product(left, right);
    left[i + row] = 0.0;
  }
}

void TangentMatrix::add_product(const Eigen::VectorXd& left, const Eigen::VectorXd& right) {
  if (products_ == left_.cols()) {
    left_.conservativeResize(dofs_, products_ + 8);
    right_.conservativeResize(dofs_, products_ + 8);
  }
  left_.col(products_) = left;
  right_.col(products_) = right;
  ++products_;
}

bool TangentMatrix::factor(double shift, const std::vector<double>& scale) {
  way_ = Way::symmetric;
  if (!sparse()) {
    factored_ = values_;
    own_.resize(dofs_);
    for (int i = 0; i < dofs_; ++i) {
      factored_(i, i) += shift * scale[at_index(i)] * scale[at_index(i)];
      own_[i] = std::abs(factored_(i, i));
    }
    return factor_lower(factored_, own_, kSingularShare, factoring_);
  }
  std::copy_n(pattern_.valuePtr(), pattern_.nonZeros(), shifted_.valuePtr());
  own_.resize(dofs_);
  for (int j = 0; j < dofs_; ++j) {
    double& diagonal = shifted_.valuePtr()[shifted_.outerIndexPtr()[j]];  // leads each column of a lower triangle
    diagonal += shift * scale[at_index(j)] * scale[at_index(j)];
    if (!(diagonal > 0.0)) return false;
    own_[j] = 1.0 / std::sqrt(diagonal);
  }
  for (int j = 0; j < dofs_; ++j)
    for (int k = shifted_.outerIndexPtr()[j]; k < shifted_.outerIndexPtr()[j + 1]; ++k)
      shifted_.valuePtr()[k] *= own_[j] * own_[shifted_.innerIndexPtr()[k]];
  ldlt_.factorize(shifted_);
  return ldlt_.info() == Eigen::Success && ldlt_.vectorD().minCoeff() > kSingularShare;
}

bool TangentMatrix::factor_unsymmetric(bool definite) {
  if (products_ == 0 && definite) return true;
  if (definite) {
    answers_ = left_.leftCols(products_);
    if (sparse()) {
      answers_ = own_.asDiagonal() * ldlt_.solve(own_.asDiagonal() * answers_);
    } else {
      solve_lower(factored_, answers_);
    }
    asks_ = right_.leftCols(products_);
    Eigen::MatrixXd small = asks_.transpose() * answers_;
    small.diagonal().array() += 1.0;
    lu_.compute(small);
    way_ = Way::with_products;
  } else {
    dense(factored_);
    lu_.compute(factored_);
    way_ = Way::whole;
  }
  const auto pivots = lu_.matrixLU().diagonal().cwiseAbs();
  // of the whole, unknowns have units that differ by orders
  const double least = way_ == Way::whole ? kSingularShare * kSingularShare : kSingularShare;
  return pivots.minCoeff() > least * pivots.maxCoeff();
}

void TangentMatrix::solve_symmetric(Eigen::VectorXd& x) const {
  if (!sparse()) {
    solve_lower(factored_, x);
    return;
  }
  scaled_ = x.cwiseProduct(own_);
  x = ldlt_.solve(scaled_);
  x.array() *= own_.array();
}

void TangentMatrix::solve(const Eigen::VectorXd& right, Eigen::VectorXd& out) const {
  if (way_ == Way::whole) {
    out = lu_.solve(right);
    return;
  }
  out = right;
  solve_symmetric(out);
  if (way_ == Way::symmetric) return;
  const Eigen::VectorXd shares = lu_.solve(asks_.transpose() * out);
  out.noalias() -= answers_ * shares;
}

void TangentMatrix::dense(Eigen::MatrixXd& out) const {
  if (sparse()) {
    out.setZero(dofs_, dofs_);
    for (int j = 0; j < dofs_; ++j)
      for (Eigen::SparseMatrix<double>::InnerIterator it(pattern_, j); it; ++it)
        out(it.row(), j) = out(j, it.row()) = it.value();
  } else {
    out = values_.selfadjointView<Eigen::Lower>();
  }
  if (products_ > 0) out.noalias() += left_.leftCols(products_) * right_.leftCols(products_).transpose();
}

double TangentMatrix::stiffest(const std::vector<double>& scale) const {
  double most = 0.0;
  for (int i = 0; i < dofs_; ++i) {
    const double own = sparse() ? pattern_.valuePtr()[pattern_.outerIndexPtr()[i]] : values_(i, i);
    most = std::max(most, std::abs(own) / (scale[at_index(i)] * scale[at_index(i)]));
  }
  return most;
}

}  // namespace opisthion::core::full
