// SPDX-License-Identifier: MIT
#pragma once
// Bone that is broken off its level, and what still lies in the gap.
#include "mesh/build/assembly.hpp"

namespace opisthion::mesh {

/// Scar between a dens that did not unite and C2: it carries the dens along but lets it rock. The dens must have its body.
void add_fibrous_tissue(Assembly& assembly);

/// Fresh break at the dens base: four compression-only pads on the broken surface of C2, at a quarter of its depth and
/// width, where they resist tilting as the whole ellipse would. The dens must have its body.
void add_broken_dens_surfaces(Assembly& assembly);

/// Each lateral mass of C1 that is broken off the ring (with both off, the two arches stay one body): its body, the tie at
/// the front and the back arch, and the pair that regularisation ties. The ring of C1 must have its body.
void add_broken_lateral_masses(Assembly& assembly);

}  // namespace opisthion::mesh
