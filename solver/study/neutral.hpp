// SPDX-License-Identifier: MIT
#pragma once
// Neutral is not where regularisation leaves a slack joint: it is the middle of the response to a small load of both senses.
#include <optional>
#include <vector>

#include "solver/core/friction.hpp"
#include "solver/study/prepare.hpp"

namespace opisthion::study {

inline constexpr double kNeutralMoment_Nmm = 100.0;
inline constexpr double kNeutralForce_N = 2.0;  ///< the same for shear, axial and head loads, along their own line

struct Solved {
  Eigen::VectorXd q{};
  core::EquilibriumOutcome outcome{};
  std::optional<core::ReducedModel> with_caps{};  ///< the model of this state when it is not prepared's: caps of friction
  bool buckled = false;  ///< with assembly's geometric stiffness there is no stable equilibrium: solved without it
};

/// The model that a state belongs to.
inline const core::ReducedModel& model_of(const Prepared& prepared, const std::optional<core::ReducedModel>& with_caps) {
  return with_caps ? *with_caps : prepared.model;
}

/// The response to a small load of both senses: its middle is neutral, half its difference the lax zone.
struct Middle {
  Eigen::VectorXd middle{};
  Eigen::VectorXd half{};  ///< + minus -
};

struct Neutral {
  Eigen::VectorXd start{};        ///< unloaded: where every load starts
  std::vector<Middle> of_case{};  ///< per load case: its own axis for a motion, its own line for a force
  Eigen::VectorXd rest{};         ///< mean of the motions' middles (all measures are linear in q); the start without motions
  bool found = false;             ///< every solve behind it converged
  bool caps_settled = true;       ///< and so did friction in each
  bool buckled = false;           ///< one of them as in Solved
  std::optional<core::ReducedModel> with_caps{};  ///< as in Solved, at the start
};

/// Equilibrium under a load from a start point; regularisation multiplied by the factor given.
Solved solve_from(const Prepared& prepared, const Eigen::VectorXd& start, const Eigen::VectorXd& load, double regularisation,
                  core::EquilibriumWorkspace& work);

Neutral find_neutral(const Prepared& prepared, double regularisation, core::EquilibriumWorkspace& work);

}  // namespace opisthion::study
