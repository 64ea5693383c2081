// SPDX-License-Identifier: MIT
#pragma once
// Laws as linear functionals of the unknowns: small kinematics, geometry of the reference pose.
#include <vector>

#include "solver/core/reduced.hpp"

namespace opisthion::core {

/// All strands, pads, rings and axis cushions, in that order. first_dof: per body, -1 when held; a law may only touch
/// bodies that are held or kept.
std::vector<Functional> functionals_of(const mesh::System& system, const std::vector<int>& first_dof);

/// Regularisation between two neighbours, at factor 1: on their relative motion about the midpoint.
struct NeighbourBlocks {
  mesh::Matrix6 uu{}, ul{}, ll{};
};
NeighbourBlocks neighbour_blocks(const mesh::System& system, const mesh::NeighbourPair& pair);

}  // namespace opisthion::core
