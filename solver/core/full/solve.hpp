// SPDX-License-Identifier: MIT
#pragma once
// Equilibrium in finite rotation: incremental minimisation by Newton along the exponential retraction.
#include <memory>

#include "solver/core/equilibrium.hpp"
#include "solver/core/full/model.hpp"
#include "solver/core/modes.hpp"

namespace opisthion::core::full {

struct SolveOptions {
  double regularisation = 1.0;
  int max_iterations = 400;          ///< a slack neck creeps along its walls before it tightens
  double residual_tolerance = 1e-9;  ///< relative to the load (scaled), as in core::EquilibriumOptions
  /// On the way to somewhere else: the tangent of the last iterate but one, Newton's last step away, tells whether the
  /// answer is stable and how the path goes on.
  bool passing = false;
  double largest_step_mm = 10.0;  ///< of one Newton step and body (rotations times 20 mm): the energy is only known nearby
  /// Neighbours that regularisation ties and that come further apart than this have escaped: no joint comes near.
  double largest_slide_mm = 60.0;
  double largest_turn_rad = 1.4;
};

/// A constant load and one that grows with a factor.
struct LoadPath {
  Loads constant{};
  Loads growing{};
};

struct SolveOutcome {
  SolveStatus status = SolveStatus::not_run;
  int iterations = 0;
  int factorisations = 0;
  double residual = 0.0;  ///< relative
  /// A stable equilibrium: the tangent at the answer (regularisation included) is positive definite or, where loads have no
  /// potential, it stands (standing.hpp).
  bool positive = false;
  bool escaped = false;       ///< two neighbours came further apart than the options allow
  bool met_negative = false;  ///< on the way the tangent lost its definiteness
  int branches = 0;           ///< times that an unstable equilibrium was left along its mode
  bool caps_settled = true;
  double cap_change = 0.0;  ///< where they did not settle: largest relative change that is still asked for
  double energy_Nmm = 0.0;  ///< strain energy, regularisation and this solve's work of friction included
  /// Motion per unit of the factor at the answer, by its tangent: where a path goes on. Empty where that is not definite.
  Eigen::VectorXd rate{};
  explicit operator bool() const { return status == SolveStatus::converged; }
};

/// Scratch of a solve; holds the factor's symbolic part for large models. One per model and thread.
class Workspace;
struct WorkspaceDeleter {
  void operator()(Workspace* work) const;
};
using WorkspacePtr = std::unique_ptr<Workspace, WorkspaceDeleter>;
WorkspacePtr make_workspace(const Model& model);

/// From `state` (start point in, equilibrium out; its slip is what friction counts from and stays as it is: see commit).
SolveOutcome solve(const Model& model, const LoadPath& load, double factor, const SolveOptions& options, Workspace& work,
                   State& state);
/// Takes slip that went past its cap into the state: on converged steps only.
void commit(const Model& model, State& state);

/// Residual (internal force minus load), and tangent (symmetric for conservative loads), at a state.
void residual_at(const Model& model, const LoadPath& load, double factor, double regularisation, const State& state,
                 Workspace& work, Eigen::VectorXd& out);
void tangent_at(const Model& model, const LoadPath& load, double factor, double regularisation, const State& state,
                Workspace& work, Eigen::MatrixXd& out);
/// Strain energy minus work of the loads that have a potential.
double energy_at(const Model& model, const LoadPath& load, double factor, double regularisation, const State& state,
                 Workspace& work);

/// Energy stored since assembly and force of each law, and energy of each linear part, in order: which part carries the
/// load. Of friction what is elastic: (F - F at assembly)^2 / 2k.
struct PartEnergy {
  std::vector<double> law_Nmm{}, law_force{}, linear_Nmm{};
  double regularisation_Nmm = 0.0;
};
PartEnergy energy_by_part(const Model& model, const State& state, Workspace& work);
/// Indices of the frictions that slide at this state.
std::vector<int> sliding(const Model& model, const State& state);
/// The state with frictions at their cap put just beyond it: after a commit they stand there to the last digit, and rounding
/// would choose whether a tangent has them stick. For verdicts what slid slides on.
State sliding_on(const Model& model, State state);
/// Largest deformational rotation of condensed metal [rad]: where it is large the whole model must take over.
double largest_gauge_rotation(const Model& model, const State& state, Workspace& work);

}  // namespace opisthion::core::full
