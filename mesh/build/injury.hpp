// SPDX-License-Identifier: MIT
#pragma once
// What injuries, diseases and resections leave of each part of the neck: one question a part, asked where it is built.
#include "models/library/parameter_table.hpp"
#include "models/neck/neck.hpp"

namespace opisthion::mesh {

// The dens and the ring about it.
bool dens_removed(const models::Neck& neck);
bool dens_loose(const models::Neck& neck);  ///< a body of its own: non-union or fracture
/// Torn itself, or without a dens to hold, or without one of the lateral masses that it runs between.
bool transverse_ligament_gone(const models::Neck& neck);
bool ring_broken(const models::Neck& neck, models::Side side);  ///< the lateral mass of C1 is off the ring

// Ligaments to the occiput.
bool alar_gone(const models::Neck& neck, models::Side side);
bool apical_gone(const models::Neck& neck);
bool tectorial_gone(const models::Neck& neck);
bool cruciate_vertical_gone(const models::Neck& neck);
bool occiput_torn_off(const models::Neck& neck);  ///< C0-C1 capsules and membranes

// Parts of a joint that a destroyed or operated neighbour takes along.
bool bodies_apart(const models::Neck& neck, models::JointId joint);  ///< no disc, no longitudinal ligaments
/// No flavum, interspinous and supraspinous ligaments; at C0-C1 and C1-C2 no posterior membrane.
bool posterior_ligaments_gone(const models::Neck& neck, models::JointId joint);

/// Joint surfaces and capsule of one side.
struct SurfaceState {
  double share = 1.0;       ///< what is left, 0..1; the rest is gone from the medial edge on
  double widened_mm = 0.0;  ///< the gap is this much wider, and the capsule this much slacker, than in a whole joint
};
SurfaceState surface_state(const models::Neck& neck, models::JointId joint, models::Side side,
                           const models::ParameterReader& number);

/// Lowest level that still has its spinous process, for the nuchal ligament; none below C1 left: C1.
models::Level lowest_spinous_process(const models::Neck& neck);

}  // namespace opisthion::mesh
