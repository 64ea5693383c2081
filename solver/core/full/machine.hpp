// SPDX-License-Identifier: MIT
#pragma once
// Equilibrium with a load's motion prescribed, as a testing machine prescribes it: by minimising the energy of model and
// machine. Where laws have kinks (contacts that open, friction held at its cap), Newton on the residual may swing between
// the pieces without end; an energy comes down. It also finds where the model snaps to when what is prescribed has no
// equilibrium nearby.
#include "solver/core/full/load_travel.hpp"
#include "solver/core/full/solve.hpp"

namespace opisthion::core::full {

struct Machine {
  double target = 0.0;     ///< of the growing load's travel, from the reference pose [mm; rad]
  double give = 0.0;       ///< by what the machine's own compliance gives under the whole load [mm; rad], > 0
  double tolerance = 0.0;  ///< on the travel, > 0
  int max_iterations = 400;
};

/// From `state` (start in, equilibrium out; caps of friction as they are) and the load factor near which to look. Every
/// moment must be conservative. The machine's give is taken back by steps until the travel is the one prescribed, so that it
/// leaves no trace in the answer (augmented Lagrangian: Nocedal & Wright, Numerical Optimization, 2006, ch. 17, from
/// memory). `reference_N` is what residuals count relative to. False: not found (outcome.escaped where a body ran away).
bool minimise_held(const Model& model, const LoadPath& load, const Machine& machine, double reference_N,
                   const SolveOptions& options, Workspace& work, State& state, double& factor, SolveOutcome& outcome);

/// Whether two neighbours came further apart than the options allow, at the poses that were evaluated last.
bool apart(const Workspace& work, const SolveOptions& options);

}  // namespace opisthion::core::full
