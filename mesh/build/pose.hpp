// SPDX-License-Identifier: MIT
#pragma once
#include "mesh/build/assembly.hpp"

namespace opisthion::mesh {

/// Puts the bones, once joints and ligaments lie between them, where the neck stands when the hardware goes on: moves every
/// body and every point and frame of its elements by the body's built pose, and moves each law along its argument by what
/// it is stretched or closed from rest to built. Call it after add_joints and before any metal; a neck in the library's
/// posture is left as it is, to the bit.
///   strands    length as built less length at rest, exact
///   pads       distance over the gradient of the surface's height, exact for planes. Joint surfaces remodel with an old
///              slip, so the gap at rest stays the library's
///   ring       travel of the dens in the ring. Bone does not remodel here: the interval in front of the dens at rest is
///              what a forward slip has made of it, and a backward slip ends at touch
///   discs      first-order motion between the two bones in the disc's frame
///   cushions   between bones that stand to each other as at rest: moved along; otherwise a law an axis with that offset
void apply_pose(Assembly& assembly);

}  // namespace opisthion::mesh
