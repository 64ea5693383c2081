// SPDX-License-Identifier: MIT
#include "solver/core/equilibrium.hpp"

#include <cassert>
#include <cmath>

#include "solver/core/newton.hpp"
#include "solver/core/small_dense.hpp"

namespace opisthion::core {
namespace {

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

/// The blocks of the lower triangle only, and of the diagonal all of it: what the factor reads, without a branch.
void add_outer_below(const Functional& f, double k, Eigen::MatrixXd& target) {
  for (std::size_t a = 0; a < static_cast<std::size_t>(f.blocks); ++a) {
    for (std::size_t b = 0; b < static_cast<std::size_t>(f.blocks); ++b) {
      if (f.first_dof[a] < f.first_dof[b]) continue;
      const double* const row = f.row[a].data();
      const double* const across = f.row[b].data();
      for (int j = 0; j < 6; ++j) {
        const double factor = k * across[j];
        double* const column = &target(f.first_dof[a], f.first_dof[b] + j);
        for (int i = 0; i < 6; ++i) column[i] += factor * row[i];
      }
    }
  }
}

class DenseBackend {
 public:
  DenseBackend(const ReducedModel& model, double regularisation, EquilibriumWorkspace& work)
      : model_(model), regularisation_(regularisation), work_(work) {
    work_.linear = model.stiffness;
    work_.linear += regularisation * model.regularisation;
    if (model.assembled.size() > 0)
      work_.constant = model.force0 - regularisation * (model.regularisation * model.assembled);
  }

  int dofs() const { return model_.dofs; }
  const double* force0() const { return (assembled().size() > 0 ? work_.constant : model_.force0).data(); }
  const Eigen::VectorXd& assembled() const { return model_.assembled; }
  const std::vector<Tightened>& tightened() const { return model_.tightened; }
  const std::vector<Functional>& functionals() const { return model_.functionals; }
  const std::vector<double>& dof_scale() const { return model_.dof_scale; }
  void multiply(const Eigen::VectorXd& q, Eigen::VectorXd& out) const { times(work_.linear, q, out); }

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

  /// Each pivot is compared with the stiffness that its unknown had, so that they compare whatever the units are.
  bool factor(const std::vector<double>& law_stiffness) {
    work_.tangent = work_.linear;
    for (std::size_t j = 0; j < law_stiffness.size(); ++j)
      if (law_stiffness[j] != 0.0) add_outer_below(model_.functionals[j], law_stiffness[j], work_.tangent);
    work_.own = work_.tangent.diagonal();
    return factor_lower(work_.tangent, work_.own, kSingularPivot, work_.factoring);
  }

  void solve(const Eigen::VectorXd& right, Eigen::VectorXd& out) const {
    out = right;
    solve_lower(work_.tangent, out);
  }

  double regularisation_energy(const Eigen::VectorXd& q) const {
    times(model_.regularisation, q, work_.scaled);
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

Eigen::VectorXd from_assembly(const ReducedModel& model, const Eigen::VectorXd& q) {
  return model.assembled.size() > 0 ? Eigen::VectorXd(q - model.assembled) : q;
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
  if (regularisation != 0.0) out.noalias() += regularisation * model.regularisation * from_assembly(model, q);
  for (const Functional& f : model.functionals) add_row(f, respond_without_energy(f.law, f.at(q)).force, out);
}

double energy_at(const ReducedModel& model, const Eigen::VectorXd& q, double regularisation) {
  double sum = 0.5 * q.dot(model.stiffness * q) + model.force0.dot(q);
  if (regularisation != 0.0) {
    const Eigen::VectorXd moved = from_assembly(model, q);
    sum += 0.5 * regularisation * moved.dot(model.regularisation * moved);
  }
  for (const Functional& f : model.functionals) sum += respond(f.law, f.at(q)).energy;
  return sum;
}

}  // namespace opisthion::core
