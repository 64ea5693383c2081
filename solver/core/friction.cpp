// SPDX-License-Identifier: MIT
#include "solver/core/friction.hpp"

#include <algorithm>
#include <cmath>

#include "solver/core/at_index.hpp"
#include "solver/core/cap_settling.hpp"

namespace opisthion::core {
namespace {

constexpr double kNoTravel = 1e-12;  // [mm, rad] elastic travel below it is rounding: no friction
constexpr double kAlmost = 1e-9;     // relative: within it of the cap is at the cap

template <typename Model, typename Solve>
EquilibriumOutcome settle(Model& model, const Solve& solve, Eigen::VectorXd& q) {
  if (model.frictions.empty()) return solve(q);
  std::vector<double> used = caps_at(model.frictions, model.functionals, q);
  std::vector<double> step(used.size());
  std::vector<double> step_before;
  double factor = 1.0;
  int iterations = 0;
  for (int round = 1;; ++round) {
    set_caps(model.frictions, used, model.functionals);
    EquilibriumOutcome outcome = solve(q);
    iterations += outcome.iterations;
    outcome.iterations = iterations;
    outcome.friction_rounds = round;
    const std::vector<double> asked = caps_at(model.frictions, model.functionals, q);
    outcome.cap_change = cap_change(model.frictions, used, asked);
    outcome.caps_settled = outcome.cap_change < kCapTolerance;
    if (!outcome || outcome.caps_settled || round >= kMostCapRounds) return outcome;
    for (std::size_t i = 0; i < used.size(); ++i) step[i] = asked[i] - used[i];
    if (!step_before.empty()) factor = relaxation(factor, step_before, step);
    for (std::size_t i = 0; i < used.size(); ++i) used[i] = std::max(0.0, used[i] + factor * step[i]);
    step_before = step;
  }
}

}  // namespace

std::vector<double> caps_at(const std::vector<Friction>& frictions, const std::vector<Functional>& functionals,
                            const Eigen::VectorXd& q) {
  std::vector<double> caps;
  caps.reserve(frictions.size());
  for (const Friction& friction : frictions) {
    double normal = 0.0;
    for (const Friction::Feed& feed : friction.normal) {
      const Functional& by = functionals[at_index(feed.functional)];
      normal += feed.weight * std::max(0.0, respond_without_energy(by.law, by.at(q)).force);
    }
    caps.push_back(std::max(0.0, friction.cap_per_N * normal));
  }
  return caps;
}

mesh::ScalarLaw friction_law(const Friction& friction, double cap) {
  const double travel = friction.stiffness > 0.0 ? cap / friction.stiffness : 0.0;
  if (!(travel > kNoTravel * (1.0 + std::abs(friction.anchor)))) return mesh::ToeLinear{};
  mesh::Polygon law;
  law.count = 2;
  law.at = {friction.anchor - travel, friction.anchor + travel};
  law.value = {-cap, cap};
  return law;
}

void set_caps(const std::vector<Friction>& frictions, const std::vector<double>& caps,
              std::vector<Functional>& functionals) {
  for (std::size_t i = 0; i < frictions.size(); ++i)
    functionals[at_index(frictions[i].functional)].law = friction_law(frictions[i], caps[i]);
}

EquilibriumOutcome solve_with_friction(ReducedModel& model, const Eigen::VectorXd& load, const EquilibriumOptions& options,
                                       EquilibriumWorkspace& work, Eigen::VectorXd& q) {
  return settle(
      model, [&](Eigen::VectorXd& at) { return solve_equilibrium(model, load, options, work, at); }, q);
}

EquilibriumOutcome solve_with_friction(SparseModel& model, SparseSolver& solver, const Eigen::VectorXd& load,
                                       const EquilibriumOptions& options, Eigen::VectorXd& q) {
  return settle(
      model, [&](Eigen::VectorXd& at) { return solver.solve(load, options, at); }, q);
}

std::vector<int> sliding(const ReducedModel& model, const Eigen::VectorXd& q) {
  std::vector<int> out;
  for (std::size_t i = 0; i < model.frictions.size(); ++i) {
    const Functional& functional = model.functionals[at_index(model.frictions[i].functional)];
    const double moved = std::abs(functional.at(q) - model.frictions[i].anchor);
    const auto* law = std::get_if<mesh::Polygon>(&functional.law);
    if (law == nullptr) continue;  // nothing presses: no friction, and none that could slide
    const double travel = 0.5 * (law->at[1] - law->at[0]);
    if (moved >= travel * (1.0 - kAlmost)) out.push_back(static_cast<int>(i));
  }
  return out;
}

}  // namespace opisthion::core
