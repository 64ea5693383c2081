// SPDX-License-Identifier: MIT
#pragma once
// Equilibria of loads without a potential, by minima of loads that have one. Where the laws have kinks Newton on the
// residual may swing between their pieces without end, and without a potential nothing tells downhill from uphill.
#include "solver/core/full/solve.hpp"

namespace opisthion::core::full {

/// The load with moments that have a potential and agree with the true ones at these poses: m . log(R R_now^T) has the
/// generalised moment m at R_now and no second derivative there, so what it lacks is only the skew part of their tangent.
LoadPath with_potential_at(LoadPath load, const Poses& poses);

/// From `state` (start in, answer out; slip stays): the minimum that reproduces the poses which its moments are taken from,
/// sought on the rotations of the loaded bodies alone. True: found within rounding, the state is in balance under the true
/// load but for the last digits. Adds its cost, and what it met, to the outcome.
bool solve_by_minima(const Model& model, const LoadPath& load, double factor, const SolveOptions& options, Workspace& work,
                     State& state, SolveOutcome& outcome);

}  // namespace opisthion::core::full
