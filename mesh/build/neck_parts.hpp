// SPDX-License-Identifier: MIT
#pragma once
// Bodies of a neck and what lies between them.
#include "mesh/build/assembly.hpp"

namespace opisthion::mesh {

/// One body per level from above to below, lateral masses broken off C1 and a loose dens after C1, what ties these to their
/// bone, and the pairs that regularisation ties. The bench's bottom is held.
void add_bones(Assembly& assembly);

/// All joints of the neck by their states, and the ligaments that pass over C1.
void add_joints(Assembly& assembly);

// The pieces of add_joints, each in its own file.
void add_occipitoatlantal_joint(Assembly& assembly);   ///< C0-C1
void add_atlantoaxial_joint(Assembly& assembly);       ///< C1-C2, the ring included
void add_occipitoaxial_ligaments(Assembly& assembly);  ///< C0-C2: tectorial, apical, alars, vertical band of the cruciate
void add_subaxial_joint(Assembly& assembly, models::JointId joint);  ///< disc, facets and ligaments, from C2-C3 down
void add_nuchal_ligament(Assembly& assembly);                        ///< inion to the lowest spinous tip that is left

/// A fused joint: callus between the two bones, in place of everything else.
void add_fused_joint(Assembly& assembly, models::JointId joint);

/// Anterior direction of the ring: from the dens to the arch, across the dens axis, as in the library and posed with C1.
struct DensRing {
  Vector3 axis_point_mm = Vector3::Zero();
  Vector3 axis = Vector3::UnitZ();
  Vector3 anterior = Vector3::UnitX();
  double arch_gap_mm = 0.0;  ///< the atlas-dens interval
};
DensRing dens_ring(const Assembly& assembly);

}  // namespace opisthion::mesh
