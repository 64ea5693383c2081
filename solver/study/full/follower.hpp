// SPDX-License-Identifier: MIT
#pragma once
// The follower load: a cable under constant force through one guide a level, whose path is sought so that the preload alone
// turns no joint.
#include <tl/expected.hpp>

#include "solver/study/full/specimen.hpp"

namespace opisthion::study {

/// Most that a joint may turn under the preload alone (DESIGN 5).
inline constexpr double kMostFollowerTurn_deg = 0.5;
inline constexpr double kSteepLeg_deg = 30.0;  ///< off the neck: half of the cable's force pushes across it there

/// Adds the cable of the load program as the system's last strand, still without force; its index, -1 without a preload.
int add_follower(mesh::Mesh& mesh);

/// Seeks the guides' places along each level's own forward direction, by damped least squares on the joints' flexion, and
/// puts the specimen's start under the preload. Guides keep to their level's bone. Where that leaves more than half a degree
/// of turn, turns a joint out of the midplane or puts a guide at the front of its bone, it is sought on all turns, the
/// guides going further back and, out of the midplane, to the sides, each pulled weakly to where it started and to its
/// neighbours. A path that
/// still leaves more than half a degree is kept and its residual told. Where none is found under which the neck stands: a
/// mechanism if a body runs away, or the neck buckles, under a part of the preload on the path that held most; else no
/// answer. given: the path of another specimen of the same row, taken where the neck stands on it and not sought.
tl::expected<FollowerFit, Unready> tighten_follower(Specimen& specimen, int cable, const FollowerFit* given = nullptr);

}  // namespace opisthion::study
