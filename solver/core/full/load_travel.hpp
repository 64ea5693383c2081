// SPDX-License-Identifier: MIT
#pragma once
// Loads as one scalar: their size, and the work-conjugate motion that a machine prescribes in their place.
#include "solver/core/full/model.hpp"

namespace opisthion::core::full {

/// Work-conjugate motion of a load at unit factor: what it would do work on, divided by its size. A force alone: way of its
/// point along it [mm]; a moment alone: component along it of the rotation vector of R R_0^T [rad]. Several moments: as one,
/// [rad]; anything with a force in it: as one, moments counted through 20 mm [mm].
double travel(const Loads& loads, const Model& model, const State& state, std::size_t first_branch);

/// Norm of all forces and of all moments through 20 mm [N].
double size_N(const Loads& loads);
/// What work is divided by to give travel: N, or N mm where only moments act.
double travel_size(const Loads& loads);
/// Work of loads that have a potential, in the zero of their energies, where travel is zero [N mm].
double work_without_travel(const Loads& loads, const Model& model);

/// Generalised force of the loads at factor 1, and slope of their travel, at these poses: one along the other where every
/// load has a potential.
struct Pushing {
  Eigen::VectorXd push{}, slope{};
};
void push_and_slope(const Loads& loads, const Model& model, const State& state, std::size_t first_branch, Pushing& out);

}  // namespace opisthion::core::full
