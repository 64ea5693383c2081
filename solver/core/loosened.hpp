// SPDX-License-Identifier: MIT
#pragma once
// The system while wires are pulled and screws lagged, before rods are locked (THEORY 8). The same for both kinematics.
#include <span>

#include "mesh/system/component.hpp"

namespace opisthion::core {

/// Components that are locked last carry nothing, and of their metal only what a law touches can move: tied to the bone it
/// lies on where it hangs on laws alone, held otherwise. Bodies keep their indices.
mesh::System loosened(const mesh::System& system, std::span<const mesh::Component> components);
/// The law of what is pulled to a force and not yet fast.
mesh::ScalarLaw constant_force(double force);
/// Wires and metal are seated by shaking; what lies between bones (a graft) grips from the first pull on, unless it is
/// driven in. slip: index into System::slips.
bool grips_at_once(const mesh::System& system, std::size_t slip);

}  // namespace opisthion::core
