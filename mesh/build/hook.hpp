// SPDX-License-Identifier: MIT
#pragma once
// A laminar hook: one blade under the edge of a lamina, its body locked to a rod.
#include "mesh/build/hardware.hpp"

namespace opisthion::mesh {

/// Where the rod's centre line lies in the hook: behind the edge that it grips.
Vector3 hook_groove(const Assembly& assembly, const models::Anchor& hook, const BonePatch& lamina);

/// The hook's body with its one-sided contacts: throat on the edge (pressed on), blade in front, back behind, and friction
/// on throat and blade. Nothing but friction and the rod keeps it from sliding off sideways or away from the edge.
BodyId add_hook(Assembly& assembly, const PlacedAnchor& hook);

}  // namespace opisthion::mesh
