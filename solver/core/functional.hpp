// SPDX-License-Identifier: MIT
#pragma once
// Laws as linear functionals of the unknowns: small kinematics, geometry of the reference pose.
#include <vector>

#include "solver/core/reduced.hpp"

namespace opisthion::core {

/// All strands, pads, rings, axis cushions and slips, in that order: strand i is functional i, pad i comes after all
/// strands. Slips carry nothing until their caps are set (friction.hpp). first_dof: per body, -1 when held; a law may only
/// touch bodies that are held or kept.
std::vector<Functional> functionals_of(const mesh::System& system, const std::vector<int>& first_dof);

/// Gradient of z - (s x^2 + c y^2)/2 at the contact point: the way in which body a leaves the surface; not of unit length.
mesh::Vector3 pad_gradient(const mesh::Pad& pad);

/// What friction feeds on, and what assembly tightens, by the places of `functionals_of`.
std::vector<Friction> frictions_of(const mesh::System& system);
std::vector<Tightened> tightened_of(const mesh::System& system);

/// Regularisation between two neighbours, at factor 1: on their relative motion about the midpoint.
struct NeighbourBlocks {
  mesh::Matrix6 uu{}, ul{}, ll{};
};
NeighbourBlocks neighbour_blocks(const mesh::System& system, const mesh::NeighbourPair& pair);

}  // namespace opisthion::core
