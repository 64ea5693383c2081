// SPDX-License-Identifier: MIT
#include "solver/core/full/solve.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>

#include "solver/core/full/minima.hpp"
#include "solver/core/full/settle.hpp"
#include "solver/core/full/standing.hpp"
#include "solver/core/full/tolerances.hpp"
#include "solver/core/full/workspace.hpp"

namespace opisthion::core::full {
namespace {

constexpr int kMostBranches = 6;

Eigen::VectorXd softest_direction(const Model& model, Workspace& work) {
  Eigen::MatrixXd tangent;
  work.tangent.dense(tangent);
  const Modes modes = softest_modes(tangent, model.dof_scale, 1);
  if (modes.softest.empty() || modes.softest.front().stiffness_N_per_mm >= 0.0) return {};
  return modes.softest.front().shape;
}

/// Without a potential; the tangent was evaluated at the answer last.
bool stands(const Model& model, const Workspace& work) {
  Eigen::MatrixXd tangent;
  work.tangent.dense(tangent);
  return standing_of(tangent, model.dof_scale).standing == Standing::stands;
}

/// Branches of the log to start from; the first where the state has none.
void take_branches(const LoadPath& load, const State& state, Workspace& work) {
  work.branch = state.branch;
  work.branch.resize(load.constant.moments.size() + load.growing.moments.size(), Vector3::Zero());
}

}  // namespace

SolveOutcome solve(const Model& model, const LoadPath& load, double factor, const SolveOptions& options, Workspace& work,
                   State& state) {
  assert(state.poses.size() == model.system.bodies.size());
  SolveOutcome outcome;
  set_regularisation(model, options.regularisation, work);
  take_branches(load, state, work);
  if (model.dofs == 0) {
    outcome.status = SolveStatus::converged;
    outcome.positive = true;
    return outcome;
  }
  const bool symmetric = conservative(load.constant) && conservative(load.growing);
  const State start = state;
  bool found = settle(model, load, factor, options, work, state, outcome);
  if (!symmetric && found && !outcome.positive) outcome.positive = stands(model, work);
  if (!symmetric && (!found || !outcome.positive)) {
    state = start;
    found = solve_by_minima(model, load, factor, options, work, state, outcome);
    take_branches(load, start, work);
    found = found && settle(model, load, factor, options, work, state, outcome);
    if (found && !outcome.positive) outcome.positive = stands(model, work);
  }
  // An equilibrium that is no minimum is left along its softest mode, both ways, for the lower one.
  while (found && symmetric && !outcome.positive && outcome.branches < kMostBranches) {
    evaluate_model(model, load, factor, state.poses, state, Order::hessian, work, work.gradient);  // work may be elsewhere
    const Eigen::VectorXd mode = softest_direction(model, work);
    if (mode.size() == 0) break;
    ++outcome.branches;
    State best = state;
    double lowest = 0.0;
    bool left = false;
    SolveOutcome of_best = outcome;
    for (const double way : {1.0, -1.0}) {
      State other = state;
      move(model, way * kBranchPush_mm * mode, other.poses);
      SolveOutcome there = outcome;
      if (!settle(model, load, factor, options, work, other, there)) {
        outcome.escaped = outcome.escaped || there.escaped;
        continue;
      }
      const double energy = energy_at(model, load, factor, options.regularisation, other, work);
      if (!left || energy < lowest) {
        left = true;
        lowest = energy;
        best = std::move(other);
        of_best = there;
      }
    }
    if (!left) {
      found = false;
      break;
    }
    // Both ways lead to one as unstable and no lower: back here. Friction may hold what the tangent with its caps held does
    // not.
    const double here = energy_at(model, load, factor, options.regularisation, state, work);
    if (!of_best.positive && lowest >= here - kEnergyNoise * std::abs(here)) break;
    of_best.branches = outcome.branches;
    state = std::move(best);
    outcome = of_best;
  }
  outcome.status = found ? SolveStatus::converged : SolveStatus::iteration_limit;
  state.branch = work.branch;
  std::size_t i = 0;
  for (const Loads* loads : {&load.constant, &load.growing})
    for (const Moment& moment : loads->moments) {
      state.branch[i] = turned(moment, pose_of(state.poses, moment.body), work.branch[i]);
      ++i;
    }
  return outcome;
}

void commit(const Model& model, State& state) {
  for (std::size_t i = 0; i < model.frictions.size(); ++i) {
    const FrictionElement& friction = model.frictions[i];
    const double e = elongation(model, friction.law, state.poses);
    if (!(state.cap[i] > 0.0)) {
      state.slip[i] = e;  // nothing presses: it follows freely
      continue;
    }
    const double force = friction_response(friction, state.slip[i], state.cap[i], e).force;
    if (std::abs(force) >= state.cap[i]) state.slip[i] = e - force / friction.stiffness;
  }
}

void residual_at(const Model& model, const LoadPath& load, double factor, double regularisation, const State& state,
                 Workspace& work, Eigen::VectorXd& out) {
  set_regularisation(model, regularisation, work);
  take_branches(load, state, work);
  evaluate_model(model, load, factor, state.poses, state, Order::gradient, work, out);
}

void tangent_at(const Model& model, const LoadPath& load, double factor, double regularisation, const State& state,
                Workspace& work, Eigen::MatrixXd& out) {
  set_regularisation(model, regularisation, work);
  take_branches(load, state, work);
  evaluate_model(model, load, factor, state.poses, state, Order::hessian, work, work.gradient);
  work.tangent.dense(out);
}

double energy_at(const Model& model, const LoadPath& load, double factor, double regularisation, const State& state,
                 Workspace& work) {
  set_regularisation(model, regularisation, work);
  take_branches(load, state, work);
  return evaluate_model(model, load, factor, state.poses, state, Order::value, work, work.gradient).potential_Nmm;
}

}  // namespace opisthion::core::full
