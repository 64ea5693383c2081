// SPDX-License-Identifier: MIT
#pragma once
// A wire that ties a rod down on bone: it holds the rod to the bone, and along the rod by friction only.
#include "mesh/build/hardware.hpp"

namespace opisthion::mesh {

/// Where the centre line of a rod lies that a wire ties down: on the back of the bone.
Vector3 rod_on_bone(const PlacedAnchor& wire, double rod_diameter_mm);

/// Stiffness of a strand that is one leg pair of a wire loop, or one side of a tie: the doubled wire's own stretch, and the
/// cutting-in at its ends.
///   1/k = L/(2 E A) + sum of sinking per tension
/// E A: of one wire, there are two side by side;  L: length of wire that shares the tension
double strand_stiffness(const Assembly& assembly, double wire_diameter_mm, double length_mm, double sinking_mm_per_N);
/// How far a loop sinks into bone per force that it bears with [N/mm], by bone quality.
double cut_in_stiffness(const Assembly& assembly);

/// The loop runs in the plane across the rod: from the front of the bone on one side, over the rod, to the front on the
/// other. It slides about the rod, so both legs carry one tension and do not keep the rod from turning; friction does.
void tie_down(Assembly& assembly, const PlacedAnchor& wire, BodyId rod_node, const Vector3& rod_axis, double rod_diameter_mm,
              const std::string& rod_label);

}  // namespace opisthion::mesh
