// SPDX-License-Identifier: MIT
#pragma once
// Scratch of a solve in finite rotation: everything that is sized once per model.
#include "solver/core/full/model.hpp"
#include "solver/core/full/pair_sum.hpp"
#include "solver/core/full/solve.hpp"
#include "solver/core/full/tangent_matrix.hpp"
#include "solver/core/response.hpp"

namespace opisthion::core::full {

class Workspace {
 public:
  explicit Workspace(const Model& model);

  TangentMatrix tangent;
  Eigen::VectorXd gradient{}, step{}, trial_gradient{};
  Poses trial{};
  std::vector<Vector3> branch{};             ///< of each growing and constant moment, at the start of the solve
  std::vector<NeighbourTie> regularisation;  ///< scaled by the factor below
  double regularisation_factor = 1.0;
  double rounding_N = 0.0;  ///< what the last digit of positions makes of the stiffest parts: no residual can be smaller
  std::vector<GaugeWork> linear_work{};
  std::vector<Measure> measures{};  ///< one per law: their sizes stay
  Answer answer{};
  std::vector<TieStretch> stretches{};           ///< of each tie, where the model was evaluated last
  std::vector<PairSum> pairs{};                  ///< of bodies, those that laws act between
  std::vector<std::vector<int>> pairs_of_law{};  ///< into `pairs`
  std::vector<int> pairs_of_ties{};              ///< likewise
  PairDerivatives pair_derivatives{};

 private:
  void sort_laws(const Model& model);
};

/// What an evaluation adds up.
struct Sum {
  double strain_Nmm = 0.0;     ///< laws, linear parts, regularisation
  double potential_Nmm = 0.0;  ///< the same minus the work of loads that have a potential
};
/// Energy and, by order, gradient into `gradient` and Hessian into work.tangent.
Sum evaluate_model(const Model& model, const LoadPath& load, double factor, const Poses& poses, const State& friction,
                   Order order, Workspace& work, Eigen::VectorXd& gradient);
/// What a unit of the growing load adds to the gradient at these poses.
void growing_gradient(const Model& model, const LoadPath& load, const Poses& poses, Workspace& work, Eigen::VectorXd& out);
void set_regularisation(const Model& model, double factor, Workspace& work);
/// Friction about the stored slip up to the cap, constant beyond.
Response friction_response(const FrictionElement& friction, double slip, double cap, double e);
/// Adds to work.tangent what caps that follow the normal forces make of friction that slides: unsymmetric.
void add_cap_coupling(const Model& model, const Poses& poses, const State& friction, Workspace& work);
/// Caps by the normal forces at these poses [N; N mm].
void caps_at(const Model& model, const Poses& poses, Workspace& work, std::vector<double>& caps);

}  // namespace opisthion::core::full
