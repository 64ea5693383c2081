// SPDX-License-Identifier: MIT
#pragma once
// The tangent of a model as 6x6 blocks: dense for a few bodies, sparse for hundreds. The caller sees no difference.
#include <Eigen/LU>
#include <Eigen/SparseCholesky>
#include <Eigen/SparseCore>
#include <array>
#include <span>
#include <utility>
#include <vector>

#include "solver/core/full/pose.hpp"

namespace opisthion::core::full {

class TangentMatrix {
 public:
  /// pairs: first unknowns (i >= j) of every block that will ever be added.
  TangentMatrix(int dofs, std::span<const std::pair<int, int>> pairs);

  void clear();
  /// Adds a block at unknowns (i.., j..), i >= j; of a diagonal block the lower triangle counts.
  void add(int i, int j, const Matrix6& block);
  /// Adds a block that has no mirror image: kept apart, for `factor_unsymmetric` and `dense` only.
  void add_unsymmetric(int i, const Matrix6& block);
  /// The same for left right^T: what one friction that slides asks of all that presses it. Both have one entry per unknown.
  void add_product(const Eigen::VectorXd& left, const Eigen::VectorXd& right);

  /// Factors the symmetric part with shift * scale^2 on the diagonal. False: not positive definite.
  bool factor(double shift, const std::vector<double>& scale);
  /// Factors everything, symmetric or not; `factor` without a shift comes first, and `definite` is its answer. Where that is
  /// true what has no mirror image goes on top of its factor as so many products (Sherman, Morrison & Woodbury: Hager, SIAM
  /// Review 31 (1989) 221, from memory), else LU with pivoting takes the whole. False: singular.
  bool factor_unsymmetric(bool definite);
  /// By what was factored last; entries added since do not count.
  void solve(const Eigen::VectorXd& right, Eigen::VectorXd& out) const;

  /// Both triangles, unsymmetric part included.
  void dense(Eigen::MatrixXd& out) const;
  /// Largest entry on the diagonal relative to scale^2 [N/mm].
  double stiffest(const std::vector<double>& scale) const;

 private:
  bool sparse() const { return dofs_ > kMostDense; }
  static constexpr int kMostDense = 120;
  int dofs_;
  Eigen::MatrixXd values_{}, factored_{};
  Eigen::VectorXd own_{}, factoring_{};
  Eigen::SparseMatrix<double> pattern_{}, shifted_{};  ///< lower triangle
  std::vector<int> place_{};                           ///< of block (i, j): index into columns_, -1 where never added
  std::vector<std::array<int, 6>> columns_{};          ///< where each of a block's columns starts in the values
  Eigen::SimplicialLDLT<Eigen::SparseMatrix<double>> ldlt_{};
  Eigen::MatrixXd left_{}, right_{};  ///< a column for each product; the first products_ of them count
  int products_ = 0;
  Eigen::MatrixXd answers_{}, asks_{};         ///< K^-1 left and right, as factored
  Eigen::PartialPivLU<Eigen::MatrixXd> lu_{};  ///< of the whole, or of 1 + right^T K^-1 left
  enum class Way { symmetric, with_products, whole } way_ = Way::symmetric;
  void solve_symmetric(Eigen::VectorXd& x) const;
  mutable Eigen::VectorXd scaled_{};
};

}  // namespace opisthion::core::full
