// SPDX-License-Identifier: MIT
#pragma once
// What the numerics did about a load: held, ran away, or left something floating. The verdict in words is study's.
#include <vector>

#include "solver/core/equilibrium.hpp"
#include "solver/core/modes.hpp"

namespace opisthion::core {

struct StabilityOptions {
  double zero_ratio = 1e-9;      ///< a mode softer than this share of the stiffest is free
  double work_share = 1e-3;      ///< of the load's work along a free mode, above which the load drives it
  double runaway_growth = 0.01;  ///< relative change of the answer from eps/10 to eps/100 that is no answer any more
};

/// Judged on the loaded tangent without regularisation and by eps, eps/10, eps/100.
struct StabilityOutcome {
  bool runaway = false;          ///< the answer still moves as regularisation fades
  double growth = 0.0;           ///< largest relative change of q (scaled) from eps/10 to eps/100
  std::vector<Mode> driven{};    ///< free modes the load does work on: a mechanism's direction of escape
  std::vector<Mode> floating{};  ///< free modes the load does no work on
  Eigen::VectorXd escape{};      ///< direction of the runaway (mm, rad; unit length in the scaled measure), when runaway
};
/// When there is no equilibrium at eps/10 or eps/100 that is a runaway of infinite growth.
/// Several free modes that the load drives together are turned so that one has all of its work; the others float.
StabilityOutcome judge(const ReducedModel& model, const Eigen::VectorXd& load, const Eigen::VectorXd& q,
                       const StabilityOptions& options, EquilibriumWorkspace& work);

/// Free at neutral: does it stiffen under a small push (lax, with the travel), or not (floating)?
struct LaxProbe {
  bool stiffens = false;
  double travel = 0.0;  ///< scaled measure [mm], from neutral to the stop, mean of both ways
};
LaxProbe probe_mode(const ReducedModel& model, const Mode& mode, double push_N, EquilibriumWorkspace& work);

}  // namespace opisthion::core
