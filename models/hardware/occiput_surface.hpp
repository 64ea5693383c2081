// SPDX-License-Identifier: MIT
#pragma once
// The back of the skull where screws, plates and wires stand: its outer surface between inion and foramen, and how thick it
// is.
#include <Eigen/Core>

#include "models/hardware/anchor.hpp"
#include "models/library/parameter_table.hpp"
#include "models/neck/neck.hpp"

namespace opisthion::models {

/// A point of the outer surface of the squama, global frame, reference pose. outward and to_foramen are unit vectors at
/// right angles to each other.
struct OcciputPoint {
  Eigen::Vector3d point_mm = Eigen::Vector3d::Zero();
  Eigen::Vector3d outward = -Eigen::Vector3d::UnitX();     ///< away from the bone
  Eigen::Vector3d to_foramen = -Eigen::Vector3d::UnitZ();  ///< along the surface towards the foramen
};

/// In the midline an arc through inion and opisthion that bulges by occiput.bulge over the straight line between them; from
/// side to side an arc of radius occiput.lateral_radius. lateral_mm: left is positive; its size must be below that radius
/// (asserted). Distances along the bone below 0 lie above the inion, beyond occiput_length_mm in the foramen.
OcciputPoint occiput_surface(double below_inion_mm, double lateral_mm, const ParameterReader& number);

/// Length of the midline arc from inion to opisthion.
double occiput_length_mm(const ParameterReader& number);

struct KeelThickness {
  double thickness_mm = 0.0;
  bool generic = true;  ///< no midline thickness was read off this patient's CT
};
/// Thickness of the bone in the midline, 0 beyond the opisthion. A case's measures (at the inion, halfway, near the foramen)
/// scale the library's curve: the measured share at each, straight in between, the nearest one beyond.
KeelThickness keel_thickness(const Neck& neck, double below_inion_mm, const ParameterReader& number);

/// How far below the inion an occipital anchor stands, and how far beside the midline (never negative; 0 for the keel).
/// The kind must stand on the squama (asserted).
struct OcciputPlace {
  double below_inion_mm = 0.0;
  double beside_midline_mm = 0.0;
};
OcciputPlace occiput_place(const Anchor& anchor, const ParameterReader& number);

/// The surface where an occipital anchor stands, on its own side.
OcciputPoint occiput_surface(const Anchor& anchor, const ParameterReader& number);

}  // namespace opisthion::models
