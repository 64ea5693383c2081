// SPDX-License-Identifier: MIT
#pragma once
// Newton to an equilibrium near a start point, with one rule for the caps of friction at a time (settle.hpp tries the
// rules).
#include <vector>

#include "solver/core/full/solve.hpp"
#include "solver/core/full/workspace.hpp"

namespace opisthion::core::full {

inline constexpr int kMostCoupled = 60;
inline constexpr int kFewCoupled = 12;  ///< of an attempt that is soon given up

/// What residuals are relative to [N].
double reference_load(const Model& model, const LoadPath& load, double factor);

class Minimiser {
 public:
  Minimiser(const Model& model, const LoadPath& load, double factor, const SolveOptions& options, Workspace& work,
            State& state, SolveOutcome& outcome);

  /// With `follow_caps` the caps are taken anew at each iterate; converged then means settled, too. Left where the residual
  /// comes below `enough` with caps that still move.
  bool run(bool follow_caps, double enough = 0.0);

  /// With caps that follow the normal forces in the tangent, too: Newton on the residual alone, for friction has no
  /// potential. Quadratic near the answer, where following without it creeps or swings.
  bool run_coupled(int most = kMostCoupled);

 private:
  /// The residual may rise for a few iterates (at a change from sticking to sliding it does), but not above the last ones.
  /// Where it ends the gradient is there, and the tangent if asked for.
  bool search_coupled(double size, bool tangent_too, Sum& sum);

  /// How the path goes on, by the tangent that was factored last.
  void find_rate();

  /// The tangent at the answer is factored.
  void arrived(bool definite, const Sum& sum);

  bool refresh_caps();

  /// Regularisation was evaluated at these poses last.
  bool escaped() const;

  /// Whether the tangent's symmetric part is positive definite; without a potential LU then takes the whole.
  bool factor();
  bool factor_shifted();

  /// No body further than the largest step.
  void limit_step();

  /// Along the step to where the energy's slope has come down; the slope at t is that along the step's own screw motion.
  /// `tangent_too`: the whole step, which is what most iterates take, is evaluated with its tangent, so that the next
  /// iterate has it; only where caps do not change in between.
  bool search(const Sum& at_start, bool tangent_too);

  double scaled_motion(const Eigen::VectorXd& step) const;

  /// Without a potential: the correction that the same tangent asks for must come down. The residual need not: where stiff
  /// directions lie beside soft ones it grows on the way to the answer (natural level function: Deuflhard, Newton Methods
  /// for Nonlinear Problems, 2004, from memory).
  bool search_residual();

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

}  // namespace opisthion::core::full
