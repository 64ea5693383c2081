// SPDX-License-Identifier: MIT
#include "solver/core/stability.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace opisthion::core {
namespace {

constexpr int kFirstModes = 8;  // asked for first; twice as many as long as all of them are free
constexpr double kPushStep = 0.01;

double scaled_norm_of(const ReducedModel& model, const Eigen::VectorXd& q) {
  double sum = 0.0;
  for (int i = 0; i < model.dofs; ++i) {
    const double part = model.dof_scale[static_cast<std::size_t>(i)] * q[i];
    sum += part * part;
  }
  return std::sqrt(sum);
}

/// Inner product of the scaled measure.
double scaled_dot(const ReducedModel& model, const Eigen::VectorXd& a, const Eigen::VectorXd& b) {
  double sum = 0.0;
  for (int i = 0; i < model.dofs; ++i) {
    const double s = model.dof_scale[static_cast<std::size_t>(i)];
    sum += s * a[i] * s * b[i];
  }
  return sum;
}

std::vector<Mode> free_modes(const ReducedModel& model, const Eigen::MatrixXd& tangent, double zero_ratio) {
  for (int count = kFirstModes;; count *= 2) {
    Modes modes = softest_modes(tangent, model.dof_scale, count);
    std::size_t free = 0;
    while (free < modes.softest.size() && modes.softest[free].stiffness_N_per_mm <= zero_ratio * modes.stiffest_N_per_mm)
      ++free;
    if (free < modes.softest.size() || count >= model.dofs) {
      modes.softest.resize(free);
      return modes.softest;
    }
  }
}

Mode mode_along(const ReducedModel& model, const Eigen::MatrixXd& tangent, const Eigen::VectorXd& direction) {
  Mode mode;
  mode.shape = direction / scaled_norm_of(model, direction);
  mode.stiffness_N_per_mm = mode.shape.dot(tangent * mode.shape);
  return mode;
}

/// Any basis of the free motions is as good as another, so take the one in which a single motion has all of the load's work.
void sort_free_modes(const ReducedModel& model, const Eigen::MatrixXd& tangent, const Eigen::VectorXd& load,
                     const Eigen::VectorXd& q, double work_share, std::vector<Mode> free, StabilityOutcome& outcome) {
  if (free.empty()) return;
  Eigen::VectorXd pushed = Eigen::VectorXd::Zero(model.dofs);
  for (const Mode& mode : free) pushed += load.dot(mode.shape) * mode.shape;
  const double total = std::abs(load.dot(from_assembly(model, q)));
  const double length = scaled_norm_of(model, pushed);
  bool driven = false;
  if (length > 0.0 && total > 0.0) {
    const Eigen::VectorXd unit = pushed / length;
    driven = std::abs(load.dot(unit) * scaled_dot(model, unit, from_assembly(model, q))) > work_share * total;
  }
  if (!driven) {
    outcome.floating = std::move(free);
    return;
  }
  outcome.driven.push_back(free.size() == 1 ? free.front() : mode_along(model, tangent, pushed));
  if (free.size() == 1) return;
  // The others, made orthogonal to it in their order; the one most like it drops out.
  const Eigen::VectorXd unit = outcome.driven.front().shape;
  std::size_t most_like = 0;
  for (std::size_t i = 1; i < free.size(); ++i)
    if (std::abs(scaled_dot(model, free[i].shape, unit)) > std::abs(scaled_dot(model, free[most_like].shape, unit)))
      most_like = i;
  for (std::size_t i = 0; i < free.size(); ++i) {
    if (i == most_like) continue;
    Eigen::VectorXd rest = free[i].shape - scaled_dot(model, free[i].shape, unit) * unit;
    for (const Mode& before : outcome.floating) rest -= scaled_dot(model, rest, before.shape) * before.shape;
    outcome.floating.push_back(mode_along(model, tangent, rest));
  }
}

}  // namespace

StabilityOutcome judge(const ReducedModel& model, const Eigen::VectorXd& load, const Eigen::VectorXd& q,
                       const StabilityOptions& options, EquilibriumWorkspace& work) {
  StabilityOutcome outcome;
  if (model.dofs == 0) return outcome;
  Eigen::VectorXd tenth = q;
  Eigen::VectorXd hundredth = q;
  const auto at_tenth = solve_equilibrium(model, load, {.regularisation = 0.1}, work, tenth);
  hundredth = tenth;
  const auto at_hundredth = solve_equilibrium(model, load, {.regularisation = 0.01}, work, hundredth);
  if (at_tenth && at_hundredth) {
    const double size =
        std::max(scaled_norm_of(model, from_assembly(model, tenth)), 1e-9);  // [mm], below which nothing is read
    const Eigen::VectorXd change = hundredth - tenth;
    const double moved = scaled_norm_of(model, change);
    outcome.growth = moved / size;
    outcome.runaway = outcome.growth > options.runaway_growth;
    if (outcome.runaway) outcome.escape = change / moved;
  } else {
    outcome.growth = std::numeric_limits<double>::infinity();
    outcome.runaway = true;
    const Eigen::VectorXd change = tenth - q;
    const double moved = scaled_norm_of(model, change);
    if (moved > 0.0) outcome.escape = change / moved;
  }
  Eigen::MatrixXd tangent;
  tangent_at(model, q, 0.0, tangent);
  sort_free_modes(model, tangent, load, q, options.work_share, free_modes(model, tangent, options.zero_ratio), outcome);
  return outcome;
}

LaxProbe probe_mode(const ReducedModel& model, const Mode& mode, double push_N, EquilibriumWorkspace& work) {
  LaxProbe probe;
  Eigen::VectorXd neutral =
      model.assembled.size() > 0 ? model.assembled : Eigen::VectorXd(Eigen::VectorXd::Zero(model.dofs));
  if (!solve_equilibrium(model, Eigen::VectorXd::Zero(model.dofs), {}, work, neutral)) return probe;
  Eigen::VectorXd push(model.dofs);  // works push_N per unit of the mode's scaled length, and on nothing across it
  for (int i = 0; i < model.dofs; ++i) {
    const double s = model.dof_scale[static_cast<std::size_t>(i)];
    push[i] = push_N * s * s * mode.shape[i];
  }
  double travel = 0.0;
  for (const double sign : {1.0, -1.0}) {
    const auto moved = [&](double factor, double regularisation) {
      Eigen::VectorXd q = neutral;
      const Eigen::VectorXd load = sign * factor * push;
      if (!solve_equilibrium(model, load, {.regularisation = regularisation}, work, q))
        return std::numeric_limits<double>::infinity();
      return sign * scaled_dot(model, mode.shape, q - neutral);
    };
    const double at_push = moved(1.0, 1.0);
    const double fading = moved(1.0, 0.1);
    // held by regularisation alone it would go ten times as far
    if (!(fading < 2.0 * at_push)) return probe;
    // the line at the push, carried back to no force: where the stop begins
    const double compliance = (moved(1.0 + kPushStep, 1.0) - at_push) / kPushStep;
    travel += std::max(at_push - compliance, 0.0);
  }
  probe.stiffens = true;
  probe.travel = 0.5 * travel;
  return probe;
}

}  // namespace opisthion::core
