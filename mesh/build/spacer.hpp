// SPDX-License-Identifier: MIT
#pragma once
#include "mesh/build/hardware.hpp"

namespace opisthion::mesh {

/// Blocks in the C1-C2 lateral joints: as high as they open the joint to, with teeth, pressing only.
void add_spacers(Assembly& assembly, const models::Construct& construct);

}  // namespace opisthion::mesh
