// SPDX-License-Identifier: MIT
#pragma once
// Neutral is defined, not inherited from regularisation: the middle of the response to +-0.1 N m about each axis.
#include <array>
#include <vector>

#include "solver/core/equilibrium.hpp"
#include "solver/study/prepare.hpp"

namespace opisthion::study {

inline constexpr double kNeutralMoment_Nmm = 100.0;

/// An equilibrium that was looked for, with what came of it.
struct Solved {
  Eigen::VectorXd q{};
  core::EquilibriumOutcome outcome{};
};

struct Neutral {
  Eigen::VectorXd start{};                  ///< unloaded: where every load starts
  std::array<Eigen::VectorXd, 3> middle{};  ///< middle of the response about x, y, z; the start where no moment is run
  std::array<Eigen::VectorXd, 3> half{};  ///< half the difference of that response, + minus -; empty where no moment is run
  Eigen::VectorXd rest{};                 ///< mean of the middles (all measures are linear in q)
  bool found = false;                     ///< every solve behind it converged
};

/// Starts from `start`, always: results do not depend on the order of the loads.
Solved solve_from(const Prepared& prepared, const Eigen::VectorXd& start, const Eigen::VectorXd& load, double regularisation,
                  core::EquilibriumWorkspace& work);

Neutral find_neutral(const Prepared& prepared, double regularisation, core::EquilibriumWorkspace& work);

/// Which axis (0 x, 1 y, 2 z) a motion turns about.
int axis_index(models::Motion motion);

}  // namespace opisthion::study
