// SPDX-License-Identifier: MIT
#pragma once
// The uncondensed system as sparse matrices: second method, yardstick of the benchmark, and what is exported.
#include <Eigen/SparseCholesky>
#include <Eigen/SparseCore>
#include <vector>

#include "solver/core/equilibrium.hpp"

namespace opisthion::core {

/// Every free body stays. Both triangles are stored.
struct SparseModel {
  std::vector<int> first_dof{};  ///< per body; -1: held
  int dofs = 0;
  Eigen::SparseMatrix<double> stiffness{};       ///< all that is linear, no regularisation
  Eigen::SparseMatrix<double> regularisation{};  ///< at factor 1
  Eigen::VectorXd force0{};
  std::vector<Functional> functionals{};
  std::vector<double> dof_scale{};
  std::vector<Friction> frictions{};
  std::vector<Tightened> tightened{};
  Eigen::VectorXd assembled{};  ///< as in ReducedModel
};
SparseModel sparse_model(const mesh::System& system);
/// The same entries as a model that is there already (an assembled one).
SparseModel sparse_model(const ReducedModel& whole);
Eigen::VectorXd load_vector(const mesh::System& system, const SparseModel& model, std::span<const mesh::BodyLoad> loads);

/// The pattern with every law closed, analysed once per model.
class SparseSolver {
 public:
  explicit SparseSolver(const SparseModel& model);  ///< keeps a reference: the model must outlive it
  /// As core::solve_equilibrium.
  EquilibriumOutcome solve(const Eigen::VectorXd& load, const EquilibriumOptions& options, Eigen::VectorXd& q);

 private:
  friend class SparseBackend;
  const SparseModel& model_;
  Eigen::SparseMatrix<double> linear_{};   ///< lower triangle, pattern of all
  Eigen::SparseMatrix<double> tangent_{};  ///< the same pattern
  std::vector<double> stiffness_values_{}, regularisation_values_{};
  std::vector<int> places_{};  ///< of each functional's outer product in the values, in the order of its loops
  Eigen::VectorXd diagonal_{};
  Eigen::SimplicialLDLT<Eigen::SparseMatrix<double>> factor_{};
  EquilibriumWorkspace work_{};
};

}  // namespace opisthion::core
