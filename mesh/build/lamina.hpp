// SPDX-License-Identifier: MIT
#pragma once
// The back of a vertebra: where wires, hooks, clamps and grafts lie on it.
#include "mesh/build/assembly.hpp"

namespace opisthion::mesh {

/// A piece of lamina (C1: of the posterior arch; C0: of the squama) under a wire or hook. Global frame.
struct BonePatch {
  Vector3 middle_mm = Vector3::Zero();  ///< half way through its thickness, half way between its edges
  Vector3 outward = -Vector3::UnitX();  ///< unit, out of its back
  Vector3 up = Vector3::UnitZ();        ///< unit, along its back towards its upper edge
  Vector3 sideways = Vector3::UnitY();  ///< unit, along its back away from the midline
  double thickness_mm = 0.0;
  double height_mm = 0.0;
  Vector3 back_mm() const { return middle_mm + 0.5 * thickness_mm * outward; }
  Vector3 front_mm() const { return middle_mm - 0.5 * thickness_mm * outward; }
};

/// C1 to T3. Thickness and height are the neck's where the case gives them.
BonePatch lamina(const Assembly& assembly, models::Level level, models::Side side);

/// Upper and lower edge of the back in the midline, where a block stands: half way from the canal to the edge of the spinous
/// process (C1: the edges of the arch; C0: the rear rim of the foramen as its lower edge, and no upper one: asserted).
Vector3 midline_upper_edge(const Assembly& assembly, models::Level level);
Vector3 midline_lower_edge(const Assembly& assembly, models::Level level);

/// Below the spinous process (C1: below the tubercle; C0: the rear rim of the foramen), where a wire hooks in from below.
Vector3 spinous_notch(const Assembly& assembly, models::Level level);
/// Through the base of the spinous process (C1: the tubercle; C0: the rear rim of the foramen).
Vector3 spinous_base(const Assembly& assembly, models::Level level);
/// Front of the arch or lamina in the midline.
Vector3 midline_front(const Assembly& assembly, models::Level level);

}  // namespace opisthion::mesh
