// SPDX-License-Identifier: MIT
#pragma once
#include <string>

#include "mesh/build/assembly.hpp"

namespace opisthion::mesh {

/// The bone around a loose screw, as a body of its own that its bed stands on: it moves freely within the clearance,
/// sideways and in tilt, and is stiff beyond and along and about the axis (the thread is still in its groove). What the wear
/// took from the bed is the bed's own matter.
BodyId add_worn_hole(Assembly& assembly, BodyId bone, const Vector3& middle_mm, const Vector3& axis, double embedded_mm,
                     const std::string& label);

}  // namespace opisthion::mesh
