// SPDX-License-Identifier: MIT
#include "solver/core/full/path.hpp"

#include <algorithm>
#include <cmath>

#include "solver/core/at_index.hpp"
#include "solver/core/full/tolerances.hpp"
#include "solver/core/full/workspace.hpp"

namespace opisthion::core::full {
namespace {

constexpr int kFurtherTargets = 1;  // tried outright where friction will not settle on the way
constexpr double kLittleCapChange =
    0.01;  // relative: what friction that is off by as much remembers of one step is less than a figure shows
constexpr double kMostCurved = 1.0;  // how far the curve of the path may lead off its chord, relative to it

double largest_part_mm(const Model& model, const Eigen::VectorXd& motion) {
  double most = 0.0;
  for (int i = 0; i < model.dofs; i += 6)
    most = std::max({most, motion.segment<3>(i).norm(), kRotationScale_mm * motion.segment<3>(i + 3).norm()});
  return most;
}

Eigen::VectorXd unit(const Model& model, Eigen::VectorXd direction) {
  double sum = 0.0;
  for (int i = 0; i < model.dofs; ++i) sum += std::pow(model.dof_scale[at_index(i)] * direction[i], 2);
  if (sum > 0.0) direction /= std::sqrt(sum);
  return direction;
}

/// Softest motion at the last state that converged: where it is about to go.
Eigen::VectorXd softest(const Model& model, const LoadPath& load, double factor, const SolveOptions& options,
                        const State& state, Workspace& work) {
  Eigen::MatrixXd tangent;
  tangent_at(model, load, factor, options.regularisation, state, work, tangent);
  const Modes modes = softest_modes(0.5 * (tangent + tangent.transpose()), model.dof_scale, 1);
  return modes.softest.empty() ? Eigen::VectorXd() : modes.softest.front().shape;
}

/// The last step of the path, from which the next is foretold.
struct LastStep {
  Eigen::VectorXd motion{};  ///< empty: none, or a snap
  Eigen::VectorXd rate{};    ///< motion per factor at its end; may be empty
  double length = 0.0;       ///< in factors
  bool first = false;        ///< out of rest, perhaps through a lax zone: its motion foretells nothing
};

/// Where the path goes on after the last state, by h in factors: on the parabola through the last step's ends with the slope
/// at its end, or straight on where that leads far off; after the first and after a snap along that slope. (A cubic with the
/// slope at its start, too, saves nothing: laws have kinks.)
Eigen::VectorXd prediction(const Model& model, const LastStep& last, double h) {
  const double ratio = std::min(h / last.length, kMostPredicted);
  if (last.motion.size() == 0) return ratio * last.length * last.rate;
  Eigen::VectorXd straight = ratio * last.motion;
  if (last.rate.size() == 0) return straight;
  // x(s) = a s + b s^2 from the last state, x(-1) = -motion, x'(0) = length rate
  const Eigen::VectorXd a = last.length * last.rate;
  const Eigen::VectorXd curved =
      last.first ? Eigen::VectorXd(ratio * a) : Eigen::VectorXd(ratio * (a + ratio * (a - last.motion)));
  return largest_part_mm(model, curved - straight) <= kMostCurved * largest_part_mm(model, straight) ? curved : straight;
}

}  // namespace

PathOutcome follow(const Model& model, const LoadPath& load, const State& start, const PathOptions& options,
                   Workspace& work) {
  PathOutcome out;
  State now = start;
  double at = options.from;
  SolveOutcome first = solve(model, load, at, options.solve, work, now);
  out.iterations += first.iterations;
  out.branches += first.branches;
  if (!first) {
    out.end = first.escaped ? PathEnd::escaped : PathEnd::no_answer;
    const Eigen::VectorXd motion = motion_between(model, start.poses, now.poses);
    if (first.escaped) out.escape = unit(model, motion);
    return out;
  }
  commit(model, now);
  out.steps.push_back({at, now, first});

  const double span = options.to - options.from;
  const double whole = span / options.steps;
  double step = whole;
  LastStep last;
  bool suspected = false;  // that this step of the path hides a snap
  for (int target = 1; target <= options.steps;) {
    const double goal = options.from + span * target / options.steps;
    const double left = goal - at;
    double next = std::abs(step) >= std::abs(left) * (1.0 - kSame) ? goal : at + step;
    State trial = now;
    const bool first_step = out.steps.size() == 1 && at == options.from;
    const bool goes_on = last.motion.size() > 0 || last.rate.size() > 0;
    const bool predicted = goes_on || (first_step && options.near_first != nullptr);
    Eigen::VectorXd foretold = Eigen::VectorXd::Zero(model.dofs);
    if (goes_on) foretold = prediction(model, last, next - at);
    if (goes_on)
      move(model, foretold, trial.poses);
    else if (predicted)
      trial.poses = *options.near_first;
    SolveOptions how = options.solve;
    if (target < options.steps && options.waypoint_tolerance > how.residual_tolerance) {
      how.residual_tolerance = options.waypoint_tolerance;
      how.passing = true;
    }
    SolveOutcome outcome = solve(model, load, next, how, work, trial);
    out.iterations += outcome.iterations;
    if (!outcome && predicted) {  // the prediction may have led astray
      trial = now;
      outcome = solve(model, load, next, how, work, trial);
      out.iterations += outcome.iterations;
    }
    const bool smallest = std::abs(next - at) <= std::abs(whole) * options.smallest_step * (1.0 + kSame);
    // Where hardly anything presses, caps of friction may swing without end, and settle under more load.
    const bool rubs = !model.frictions.empty();
    const int last_tried = std::min(options.steps, target + kFurtherTargets);
    for (int further = target; rubs && smallest && !outcome && !outcome.escaped && further <= last_tried; ++further) {
      State far = now;
      const double factor = options.from + span * further / options.steps;
      SolveOutcome there = solve(model, load, factor, options.solve, work, far);
      out.iterations += there.iterations;
      if (!there || !there.caps_settled || !there.positive) continue;
      next = factor;
      target = further;
      if (goes_on) foretold = prediction(model, last, next - at);
      trial = std::move(far);
      outcome = there;
    }
    Eigen::VectorXd motion = motion_between(model, now.poses, trial.poses);
    const double moved_mm = largest_part_mm(model, motion);
    const bool lax = std::max(std::abs(at), std::abs(next)) <= options.lax_to * (1.0 + kSame);
    // Newton may step over the unstable stretch without ever standing on it: a motion out of all proportion to the last
    // says so, too.
    const double expected_mm =
        last.motion.size() > 0 ? largest_part_mm(model, last.motion) * std::abs((next - at) / last.length) : moved_mm;
    const bool jumped = moved_mm > kJump * expected_mm;
    // Once halved for that, the rest of the step is looked at as closely, whatever the one before foretold.
    const bool sudden = outcome.met_negative || outcome.branches > 0 || jumped || suspected;
    // What the last state foretold is no snap, however far it leads.
    const bool snaps =
        outcome && !lax && sudden && std::min(moved_mm, largest_part_mm(model, motion - foretold)) > options.largest_snap_mm;
    if ((!outcome || snaps) && !smallest) {
      suspected = suspected || snaps;
      step = 0.5 * (next - at);
      ++out.bisections;
      continue;
    }
    if (!outcome) {
      const Eigen::VectorXd mode = softest(model, load, at, options.solve, now, work);
      if (outcome.escaped) {
        out.end = PathEnd::escaped;
        out.escape = unit(model, motion);
      } else {
        out.end = outcome.met_negative ? PathEnd::limit_point : PathEnd::no_answer;
        out.escape = mode;
      }
      if (out.steps.back().factor != at) out.steps.push_back({at, now, first});
      return out;
    }
    if (snaps) out.snaps.push_back({next, moved_mm, motion});
    out.branches += outcome.branches;
    out.caps_settled = out.caps_settled && (outcome.caps_settled || outcome.cap_change < kLittleCapChange);
    last = {.motion = snaps ? Eigen::VectorXd() : motion,
            .rate = outcome.rate,
            .length = next - at,
            .first = out.steps.size() == 1};
    now = std::move(trial);
    commit(model, now);
    at = next;
    first = outcome;
    if (next == options.from + span * target / options.steps) {
      suspected = false;
      out.steps.push_back({at, now, outcome});
      ++target;
    }
    if (std::abs(step) < std::abs(whole)) step = std::copysign(std::min(2.0 * std::abs(step), std::abs(whole)), whole);
  }
  out.end = PathEnd::reached;
  return out;
}

}  // namespace opisthion::core::full
