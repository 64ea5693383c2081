// SPDX-License-Identifier: MIT
#pragma once
// Equilibrium with the caps of friction settled (THEORY 7).
#include "solver/core/full/solve.hpp"

namespace opisthion::core::full {

/// From `state` to an equilibrium near it; false: none is found. Caps that would not settle are told in the outcome, the
/// state is in balance with those it has. The workspace's regularisation and branches of loads are those to use.
bool settle(const Model& model, const LoadPath& load, double factor, const SolveOptions& options, Workspace& work,
            State& state, SolveOutcome& outcome);

}  // namespace opisthion::core::full
