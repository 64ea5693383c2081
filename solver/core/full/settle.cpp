// SPDX-License-Identifier: MIT
#include "solver/core/full/settle.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include "solver/core/cap_settling.hpp"
#include "solver/core/full/minimiser.hpp"
#include "solver/core/newton.hpp"

namespace opisthion::core::full {
namespace {

// Near the answer the coupled tangent ends it at once. Caps that follow at each iterate come near soon where they settle so.
// Where that fails caps are held in rounds, and where those do not come down either the first is tried for longer.
struct Attempt {
  int following = 0;  ///< iterations with caps that follow
  double near = 0.0;  ///< residual relative to the load, from which the coupled tangent is tried at once
  int coupled = kFewCoupled;
};
constexpr std::array<Attempt, 2> kShort{{{1, 1.0}, {3, 1e-2}}};
constexpr std::array<Attempt, 3> kLonger{{{16, 1e-3}, {24, 1e-4}, {40, 0.0, kMostCoupled}}};
constexpr int kMostFollowing = 60;      // at the very last
constexpr double kTooFar = 1.0;         // residual relative to the load, from which no coupled attempt is made
constexpr int kMostHeldRounds = 12;     // with caps held and then taken anew
constexpr double kFirstHeld = 1e-3;     // residual relative to the load, to which the first goes
constexpr double kHeldShare = 0.1;      // of what the last change of caps left, to which the others go
constexpr std::size_t kRoundsBack = 3;  // in as many it must have come down to
constexpr double kComesDown = 0.5;      // this share
constexpr int kMostCoupledTries = 3;    // where held caps are relaxed

/// Caps held, an equilibrium near enough, caps taken anew: what is left of their change comes down from round to round where
/// following it at each iterate swings. From where it has come down the coupled tangent is tried.
bool settle_in_rounds(const Model& model, const LoadPath& load, double factor, const SolveOptions& options, Workspace& work,
                      State& state, SolveOutcome& outcome) {
  State held = state;
  SolveOptions roughly = options;
  roughly.residual_tolerance = std::max(kFirstHeld, options.residual_tolerance);
  const double reference_N = reference_load(model, load, factor);
  caps_at(model, held.poses, work, held.cap);
  std::vector<double> lefts;
  double tried = std::numeric_limits<double>::infinity();
  for (int round = 0; round < kMostHeldRounds; ++round) {
    if (!Minimiser(model, load, factor, roughly, work, held, outcome).run(false)) return false;
    caps_at(model, held.poses, work, held.cap);
    evaluate_model(model, load, factor, held.poses, held, Order::gradient, work, work.gradient);
    const double left = scaled_norm(work.gradient, model.dof_scale) / reference_N;
    const std::size_t at = lefts.size();
    if (at >= kRoundsBack && left > kComesDown * lefts[at - kRoundsBack]) return false;
    lefts.push_back(left);
    roughly.residual_tolerance = std::max(kHeldShare * left, options.residual_tolerance);
    if (left >= tried) continue;
    tried = left;
    State near = held;
    if (Minimiser(model, load, factor, options, work, near, outcome).run_coupled(kFewCoupled) && outcome.positive) {
      state = std::move(near);
      return true;
    }
  }
  return false;
}

/// Some iterations with caps that follow, then the coupled tangent. `state` is left where the first came to unless found.
bool attempt(const Attempt& how, const Model& model, const LoadPath& load, double factor, const SolveOptions& options,
             Workspace& work, State& state, SolveOutcome& outcome) {
  SolveOptions following = options;
  following.max_iterations = std::min(options.max_iterations, how.following);
  if (Minimiser(model, load, factor, following, work, state, outcome).run(true, how.near)) return true;
  const bool long_one = how.coupled > kFewCoupled;
  if (outcome.escaped || (outcome.residual > kTooFar && !long_one)) return false;
  State near = state;
  if (Minimiser(model, load, factor, options, work, near, outcome).run_coupled(how.coupled) &&
      (outcome.positive || long_one)) {
    state = std::move(near);
    return true;
  }
  outcome.escaped = false;
  return false;
}

/// Caps held, solved for to the end, and relaxed from round to round. True also where they do not settle: see `settle`.
bool settle_by_relaxing(const Model& model, const LoadPath& load, double factor, const SolveOptions& options,
                        Workspace& work, State& state, SolveOutcome& outcome) {
  caps_at(model, state.poses, work, state.cap);
  std::vector<double> asked, step, step_before;
  double relaxed = 1.0;
  const int rounds = std::min(kMostCapRounds, options.max_iterations);
  for (int round = 0; round < rounds; ++round) {
    if (!Minimiser(model, load, factor, options, work, state, outcome).run(false)) return false;
    caps_at(model, state.poses, work, asked);
    outcome.cap_change = cap_change(model.frictions, state.cap, asked);
    outcome.caps_settled = outcome.cap_change < kCapTolerance;
    if (outcome.caps_settled) return true;
    if (round < kMostCoupledTries) {
      State near = state;
      if (Minimiser(model, load, factor, options, work, near, outcome).run_coupled()) {
        state = std::move(near);
        outcome.caps_settled = true;
        return true;
      }
    }
    if (round + 1 == rounds) break;  // what is returned is in balance with the caps it has
    step.resize(asked.size());
    for (std::size_t i = 0; i < asked.size(); ++i) step[i] = asked[i] - state.cap[i];
    relaxed = step_before.empty() ? 0.5 : relaxation(relaxed, step_before, step);
    for (std::size_t i = 0; i < asked.size(); ++i) state.cap[i] = std::max(0.0, state.cap[i] + relaxed * step[i]);
    step_before = step;
  }
  return true;
}

}  // namespace

bool settle(const Model& model, const LoadPath& load, double factor, const SolveOptions& options, Workspace& work,
            State& state, SolveOutcome& outcome) {
  if (model.frictions.empty()) return Minimiser(model, load, factor, options, work, state, outcome).run(false);
  const State start = state;
  for (const Attempt& soon : kShort) {
    if (attempt(soon, model, load, factor, options, work, state, outcome)) return true;
    if (outcome.escaped) return false;
  }
  State held = start;
  if (settle_in_rounds(model, load, factor, options, work, held, outcome)) {
    state = std::move(held);
    return true;
  }
  outcome.escaped = false;
  for (const Attempt& longer : kLonger) {
    if (attempt(longer, model, load, factor, options, work, state, outcome)) return true;
    if (outcome.escaped) return false;
  }
  SolveOptions last = options;
  last.max_iterations = std::min(options.max_iterations, kMostFollowing);
  if (Minimiser(model, load, factor, last, work, state, outcome).run(true)) return true;
  if (outcome.escaped) return false;
  state = start;
  return settle_by_relaxing(model, load, factor, options, work, state, outcome);
}

}  // namespace opisthion::core::full
