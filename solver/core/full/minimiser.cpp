// SPDX-License-Identifier: MIT
#include "solver/core/full/minimiser.hpp"

#include <algorithm>
#include <cmath>

#include "solver/core/cap_settling.hpp"
#include "solver/core/full/tolerances.hpp"
#include "solver/core/newton.hpp"

namespace opisthion::core::full {
namespace {

constexpr double kStalls = 0.5;
constexpr double kLastStep = 10.0;  // passing: times the tolerance's root, from where Newton's step is likely the last
constexpr double kShortest = 0.05;  // of it: as near as the kink of a contact is sought
constexpr int kSameEnd = 1;
constexpr double kShiftBack = 16.0;  // how far below the last shift that did the next is sought
constexpr int kCreeps = 4;           // coupled iterations in which the residual must have come down to a half
constexpr int kMostHalved = 8;
constexpr std::size_t kLooksBack = 4;

double scaled_load(const Loads& loads, double factor) {
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

}  // namespace

double reference_load(const Model& model, const LoadPath& load, double factor) {
  return std::max(
      {kLeastLoad_N, assembly_force(model), std::hypot(scaled_load(load.constant, 1.0), scaled_load(load.growing, factor))});
}

Minimiser::Minimiser(const Model& model, const LoadPath& load, double factor, const SolveOptions& options, Workspace& work,
                     State& state, SolveOutcome& outcome)
    : model_(model), load_(load), factor_(factor), options_(options), work_(work), state_(state), outcome_(outcome) {
  symmetric_ = conservative(load.constant) && conservative(load.growing);
  reference_N_ = reference_load(model, load, factor);
}

bool Minimiser::run(bool follow_caps, double enough) {
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
    if (passed_ && definite && (!follow_caps || refresh_caps())) {
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

bool Minimiser::run_coupled(int most) {
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
    if (i >= kCreeps && size >= kStalls * sizes[static_cast<std::size_t>(i - kCreeps)]) return false;
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

bool Minimiser::search_coupled(double size, bool tangent_too, Sum& sum) {
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

void Minimiser::find_rate() {
  growing_gradient(model_, load_, state_.poses, work_, work_.trial_gradient);
  work_.tangent.solve(-work_.trial_gradient, outcome_.rate);
}

void Minimiser::arrived(bool definite, const Sum& sum) {
  outcome_.positive = definite;
  outcome_.energy_Nmm = sum.strain_Nmm;
  outcome_.rate.resize(0);
  if (definite) find_rate();
}

bool Minimiser::refresh_caps() {
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

bool Minimiser::escaped() const {
  for (const TieStretch& tie : work_.stretches) {
    if (tie.slide_mm.norm() > options_.largest_slide_mm || tie.turn_rad.norm() > options_.largest_turn_rad) return true;
  }
  return false;
}

bool Minimiser::factor() {
  ++outcome_.factorisations;
  const bool definite = work_.tangent.factor(0.0, model_.dof_scale);
  outcome_.met_negative = outcome_.met_negative || !definite;
  if (!symmetric_) usable_ = work_.tangent.factor_unsymmetric(definite);
  return definite;
}

bool Minimiser::factor_shifted() {
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

void Minimiser::limit_step() {
  double most = 0.0;
  for (int i = 0; i < model_.dofs; i += 6) {
    most = std::max(most, work_.step.segment<3>(i).norm());
    most = std::max(most, kRotationScale_mm * work_.step.segment<3>(i + 3).norm());
  }
  if (most > options_.largest_step_mm) work_.step *= options_.largest_step_mm / most;
}

bool Minimiser::search(const Sum& at_start, bool tangent_too) {
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

double Minimiser::scaled_motion(const Eigen::VectorXd& step) const {
  double sum = 0.0;
  for (int i = 0; i < model_.dofs; ++i) sum += std::pow(model_.dof_scale[static_cast<std::size_t>(i)] * step[i], 2);
  return std::sqrt(sum);
}

bool Minimiser::search_residual() {
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

}  // namespace opisthion::core::full
