// SPDX-License-Identifier: MIT
#include "solver/core/full/machine.hpp"

#include <Eigen/Cholesky>
#include <algorithm>
#include <cmath>

#include "solver/core/at_index.hpp"
#include "solver/core/full/tolerances.hpp"
#include "solver/core/full/workspace.hpp"
#include "solver/core/newton.hpp"

namespace opisthion::core::full {
namespace {

constexpr double kNarrow = 1e-12;
constexpr int kMostRounds = 40;        // of the machine taking back its give
constexpr double kEnoughNearer = 4.0;  // by which a round must come nearer, or the machine is made stiffer
constexpr double kStiffer = 10.0;

class Held {
 public:
  Held(const Model& model, const LoadPath& load, const Machine& machine, double reference_N, const SolveOptions& options,
       Workspace& work, State& state, SolveOutcome& outcome)
      : model_(model),
        load_(load),
        machine_(machine),
        options_(options),
        work_(work),
        state_(state),
        outcome_(outcome),
        first_branch_(load.constant.moments.size()),
        size_(travel_size(load.growing)),
        no_travel_Nmm_(work_without_travel(load.growing, model)),
        reference_N_(reference_N),
        give_(machine.give) {}

  bool run(double& factor) {
    asked_ = factor;
    double before = -1.0;
    for (int round = 0; round < kMostRounds; ++round) {
      if (!minimise()) return false;
      const double missing = std::abs(machine_.target - travel(load_.growing, model_, state_, first_branch_));
      factor = asked_ = factor_;
      if (missing <= machine_.tolerance) return true;
      if (before >= 0.0 && kEnoughNearer * missing > before) give_ /= kStiffer;
      before = missing;
    }
    return false;
  }

 private:
  /// Energy of model and machine at these poses, and what they ask for. The machine pushes with the load that its give makes
  /// of the travel that is missing; at factor f the gradient is that of the model under f times the load.
  double evaluate(const State& at, Order order, Eigen::VectorXd& gradient) {
    const double missing = machine_.target - travel(load_.growing, model_, at, first_branch_);
    factor_ = asked_ + missing / give_;
    const Sum sum = evaluate_model(model_, load_, factor_, at.poses, at, order, work_, gradient);
    strain_Nmm_ = sum.strain_Nmm;
    const double load_work = size_ * (machine_.target - missing) + no_travel_Nmm_;
    return sum.potential_Nmm + factor_ * load_work + size_ * missing * (asked_ + 0.5 * missing / give_);
  }

  bool minimise() {
    bool nothing_better = false;
    while (outcome_.iterations < machine_.max_iterations) {
      const double energy = evaluate(state_, Order::hessian, work_.gradient);
      const double size = scaled_norm(work_.gradient, model_.dof_scale);
      ++outcome_.iterations;
      if (!std::isfinite(size)) return false;
      outcome_.residual = size / reference_N_;
      if (outcome_.residual <= options_.residual_tolerance || size <= kAtRounding * work_.rounding_N) return true;
      if (nothing_better) return size <= kNearRounding * work_.rounding_N;
      find_step();
      nothing_better = !search(energy);
      if (apart(work_, options_)) {
        outcome_.escaped = true;
        return false;
      }
    }
    return false;
  }

  /// Newton's step on model and machine, shifted until it goes downhill, no body further than the largest step.
  void find_step() {
    push_and_slope(load_.growing, model_, state_, first_branch_, pushing_);
    work_.tangent.dense(tangent_);
    tangent_ += (size_ / give_) * pushing_.slope * pushing_.slope.transpose();
    double shift = 0.0;
    for (int i = 0; i < kMostShifts; ++i) {
      ++outcome_.factorisations;
      factored_.compute(tangent_);
      if (factored_.info() == Eigen::Success) break;
      const double more = shift == 0.0 ? kFirstShift_N_per_mm : 3.0 * shift;
      for (int k = 0; k < model_.dofs; ++k)
        tangent_(k, k) += more * model_.dof_scale[at_index(k)] * model_.dof_scale[at_index(k)];
      shift += more;
    }
    step_ = factored_.solve(-work_.gradient);
    double most = 0.0;
    for (int i = 0; i < model_.dofs; i += 6)
      most = std::max({most, step_.segment<3>(i).norm(), kRotationScale_mm * step_.segment<3>(i + 3).norm()});
    if (most > options_.largest_step_mm) step_ *= options_.largest_step_mm / most;
  }

  /// To where the energy's slope along the step has come down; leaves the state where nothing better is found.
  bool search(double energy_at_start) {
    const double slope = work_.gradient.dot(step_);
    if (!(slope < 0.0)) return false;
    const double noise = kEnergyNoise * (std::abs(strain_Nmm_) + std::abs(energy_at_start));
    State trial = state_;
    double low = 0.0, low_slope = slope;
    double high = 0.0, high_slope = 0.0;
    Poses best;
    double t = 1.0;
    for (int i = 0; i < kMostSearch; ++i) {
      trial.poses = state_.poses;
      move(model_, t * step_, trial.poses);
      const double energy = evaluate(trial, Order::gradient, work_.trial_gradient);
      const double here = work_.trial_gradient.dot(step_);  // spins of one axis commute: exact along the step
      const bool descends = energy - energy_at_start <= kLeastDescent * t * slope + noise;
      if (descends && here <= kFlatEnough * std::abs(slope)) {
        state_.poses = std::move(trial.poses);
        return true;
      }
      if (descends && here < 0.0) {
        low = t;
        low_slope = here;
        best = trial.poses;
      } else {
        high = t;
        high_slope = std::max(here, -low_slope * 1e-3);
      }
      if (high - low < kNarrow) break;
      const double share = std::clamp(-low_slope / (high_slope - low_slope), 0.1, 0.9);
      t = low + (descends || here > 0.0 ? share : 0.5) * (high - low);
    }
    if (best.empty()) return false;
    state_.poses = std::move(best);
    return true;
  }

  const Model& model_;
  const LoadPath& load_;
  const Machine& machine_;
  const SolveOptions& options_;
  Workspace& work_;
  State& state_;
  SolveOutcome& outcome_;
  std::size_t first_branch_;
  double size_;
  double no_travel_Nmm_;
  double reference_N_;
  double give_;
  double asked_ = 0.0;   ///< factor at which the machine gives nothing
  double factor_ = 0.0;  ///< with which it pushes where it was evaluated last
  double strain_Nmm_ = 0.0;
  Pushing pushing_{};
  Eigen::MatrixXd tangent_{};
  Eigen::LLT<Eigen::MatrixXd> factored_{};
  Eigen::VectorXd step_{};
};

}  // namespace

bool apart(const Workspace& work, const SolveOptions& options) {
  return std::any_of(work.stretches.begin(), work.stretches.end(), [&options](const TieStretch& tie) {
    return tie.slide_mm.norm() > options.largest_slide_mm || tie.turn_rad.norm() > options.largest_turn_rad;
  });
}

bool minimise_held(const Model& model, const LoadPath& load, const Machine& machine, double reference_N,
                   const SolveOptions& options, Workspace& work, State& state, double& factor, SolveOutcome& outcome) {
  return Held(model, load, machine, reference_N, options, work, state, outcome).run(factor);
}

}  // namespace opisthion::core::full
