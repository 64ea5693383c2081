// SPDX-License-Identifier: MIT
#include "solver/core/equilibrium.hpp"

#include <cassert>
#include <cmath>

#include "solver/core/newton.hpp"

namespace opisthion::core {
namespace {

// Pivots of the matrix scaled to a unit diagonal: below this nothing but rounding is left (n * 1e-16 with n of some
// hundreds).
constexpr double kSingularPivot = 1e-14;

/// target += k row row^T, exactly symmetric.
void add_outer(const Functional& f, double k, Eigen::MatrixXd& target) {
  for (int a = 0; a < f.blocks; ++a) {
    for (int b = 0; b < f.blocks; ++b) {
      const auto ia = static_cast<std::size_t>(a);
      const auto ib = static_cast<std::size_t>(b);
      for (int j = 0; j < 6; ++j)
        for (int i = 0; i < 6; ++i) target(f.first_dof[ia] + i, f.first_dof[ib] + j) += k * (f.row[ia][i] * f.row[ib][j]);
    }
  }
}

class DenseBackend {
 public:
  DenseBackend(const ReducedModel& model, double regularisation, EquilibriumWorkspace& work)
      : model_(model), regularisation_(regularisation), work_(work) {
    work_.linear = model.stiffness;
    work_.linear += regularisation * model.regularisation;
    work_.diagonal.resize(model.dofs);
  }

  int dofs() const { return model_.dofs; }
  const double* force0() const { return model_.force0.data(); }
  const std::vector<Functional>& functionals() const { return model_.functionals; }
  const std::vector<double>& dof_scale() const { return model_.dof_scale; }
  void multiply(const Eigen::VectorXd& q, Eigen::VectorXd& out) const { out.noalias() = work_.linear * q; }

  double gross(const Eigen::VectorXd& q) const {
    double sum = 0.0;
    for (int i = 0; i < model_.dofs; ++i) {
      double row = 0.0;
      for (int j = 0; j < model_.dofs; ++j) row += std::abs(work_.linear(j, i) * q[j]);
      row /= model_.dof_scale[static_cast<std::size_t>(i)];
      sum += row * row;
    }
    return std::sqrt(sum);
  }

  /// Scaled to a unit diagonal, so that pivots compare whatever the units and the stiffness beside them.
  bool factor(const std::vector<double>& law_stiffness) {
    work_.tangent = work_.linear;
    for (std::size_t j = 0; j < law_stiffness.size(); ++j)
      if (law_stiffness[j] != 0.0) add_outer(model_.functionals[j], law_stiffness[j], work_.tangent);
    for (int i = 0; i < model_.dofs; ++i) {
      if (!(work_.tangent(i, i) > 0.0)) return false;
      work_.diagonal[i] = 1.0 / std::sqrt(work_.tangent(i, i));
    }
    for (int j = 0; j < model_.dofs; ++j)
      for (int i = 0; i < model_.dofs; ++i) work_.tangent(i, j) *= work_.diagonal[i] * work_.diagonal[j];
    work_.factor.compute(work_.tangent);
    if (work_.factor.info() != Eigen::Success) return false;
    for (int i = 0; i < model_.dofs; ++i)
      if (!(work_.factor.vectorD()[i] > kSingularPivot)) return false;
    return true;
  }

  void solve(const Eigen::VectorXd& right, Eigen::VectorXd& out) const {
    out = right;
    for (int i = 0; i < model_.dofs; ++i) out[i] *= work_.diagonal[i];
    work_.factor.solveInPlace(out);
    for (int i = 0; i < model_.dofs; ++i) out[i] *= work_.diagonal[i];
  }

  double regularisation_energy(const Eigen::VectorXd& q) const {
    work_.scaled.noalias() = model_.regularisation * q;
    return 0.5 * regularisation_ * q.dot(work_.scaled);
  }

 private:
  const ReducedModel& model_;
  double regularisation_;
  EquilibriumWorkspace& work_;
};

}  // namespace

EquilibriumOutcome solve_equilibrium(const ReducedModel& model, const Eigen::VectorXd& load,
                                     const EquilibriumOptions& options, EquilibriumWorkspace& work, Eigen::VectorXd& q) {
  assert(load.size() == model.dofs && q.size() == model.dofs);
  DenseBackend backend(model, options.regularisation, work);
  return Newton<DenseBackend>(backend, load, options, work).run(q);
}

void tangent_at(const ReducedModel& model, const Eigen::VectorXd& q, double regularisation, Eigen::MatrixXd& out) {
  out = model.stiffness;
  if (regularisation != 0.0) out += regularisation * model.regularisation;
  for (const Functional& f : model.functionals) {
    const double k = respond_without_energy(f.law, f.at(q)).stiffness;
    if (k != 0.0) add_outer(f, k, out);
  }
}

void residual_at(const ReducedModel& model, const Eigen::VectorXd& q, const Eigen::VectorXd& load, double regularisation,
                 Eigen::VectorXd& out) {
  out = model.force0 - load;
  out.noalias() += model.stiffness * q;
  if (regularisation != 0.0) out.noalias() += regularisation * model.regularisation * q;
  for (const Functional& f : model.functionals) add_row(f, respond_without_energy(f.law, f.at(q)).force, out);
}

double energy_at(const ReducedModel& model, const Eigen::VectorXd& q, double regularisation) {
  double sum = 0.5 * q.dot(model.stiffness * q) + model.force0.dot(q);
  if (regularisation != 0.0) sum += 0.5 * regularisation * q.dot(model.regularisation * q);
  for (const Functional& f : model.functionals) sum += respond(f.law, f.at(q)).energy;
  return sum;
}

}  // namespace opisthion::core
