// SPDX-License-Identifier: MIT
#pragma once
// Newton on the convex energy of small kinematics, with exact line search: the search walks the kinks of the laws along
// the direction and ends where the directional derivative vanishes (plain flipping of states can cycle: see verification
// P4).
#include <vector>

#include "solver/core/reduced.hpp"
#include "solver/core/response.hpp"

namespace opisthion::core {

struct EquilibriumOptions {
  double regularisation = 1.0;        ///< factor on the regularisation, > 0 unless the model is stable without
  int max_iterations = 100;           ///< >= 1
  double residual_tolerance = 1e-10;  ///< relative to the load (scaled by the rotation length), > 0
};

enum class SolveStatus { not_run, converged, iteration_limit, singular };

struct [[nodiscard("a solve may fail: look at the status")]] EquilibriumOutcome {
  SolveStatus status = SolveStatus::not_run;
  int iterations = 0;
  double residual = 0.0;              ///< relative
  double energy_Nmm = 0.0;            ///< of the whole model, regularisation included
  double regularisation_share = 0.0;  ///< of the strain energy
  double strand_share = 0.0;          ///< of the strain energy
  int friction_rounds = 1;            ///< solves until the caps of friction settled; 1 without friction
  double cap_change = 0.0;            ///< of the last round, relative
  bool caps_settled = true;
  explicit operator bool() const {
    return status == SolveStatus::converged;
  }
};

/// Everything a solve needs, sized once: no allocation inside `solve_equilibrium` after the first call of a size.
struct EquilibriumWorkspace {
  Eigen::VectorXd residual{}, step{}, scaled{}, internal{};
  Eigen::MatrixXd linear{};     ///< stiffness + regularisation
  Eigen::MatrixXd tangent{};    ///< lower triangle, then its factor
  Eigen::VectorXd constant{};   ///< force0 with what regularisation adds when it starts from an assembled pose
  Eigen::VectorXd own{};        ///< the tangent's diagonal before it was factored
  Eigen::VectorXd factoring{};  ///< scratch of it
  std::vector<double> elongation{}, rate{}, closed{};
  std::vector<Segment> segment{};  ///< of each law, at its elongation
  struct Event {
    double t;
    int functional;
  };
  std::vector<Event> events{};
  std::vector<int> bending{};  ///< laws that are not one straight line along the step
};

/// q: start point in, equilibrium out. Converged when the residual, moments divided by 20 mm, is below
/// residual_tolerance * max(norm of the load, largest force of assembly, 0.001 N), or at the rounding of the terms it sums
/// (self-stress without load). The last step solves afresh on the pieces the laws are on, so the answer's bits do not depend
/// on the path to it.
EquilibriumOutcome solve_equilibrium(const ReducedModel& model, const Eigen::VectorXd& load,
                                     const EquilibriumOptions& options, EquilibriumWorkspace& work, Eigen::VectorXd& q);

/// Motion from the assembled pose; q itself without assembly.
Eigen::VectorXd from_assembly(const ReducedModel& model, const Eigen::VectorXd& q);

/// Hessian at q; regularisation multiplied by the factor given (0: none).
void tangent_at(const ReducedModel& model, const Eigen::VectorXd& q, double regularisation, Eigen::MatrixXd& out);
/// Internal force minus load at q.
void residual_at(const ReducedModel& model, const Eigen::VectorXd& q, const Eigen::VectorXd& load, double regularisation,
                 Eigen::VectorXd& out);
double energy_at(const ReducedModel& model, const Eigen::VectorXd& q, double regularisation);

}  // namespace opisthion::core
