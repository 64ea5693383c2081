// SPDX-License-Identifier: MIT
#pragma once
// Friction whose cap follows the normal forces of the current state. It has no potential: caps are frozen, the convex
// problem is solved, the caps are taken anew, until they stay (THEORY 8).
#include <vector>

#include "solver/core/equilibrium.hpp"
#include "solver/core/sparse_model.hpp"

namespace opisthion::core {

/// As solve_equilibrium, with the caps of friction settled; without friction it is solve_equilibrium. The laws of the
/// model's frictions are in and out: they start from the caps of the start point and keep the caps used, so that
/// tangent_at, judge, probe_mode see the model that the answer belongs to. Iterations are those of all rounds.
/// caps_settled is false when 40 rounds did not bring the change below 1e-6.
EquilibriumOutcome solve_with_friction(ReducedModel& model, const Eigen::VectorXd& load, const EquilibriumOptions& options,
                                       EquilibriumWorkspace& work, Eigen::VectorXd& q);
/// The solver must have been made from this very model.
EquilibriumOutcome solve_with_friction(SparseModel& model, SparseSolver& solver, const Eigen::VectorXd& load,
                                       const EquilibriumOptions& options, Eigen::VectorXd& q);

/// Caps [N; N mm] by the normal forces at q, in the order of the frictions.
std::vector<double> caps_at(const std::vector<Friction>& frictions, const std::vector<Functional>& functionals,
                            const Eigen::VectorXd& q);
/// Elastic about its anchor up to the cap, exactly constant beyond. No cap: no force.
mesh::ScalarLaw friction_law(const Friction& friction, double cap);
/// Puts the laws of given caps into a model.
void set_caps(const std::vector<Friction>& frictions, const std::vector<double>& caps, std::vector<Functional>& functionals);
/// Indices of the frictions that slide at q: pressed, and at their cap by the laws that the model holds.
std::vector<int> sliding(const ReducedModel& model, const Eigen::VectorXd& q);

}  // namespace opisthion::core
