// SPDX-License-Identifier: MIT
#include "solver/core/full/solve.hpp"

#include <algorithm>
#include <array>
#include <cassert>
#include <cmath>

#include "solver/core/cap_settling.hpp"
#include "solver/core/full/minima.hpp"
#include "solver/core/full/standing.hpp"
#include "solver/core/full/workspace.hpp"
#include "solver/core/newton.hpp"

namespace opisthion::core::full {
namespace {

constexpr double kLeastLoad_N = 1e-3;    // residuals count relative to this at least
constexpr double kAtRounding = 3.0;      // times what the last digit makes: a residual below is rounding
constexpr double kNearRounding = 300.0;  // within it, whoever comes no further has arrived
constexpr double kStalls = 0.5;
constexpr int kMostStalls = 3;
constexpr double kLastStep = 10.0;      // passing: times the tolerance's root, from where Newton's step is likely the last
constexpr double kLeastDescent = 1e-4;  // of the slope: Armijo
constexpr double kFlatEnough = 0.5;     // a step ends where the slope is below this share of that at its start
constexpr double kShortest = 0.05;      // of it: as near as the kink of a contact is sought
constexpr int kSameEnd = 1;
constexpr double kEnergyNoise = 1e-8;
constexpr int kMostSearch = 25;
constexpr double kLeastGain = 0.25;
constexpr double kFirstShift_N_per_mm = 1e-3;
constexpr int kMostShifts = 40;
constexpr double kShiftBack = 16.0;     // how far below the last shift that did the next is sought
constexpr double kCapTolerance = 1e-6;  // relative, as in small kinematics
constexpr int kMostCapRounds = 40;
/// Coupled attempts, each after some iterations with caps that follow: at first from where these have come near soon.
struct Attempt {
  int following = 0;
  double near = 0.0;  ///< residual relative to the load
};
constexpr std::array<Attempt, 3> kAttempts{{{6, 1e-2}, {16, 1e-3}, {24, 1e-4}}};
constexpr double kTooFar = 1.0;  // residual relative to the load, from which none is made
constexpr int kFewCoupled = 12;
constexpr int kSoon = 4;                   // coupled iterations by which such an attempt must have come nearer
constexpr int kMostFollowing = 40;         // iterations with caps that follow, before the tangent is given their share
constexpr int kMostFollowingFurther = 60;  // where the coupled tangent led nowhere
constexpr int kMostCoupled = 60;
constexpr int kMostHalved = 8;
constexpr int kMostCoupledTries = 3;
constexpr std::size_t kLooksBack = 4;
constexpr double kBranchPush_mm = 0.2;  // along the mode by which an unstable equilibrium is left
constexpr int kMostBranches = 6;

double scaled_load(const Model& model, const Loads& loads, double factor) {
  static_cast<void>(model);
  double sum = 0.0;
  for (const PointForce& force : loads.forces) sum += force.force_N.squaredNorm();
  for (const Moment& moment : loads.moments) sum += (moment.moment_Nmm / kRotationScale_mm).squaredNorm();
  return std::abs(factor) * std::sqrt(sum);
}

double assembly_force(const Model& model) {
  double most = 0.0;
  for (const LawElement& law : model.laws) most = std::max(most, law.tighten_N);
  return most;
}

/// Newton with caps of friction held.
class Minimiser {
 public:
  Minimiser(const Model& model, const LoadPath& load, double factor, const SolveOptions& options, Workspace& work,
            State& state, SolveOutcome& outcome)
      : model_(model), load_(load), factor_(factor), options_(options), work_(work), state_(state), outcome_(outcome) {
    symmetric_ = conservative(load.constant) && conservative(load.growing);
    reference_N_ = std::max({kLeastLoad_N, assembly_force(model),
                             std::hypot(scaled_load(model, load.constant, 1.0), scaled_load(model, load.growing, factor))});
  }

  /// With `follow_caps` the caps are taken anew at each iterate; converged then means settled, too. Left where the residual
  /// comes below `enough` with caps that still move.
  bool run(bool follow_caps, double enough = 0.0) {
    double best = -1.0;
    int stalled = 0;
    const bool caps_move = follow_caps && !model_.frictions.empty();
    evaluated_ = false;
    Sum sum;
    for (int i = 0; i < options_.max_iterations; ++i) {
      const bool settled = !follow_caps || refresh_caps();
      if (evaluated_)
        sum = there_;
      else
        sum = evaluate_model(model_, load_, factor_, state_.poses, state_, Order::hessian, work_, work_.gradient);
      const double size = scaled_norm(work_.gradient, model_.dof_scale);
      outcome_.residual = size / reference_N_;
      ++outcome_.iterations;
      const bool small = outcome_.residual <= options_.residual_tolerance || size <= kAtRounding * work_.rounding_N;
      const bool near = size <= kNearRounding * work_.rounding_N;
      stalled = near && best >= 0.0 && size >= kStalls * best ? stalled + 1 : 0;
      best = best < 0.0 ? size : std::min(best, size);
      const bool definite = factor();
      if ((small || stalled >= kMostStalls) && settled) {
        arrived(definite, sum);
        return true;
      }
      if (!std::isfinite(size)) return false;
      if (i > 0 && !settled && outcome_.residual < enough) return false;
      if (!definite && !factor_shifted()) return false;
      work_.tangent.solve(-work_.gradient, work_.step);
      limit_step();
      const bool last =
          options_.passing && outcome_.residual <= kLastStep * std::sqrt(options_.residual_tolerance) && !caps_move;
      if (!(symmetric_ ? search(sum, !caps_move && !last) : search_residual())) {
        if (!near || !settled) return false;
        arrived(definite, sum);  // nothing better within rounding
        return true;
      }
      if (escaped()) {
        outcome_.escaped = true;
        return false;
      }
      if (passed_ && settled && definite) {
        const double size_there = scaled_norm(work_.trial_gradient, model_.dof_scale);
        if (size_there / reference_N_ <= options_.residual_tolerance) {
          outcome_.residual = size_there / reference_N_;
          arrived(true, there_);
          return true;
        }
      }
    }
    return false;
  }

  /// With caps that follow the normal forces in the tangent, too: Newton on the residual alone, for friction has no
  /// potential. Quadratic near the answer, where following without it creeps or swings.
  bool run_coupled(int most = kMostCoupled) {
    std::vector<double> sizes;
    outcome_.rate.resize(0);
    caps_at(model_, state_.poses, work_, state_.cap);
    Sum sum = evaluate_model(model_, load_, factor_, state_.poses, state_, Order::hessian, work_, work_.gradient);
    for (int i = 0; i < most; ++i) {
      const double size = scaled_norm(work_.gradient, model_.dof_scale);
      if (!std::isfinite(size)) return false;
      outcome_.residual = size / reference_N_;
      ++outcome_.iterations;
      if (outcome_.residual <= options_.residual_tolerance || size <= kAtRounding * work_.rounding_N) {
        // the last tangent that knew of the caps is from a step before, which is near enough for where the path goes on
        if (i > 0) find_rate();
        const Eigen::VectorXd rate = outcome_.rate;
        arrived(factor(), sum);
        if (i > 0 && outcome_.positive) outcome_.rate = rate;
        return true;
      }
      if (most <= kFewCoupled && i >= kSoon && size >= sizes.front()) return false;
      sizes.push_back(size);
      add_cap_coupling(model_, state_.poses, state_, work_);
      const bool definite = factor();
      if (!work_.tangent.factor_unsymmetric(definite)) return false;
      work_.tangent.solve(-work_.gradient, work_.step);
      limit_step();
      const std::size_t seen = std::min<std::size_t>(sizes.size(), kLooksBack);
      const double least_of = *std::max_element(sizes.end() - static_cast<std::ptrdiff_t>(seen), sizes.end());
      const bool last = options_.passing && outcome_.residual <= kLastStep * std::sqrt(options_.residual_tolerance);
      if (!search_coupled(least_of, !last, sum) || escaped()) return false;
      if (!last) continue;
      const double size_there = scaled_norm(work_.gradient, model_.dof_scale);
      if (definite && size_there / reference_N_ <= options_.residual_tolerance) {
        outcome_.residual = size_there / reference_N_;
        arrived(true, sum);
        return true;
      }
      sum = evaluate_model(model_, load_, factor_, state_.poses, state_, Order::hessian, work_, work_.gradient);
    }
    return false;
  }

 private:
  /// The residual may rise for a few iterates (at a change from sticking to sliding it does), but not above the last ones.
  /// Where it ends the gradient is there, and the tangent if asked for.
  bool search_coupled(double size, bool tangent_too, Sum& sum) {
    there_caps_.cap = state_.cap;
    there_caps_.slip = state_.slip;
    double t = 1.0;
    for (int i = 0; i < kMostHalved; ++i, t *= 0.5) {
      work_.trial = state_.poses;
      scaled_ = t * work_.step;
      move(model_, scaled_, work_.trial);
      caps_at(model_, work_.trial, work_, there_caps_.cap);
      // the whole step is what most iterates take
      const Order order = tangent_too && i == 0 ? Order::hessian : Order::gradient;
      sum = evaluate_model(model_, load_, factor_, work_.trial, there_caps_, order, work_, work_.gradient);
      if (scaled_norm(work_.gradient, model_.dof_scale) < (1.0 - kLeastDescent * t) * size) {
        std::swap(state_.poses, work_.trial);
        std::swap(state_.cap, there_caps_.cap);
        if (tangent_too && order != Order::hessian)
          evaluate_model(model_, load_, factor_, state_.poses, state_, Order::hessian, work_, work_.gradient);
        return true;
      }
    }
    return false;
  }

  /// How the path goes on, by the tangent that was factored last.
  void find_rate() {
    growing_gradient(model_, load_, state_.poses, work_, work_.trial_gradient);
    work_.tangent.solve(-work_.trial_gradient, outcome_.rate);
  }

  /// The tangent at the answer is factored.
  void arrived(bool definite, const Sum& sum) {
    outcome_.positive = definite;
    outcome_.energy_Nmm = sum.strain_Nmm;
    outcome_.rate.resize(0);
    if (definite) find_rate();
  }

  bool refresh_caps() {
    if (model_.frictions.empty()) return true;
    before_ = state_.cap;
    caps_at(model_, state_.poses, work_, state_.cap);
    for (std::size_t i = 0; i < before_.size(); ++i) {
      const double least = model_.frictions[i].cap_per_N * kNoNormal_N;
      const double most = std::max({before_[i], state_.cap[i], least});
      if (most > 0.0 && std::abs(before_[i] - state_.cap[i]) > kCapTolerance * most) return false;
    }
    return true;
  }

  /// Regularisation was evaluated at these poses last.
  bool escaped() const {
    for (const TieStretch& tie : work_.stretches) {
      if (tie.slide_mm.norm() > options_.largest_slide_mm || tie.turn_rad.norm() > options_.largest_turn_rad) return true;
    }
    return false;
  }

  /// Whether the tangent's symmetric part is positive definite; without a potential LU then takes the whole.
  bool factor() {
    ++outcome_.factorisations;
    const bool definite = work_.tangent.factor(0.0, model_.dof_scale);
    outcome_.met_negative = outcome_.met_negative || !definite;
    if (!symmetric_) usable_ = work_.tangent.factor_unsymmetric(definite);
    return definite;
  }
  bool factor_shifted() {
    if (!symmetric_) return usable_;
    double shift = std::max(kFirstShift_N_per_mm, shift_ / kShiftBack);
    for (int i = 0; i < kMostShifts; ++i, shift *= 4.0) {
      ++outcome_.factorisations;
      if (!work_.tangent.factor(shift, model_.dof_scale)) continue;
      shift_ = shift;
      return true;
    }
    return false;
  }

  /// No body further than the largest step.
  void limit_step() {
    double most = 0.0;
    for (int i = 0; i < model_.dofs; i += 6) {
      most = std::max(most, work_.step.segment<3>(i).norm());
      most = std::max(most, kRotationScale_mm * work_.step.segment<3>(i + 3).norm());
    }
    if (most > options_.largest_step_mm) work_.step *= options_.largest_step_mm / most;
  }

  /// Along the step to where the energy's slope has come down; the slope at t is that along the step's own screw motion.
  /// `tangent_too`: the whole step, which is what most iterates take, is evaluated with its tangent, so that the next
  /// iterate has it; only where caps do not change in between.
  bool search(const Sum& at_start, bool tangent_too) {
    evaluated_ = passed_ = false;
    const double slope = work_.gradient.dot(work_.step);
    if (!(slope < 0.0)) return slope == 0.0;
    double low = 0.0, low_slope = slope;
    double high = 0.0, high_slope = 0.0;
    int in_a_row = 0;
    bool was_lower = false;
    double t = 1.0;
    for (int i = 0; i < kMostSearch; ++i) {
      work_.trial = state_.poses;
      scaled_ = t * work_.step;
      move(model_, scaled_, work_.trial);
      const bool with_tangent = tangent_too && i == 0;
      const Sum there = evaluate_model(model_, load_, factor_, work_.trial, state_,
                                       with_tangent ? Order::hessian : Order::gradient, work_, work_.trial_gradient);
      const double here = work_.trial_gradient.dot(work_.step);  // spins of one axis commute: exact along the step
      const double change = there.potential_Nmm - at_start.potential_Nmm;
      // Where energies differ by less than their last digits tell, slopes alone decide (approximate Wolfe condition: Hager &
      // Zhang, SIAM J. Optim. 16 (2005) 170, from memory).
      const double noise = kEnergyNoise * (std::abs(at_start.strain_Nmm) + std::abs(at_start.potential_Nmm));
      const bool descends = change <= kLeastDescent * t * slope + noise;
      // Short of a contact that the whole step would drive deep into, the slope hardly changes: on to where it meets it, for
      // from there the tangent knows of it.
      const bool short_of_it = high > 0.0 && here < -kFlatEnough * std::abs(slope) && high - t > kShortest * high;
      if (descends && here <= kFlatEnough * std::abs(slope) && !short_of_it) {
        std::swap(state_.poses, work_.trial);
        there_ = there;
        if (with_tangent) {
          std::swap(work_.gradient, work_.trial_gradient);
          evaluated_ = true;
        }
        passed_ = options_.passing && !with_tangent && i == 0;
        return true;
      }
      const bool lower = descends && here < 0.0;
      in_a_row = i > 1 && lower == was_lower ? in_a_row + 1 : 0;
      was_lower = lower;
      if (lower) {
        low = t;
        low_slope = here;
      } else {
        high = t;
        high_slope = std::max(here, -low_slope * 1e-3);
      }
      const double width = high - low;
      // Where the slope would vanish on a straight line, kept off the ends; halved where one end stays.
      const double share = std::clamp(-low_slope / (high_slope - low_slope), 0.1, 0.9);
      t = low + ((descends || here > 0.0) && in_a_row < kSameEnd ? share : 0.5) * width;
      if (width < 1e-12) break;
    }
    // No better point within rounding: take the last lower one, if any.
    if (low > 0.0) {
      work_.trial = state_.poses;
      scaled_ = low * work_.step;
      move(model_, scaled_, work_.trial);
      std::swap(state_.poses, work_.trial);
      return true;
    }
    return false;
  }

  double scaled_motion(const Eigen::VectorXd& step) const {
    double sum = 0.0;
    for (int i = 0; i < model_.dofs; ++i) sum += std::pow(model_.dof_scale[static_cast<std::size_t>(i)] * step[i], 2);
    return std::sqrt(sum);
  }

  /// Without a potential: the correction that the same tangent asks for must come down. The residual need not: where stiff
  /// directions lie beside soft ones it grows on the way to the answer (natural level function: Deuflhard, Newton Methods
  /// for Nonlinear Problems, 2004, from memory).
  bool search_residual() {
    const double whole = scaled_motion(work_.step);
    double t = 1.0;
    for (int i = 0; i < kMostSearch; ++i, t *= 0.5) {
      work_.trial = state_.poses;
      scaled_ = t * work_.step;
      move(model_, scaled_, work_.trial);
      evaluate_model(model_, load_, factor_, work_.trial, state_, Order::gradient, work_, work_.trial_gradient);
      work_.tangent.solve(-work_.trial_gradient, correction_);
      if (scaled_motion(correction_) < (1.0 - kLeastGain * t) * whole) {
        std::swap(state_.poses, work_.trial);
        return true;
      }
    }
    return false;
  }

  const Model& model_;
  const LoadPath& load_;
  double factor_;
  const SolveOptions& options_;
  Workspace& work_;
  State& state_;
  SolveOutcome& outcome_;
  bool symmetric_ = true;
  bool usable_ = true;  ///< LU's pivots
  double shift_ = 0.0;  ///< the last that made the tangent definite
  double reference_N_ = 1.0;
  std::vector<double> before_{};
  bool evaluated_ = false;  ///< energy, gradient and tangent at the poses are there already
  bool passed_ = false;     ///< energy and, in trial_gradient, gradient are
  Sum there_{};
  Eigen::VectorXd scaled_{}, correction_{};
  State there_caps_{};  ///< slip and caps at a trial; its poses are not used
};

/// Equilibrium, with the caps of friction settled.
bool settle(const Model& model, const LoadPath& load, double factor, const SolveOptions& options, Workspace& work,
            State& state, SolveOutcome& outcome) {
  if (model.frictions.empty()) return Minimiser(model, load, factor, options, work, state, outcome).run(false);
  const State start = state;
  SolveOptions following = options;
  for (const Attempt& attempt : kAttempts) {
    following.max_iterations = std::min(options.max_iterations, attempt.following);
    if (Minimiser(model, load, factor, following, work, state, outcome).run(true, attempt.near)) return true;
    if (outcome.escaped) return false;
    if (outcome.residual > kTooFar) continue;
    State near = state;
    if (Minimiser(model, load, factor, options, work, near, outcome).run_coupled(kFewCoupled) && outcome.positive) {
      state = std::move(near);
      return true;
    }
    outcome.escaped = false;
  }
  following.max_iterations = std::min(options.max_iterations, kMostFollowing);
  if (Minimiser(model, load, factor, following, work, state, outcome).run(true)) return true;
  if (outcome.escaped) return false;
  State near = state;
  if (Minimiser(model, load, factor, options, work, near, outcome).run_coupled()) {
    state = std::move(near);
    return true;
  }
  following.max_iterations = std::min(options.max_iterations, kMostFollowingFurther);
  if (Minimiser(model, load, factor, following, work, state, outcome).run(true)) return true;
  if (outcome.escaped) return false;
  // The caps swing with the iterates: hold them, solve, and go on from there.
  state = start;
  caps_at(model, state.poses, work, state.cap);
  std::vector<double> asked;
  std::vector<double> step;
  std::vector<double> step_before;
  double relaxed = 1.0;
  const int rounds = std::min(kMostCapRounds, options.max_iterations);
  for (int round = 0; round < rounds; ++round) {
    if (!Minimiser(model, load, factor, options, work, state, outcome).run(false)) return false;
    caps_at(model, state.poses, work, asked);
    outcome.cap_change = cap_change(model.frictions, state.cap, asked);
    outcome.caps_settled = outcome.cap_change < kCapTolerance;
    if (outcome.caps_settled) return true;
    if (round < kMostCoupledTries) {
      near = state;
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
  return true;  // in balance with caps that do not agree with it: the caller reads caps_settled
}

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
