// SPDX-License-Identifier: MIT
#pragma once
// What is measured on a neck, and what the bench does to it.
#include "mesh/build/hardware.hpp"

namespace opisthion::mesh {

/// Joints, their rotations and translations, overall, atlas-dens interval, C1 slip, candidates for the room of the cord (at
/// the atlas, and two a joint below C2). Nothing is measured against bone that was taken out.
void add_probes(Assembly& assembly);

/// Six motions, combined moments, shear, axial and head loads, each force with the probe along its line; how they are
/// applied; and what is on the specimen from neutral on.
void add_load_cases(Assembly& assembly, const std::vector<PlacedAnchor>& anchors);

/// Dead weight, traction and the follower load's cable, where the bench has a top.
void add_preload(Assembly& assembly);

}  // namespace opisthion::mesh
