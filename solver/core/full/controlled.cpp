// SPDX-License-Identifier: MIT
#include "solver/core/full/controlled.hpp"

#include <Eigen/Cholesky>
#include <Eigen/LU>
#include <algorithm>
#include <cmath>

#include "solver/core/at_index.hpp"
#include "solver/core/cap_settling.hpp"
#include "solver/core/full/machine.hpp"
#include "solver/core/full/standing.hpp"
#include "solver/core/full/tolerances.hpp"
#include "solver/core/full/workspace.hpp"
#include "solver/core/newton.hpp"

namespace opisthion::core::full {
namespace {

constexpr double kLeastFactor = 0.01;  // and to this share of the whole load: along a mechanism the factor falls to zero
constexpr double kTravelTolerance = 1e-10;  // of a whole step
constexpr double kNoNormal_N = 1e-3;
constexpr int kMostShortened = 10;
constexpr int kMemory = 4;             // a step may be worse than the last, not than the last few: laws have kinks
constexpr double kHold = 1e3;          // times the stiffest part: what holds the travel when stability is asked
constexpr double kMachineGive = 0.1;   // of a whole step, under the whole load: stiffer than a neck, and not by much
constexpr double kLeastSnap_mm = 1.0;  // and out of all proportion to the last step: as on a load's path
constexpr double kSlowly_mm = 1.0;     // of one of its steps: it snaps to what is near, over no ridge
constexpr int kMostMachineIterations = 400;

class Controlled {
 public:
  Controlled(const Model& model, const LoadPath& load, const ControlOptions& options, Workspace& work)
      : model_(model),
        load_(load),
        options_(options),
        work_(work),
        first_branch_(load.constant.moments.size()),
        load_N_(size_N(load.growing)),
        symmetric_(conservative(load.constant) && conservative(load.growing)) {
    double least = std::hypot(size_N(load.constant), kLeastFactor * load_N_);
    for (const LawElement& law : model.laws) least = std::max(least, law.tighten_N);
    least_N_ = std::max(kLeastLoad_N, least);
  }

  /// Whether an energy can be minimised.
  bool has_potential() const { return symmetric_; }

  double travel_at(const State& state) const { return travel(load_.growing, model_, state, first_branch_); }

  /// Poses and factor in balance with the travel given; `step` is what a whole step is. `by_energy`: where Newton on the
  /// residual swings between the pieces of laws, the energy of model and machine is minimised.
  bool solve(double target, double step, bool by_energy, State& state, double& factor, SolveOutcome& outcome) {
    const State start = state;
    const double start_factor = factor;
    const bool rubs = !model_.frictions.empty();
    if (newton(target, step, rubs, state, factor, outcome)) return true;
    if (outcome.escaped || !(rubs || by_energy)) return false;
    state = start;  // the caps swing: hold them, and take them half way to what they should be
    factor = start_factor;
    caps_at(model_, state.poses, work_, state.cap);
    std::vector<double> asked;
    for (int round = 0; round < kMostCapRounds; ++round) {
      if (!held(target, step, by_energy, state, factor, outcome)) return false;
      caps_at(model_, state.poses, work_, asked);
      outcome.caps_settled = settled(state.cap, asked);
      if (outcome.caps_settled || round + 1 == kMostCapRounds) return true;
      for (std::size_t i = 0; i < asked.size(); ++i) state.cap[i] += 0.5 * (asked[i] - state.cap[i]);
    }
    return true;
  }

  /// Whether the equilibrium is a minimum while the travel is held; if not, the mode that leaves it.
  bool stable(const State& state, double factor, Eigen::VectorXd& mode) {
    work_.branch = branches(state);
    evaluate_model(model_, load_, factor, state.poses, state, Order::hessian, work_, work_.gradient);
    Eigen::MatrixXd held;
    work_.tangent.dense(held);
    const Eigen::MatrixXd turned = held.transpose();
    held = 0.5 * (held + turned);
    take_loads(state);
    const Eigen::VectorXd& along = pushing_.slope;
    double squared = 0.0;
    for (int i = 0; i < model_.dofs; ++i) squared += std::pow(along[i] / model_.dof_scale[at_index(i)], 2);
    if (squared > 0.0) held += (kHold * work_.tangent.stiffest(model_.dof_scale) / squared) * along * along.transpose();
    if (Eigen::LLT<Eigen::MatrixXd>(held).info() == Eigen::Success) return true;
    if (!symmetric_) {  // what holds the travel pushes as the load does
      work_.tangent.dense(held);
      const double hold = squared > 0.0 ? kHold * work_.tangent.stiffest(model_.dof_scale) / squared : 0.0;
      held += (hold / travel_size(load_.growing)) * pushing_.push * pushing_.slope.transpose();
      return standing_of(held, model_.dof_scale).standing == Standing::stands;
    }
    const Modes modes = softest_modes(held, model_.dof_scale, 1);
    if (!modes.softest.empty() && modes.softest.front().stiffness_N_per_mm < 0.0) mode = modes.softest.front().shape;
    return false;
  }

  std::vector<Vector3> branches(const State& state) const {
    std::vector<Vector3> out = state.branch;
    out.resize(first_branch_ + load_.growing.moments.size(), Vector3::Zero());
    return out;
  }
  void take_branches(State& state) const {
    std::vector<Vector3> now = branches(state);
    std::size_t i = 0;
    for (const Loads* loads : {&load_.constant, &load_.growing})
      for (const Moment& moment : loads->moments) {
        now[i] = turned(moment, pose_of(state.poses, moment.body), now[i]);
        ++i;
      }
    state.branch = std::move(now);
  }

  double largest_part_mm(const Eigen::VectorXd& step) const {
    double most = 0.0;
    for (int i = 0; i < model_.dofs; i += 6)
      most = std::max({most, step.segment<3>(i).norm(), kRotationScale_mm * step.segment<3>(i + 3).norm()});
    return most;
  }

 private:
  bool settled(const std::vector<double>& used, const std::vector<double>& asked) const {
    for (std::size_t i = 0; i < used.size(); ++i) {
      const double most = std::max({used[i], asked[i], model_.frictions[i].cap_per_N * kNoNormal_N});
      if (std::abs(asked[i] - used[i]) > kCapTolerance * most) return false;
    }
    return true;
  }

  /// Caps of friction as they are.
  bool held(double target, double step, bool by_energy, State& state, double& factor, SolveOutcome& outcome) {
    const State start = state;
    const double start_factor = factor;
    if (newton(target, step, false, state, factor, outcome)) return true;
    if (!by_energy || outcome.escaped) return false;
    state = start;
    factor = start_factor;
    work_.branch = branches(state);
    SolveOutcome by_machine;
    const Machine machine{.target = target,
                          .give = kMachineGive * std::abs(step),
                          .tolerance = kTravelTolerance * std::abs(step),
                          .max_iterations = kMostMachineIterations};
    SolveOptions slowly = options_.solve;
    slowly.largest_step_mm = kSlowly_mm;
    const bool found = minimise_held(model_, load_, machine, reference_N(factor), slowly, work_, state, factor, by_machine);
    outcome.iterations += by_machine.iterations;
    outcome.factorisations += by_machine.factorisations;
    outcome.residual = by_machine.residual;
    outcome.escaped = by_machine.escaped;
    if (!found) return false;
    residual(state, factor, Order::hessian);
    look_at_standing(outcome);
    return true;
  }

  /// Under the load itself; the tangent was evaluated there last.
  void look_at_standing(SolveOutcome& outcome) {
    outcome.positive = work_.tangent.factor(0.0, model_.dof_scale);
    if (!outcome.positive && !symmetric_) {
      Eigen::MatrixXd tangent;
      work_.tangent.dense(tangent);
      outcome.positive = standing_of(tangent, model_.dof_scale).standing == Standing::stands;
    }
    outcome.met_negative = outcome.met_negative || !outcome.positive;
  }

  double reference_N(double factor) const { return std::max(least_N_, std::abs(factor) * load_N_); }

  void take_loads(const State& state) { push_and_slope(load_.growing, model_, state, first_branch_, pushing_); }

  double residual(const State& state, double factor, Order order) {
    evaluate_model(model_, load_, factor, state.poses, state, order, work_, work_.gradient);
    return scaled_norm(work_.gradient, model_.dof_scale);
  }

  bool newton(double target, double step, bool follow_caps, State& state, double& factor, SolveOutcome& outcome) {
    const int n = model_.dofs;
    work_.branch = branches(state);
    std::vector<double> corrections;
    double best = -1.0;
    int stalled = 0;
    for (int i = 0; i < options_.max_iterations; ++i) {
      bool caps_settled = true;
      if (follow_caps) {
        const std::vector<double> before = state.cap;
        caps_at(model_, state.poses, work_, state.cap);
        caps_settled = settled(before, state.cap);
      }
      const double size = residual(state, factor, Order::hessian);
      const double missing = target - travel_at(state);
      outcome.residual = size / reference_N(factor);
      ++outcome.iterations;
      if (!std::isfinite(size)) return false;
      const bool arrived = std::abs(missing) <= kTravelTolerance * std::abs(step);
      const bool small = outcome.residual <= options_.solve.residual_tolerance || size <= kAtRounding * work_.rounding_N;
      const bool near = size <= kNearRounding * work_.rounding_N;
      stalled = near && best >= 0.0 && size >= 0.5 * best ? stalled + 1 : 0;
      best = best < 0.0 ? size : std::min(best, size);
      if ((small || stalled >= kMostStalls) && arrived && caps_settled) {
        look_at_standing(outcome);
        return true;
      }
      take_loads(state);
      Eigen::MatrixXd tangent;
      work_.tangent.dense(tangent);
      Eigen::MatrixXd bordered(n + 1, n + 1);
      bordered.topLeftCorner(n, n) = tangent;
      bordered.topRightCorner(n, 1) = -pushing_.push;
      bordered.bottomLeftCorner(1, n) = pushing_.slope.transpose();
      bordered(n, n) = 0.0;
      Eigen::VectorXd right(n + 1);
      right << -work_.gradient, missing;
      ++outcome.factorisations;
      const Eigen::PartialPivLU<Eigen::MatrixXd> lu(bordered);
      const Eigen::VectorXd d = lu.solve(right);
      if (!d.allFinite()) return false;
      const double most = largest_part_mm(d);
      double t = most > options_.solve.largest_step_mm ? options_.solve.largest_step_mm / most : 1.0;
      // A trial is judged by the correction that the same tangent asks for there, not by its residual: where stiff
      // directions (axial) lie beside soft ones (bending), residuals grow on the way to the answer (natural level function:
      // Deuflhard, Newton Methods for Nonlinear Problems, 2004, from memory).
      corrections.push_back(most);
      double allowed = 0.0;
      for (std::size_t k = corrections.size() > kMemory ? corrections.size() - kMemory : 0; k < corrections.size(); ++k)
        allowed = std::max(allowed, corrections[k]);
      State trial = state;
      State least = state;
      double least_left = -1.0;
      double least_t = t;
      for (int k = 0; k < kMostShortened; ++k, t *= 0.5) {
        trial.poses = state.poses;
        move(model_, t * d.head(n), trial.poses);
        residual(trial, factor + t * d[n], Order::gradient);
        right << -work_.gradient, target - travel_at(trial);
        const double left = largest_part_mm(lu.solve(right));
        if (!(least_left >= 0.0) || left < least_left) {
          least_left = left;
          least.poses = trial.poses;
          least_t = t;
        }
        if (left < (1.0 - kLeastGain * t) * allowed) break;
      }
      state.poses = least.poses;
      factor += least_t * d[n];
      if (apart(work_, options_.solve)) {
        outcome.escaped = true;
        return false;
      }
    }
    return false;
  }

  const Model& model_;
  const LoadPath& load_;
  const ControlOptions& options_;
  Workspace& work_;
  std::size_t first_branch_;
  double load_N_;
  double least_N_ = kLeastLoad_N;
  Pushing pushing_{};
  bool symmetric_;
};

}  // namespace

double ControlOutcome::largest_factor() const {
  double most = 0.0;
  for (const ControlledStep& step : steps) most = std::max(most, step.factor);
  return most;
}

ControlOutcome follow_controlled(const Model& model, const LoadPath& load, const State& start, const ControlOptions& options,
                                 Workspace& work) {
  ControlOutcome out;
  set_regularisation(model, options.solve.regularisation, work);
  if (model.dofs == 0 || options.to == 0.0) return out;
  Controlled controlled(model, load, options, work);
  State now = start;
  double factor = options.from_factor;
  const double origin = controlled.travel_at(now);
  const double whole = options.to / options.steps;

  const auto settle = [&](double at, bool by_energy, State& state, double& own_factor, ControlledStep& step) {
    step.outcome = SolveOutcome();
    if (!controlled.solve(origin + at, whole, by_energy, state, own_factor, step.outcome)) return false;
    Eigen::VectorXd mode;
    step.stable = controlled.stable(state, own_factor, mode);
    if (!step.stable && mode.size() > 0) {
      // Left along its softest mode, both ways, for the lower energy.
      bool left = false;
      State lower;
      double lower_factor = own_factor;
      double lowest = 0.0;
      for (const double way : {1.0, -1.0}) {
        State other = state;
        double other_factor = own_factor;
        SolveOutcome there = step.outcome;
        move(model, way * kBranchPush_mm * mode, other.poses);
        Eigen::VectorXd next_mode;
        if (!controlled.solve(origin + at, whole, by_energy, other, other_factor, there)) continue;
        if (!controlled.stable(other, other_factor, next_mode)) continue;
        const double energy = energy_at(model, {load.constant, {}}, 0.0, options.solve.regularisation, other, work);
        if (left && energy >= lowest) continue;
        left = true;
        lowest = energy;
        lower = std::move(other);
        lower_factor = other_factor;
        step.outcome.positive = there.positive;
        step.outcome.iterations = there.iterations;
      }
      if (left) {
        state = std::move(lower);
        own_factor = lower_factor;
        step.stable = true;
        ++step.outcome.branches;
      }
    }
    step.outcome.status = SolveStatus::converged;
    controlled.take_branches(state);
    step.travel = at;
    step.factor = own_factor;
    return true;
  };

  ControlledStep first;
  if (!settle(0.0, controlled.has_potential(), now, factor, first)) {
    out.iterations = first.outcome.iterations;
    out.end = first.outcome.escaped ? ControlEnd::escaped : ControlEnd::no_answer;
    return out;
  }
  out.iterations += first.outcome.iterations;
  commit(model, now);
  first.state = now;
  out.steps.push_back(first);

  double at = 0.0;
  double step = whole;
  Eigen::VectorXd last_motion;
  double last_step = 0.0;
  double last_change = 0.0;
  ControlledStep last = first;
  for (int target = 1; target <= options.steps;) {
    const double goal = options.to * target / options.steps;
    const double next = std::abs(step) >= std::abs(goal - at) * (1.0 - kSame) ? goal : at + step;
    const bool smallest = std::abs(next - at) <= std::abs(whole) * options.smallest_step * (1.0 + kSame);
    ControlledStep found;
    State trial = now;
    double trial_factor = factor;
    if (last_motion.size() > 0) {
      const double ratio = std::min((next - at) / last_step, kMostPredicted);
      move(model, ratio * last_motion, trial.poses);
      trial_factor += ratio * last_change;
    }
    bool by_energy = false;
    bool good = settle(next, false, trial, trial_factor, found);
    out.iterations += found.outcome.iterations;
    if (!good && last_motion.size() > 0) {  // the prediction may have led astray
      trial = now;
      trial_factor = factor;
      good = settle(next, false, trial, trial_factor, found);
      out.iterations += found.outcome.iterations;
    }
    if (!good && smallest && controlled.has_potential()) {
      trial = now;
      trial_factor = factor;
      good = settle(next, true, trial, trial_factor, found);
      out.iterations += found.outcome.iterations;
      by_energy = good;
    }
    if (!good) {
      if (smallest) {
        out.end = found.outcome.escaped ? ControlEnd::escaped : ControlEnd::no_answer;
        if (last.travel != out.steps.back().travel) out.steps.push_back(std::move(last));
        return out;
      }
      step = 0.5 * (next - at);
      ++out.bisections;
      continue;
    }
    out.branches += found.outcome.branches;
    const Eigen::VectorXd motion = motion_between(model, now.poses, trial.poses);
    if (by_energy) {
      const double foretold =
          last_motion.size() > 0 ? controlled.largest_part_mm(last_motion) * std::abs((next - at) / last_step) : 0.0;
      const double moved = controlled.largest_part_mm(motion);
      if (moved > kLeastSnap_mm && moved > kJump * foretold) ++out.snaps;
    }
    last_motion = found.outcome.branches > 0 ? Eigen::VectorXd() : motion;
    last_step = next - at;
    last_change = trial_factor - factor;
    now = std::move(trial);
    factor = trial_factor;
    commit(model, now);
    at = next;
    found.state = now;
    last = std::move(found);
    if (next == goal) {
      out.steps.push_back(last);
      ++target;
    }
    if (std::abs(step) < std::abs(whole)) step = std::copysign(std::min(2.0 * std::abs(step), std::abs(whole)), whole);
  }
  out.end = ControlEnd::reached;
  return out;
}

}  // namespace opisthion::core::full
