// SPDX-License-Identifier: MIT
#pragma once
// The bed that bone makes about a screw, from elastic half-space theory.
#include "mesh/system/system.hpp"

namespace opisthion::mesh {

/// Lateral modulus of a beam bearing on an elastic half-space: force per length and deflection [N/mm^2].
///   k = 0.65 (E_b d^4 / EI)^(1/12) E_b / (1 - nu^2)
/// E_b, nu: bone;  d: bearing width [mm];  EI: bending stiffness of the screw [N mm^2]
/// Source: Vesic 1961. Practice doubles it for a member embedded all round; other theories lie within a factor of 3.
double lateral_modulus_MPa(double bone_modulus_MPa, double bone_poisson, double bearing_diameter_mm, double bending_Nmm2);

/// Axial (thread shear) modulus [N/mm^2].
///   k = 2 pi G_s / zeta,  zeta = ln(2.5 L (1 - nu) / r0)
/// G_s = E_b/(2(1+nu));  L: embedded length [mm];  r0 = d/2 [mm]
/// Source: Randolph and Wroth 1978, J. Geotech. Eng. 104:1465
double axial_modulus_MPa(double bone_modulus_MPa, double bone_poisson, double bearing_diameter_mm, double embedded_mm);

/// Torsional modulus: moment per length and angle [N].
///   k = 4 pi G_s r0^2: a rigid cylinder turning in an elastic space (exact)
double torsional_modulus_N(double bone_modulus_MPa, double bone_poisson, double bearing_diameter_mm);

/// Bone that a stretch of screw runs in.
struct Bed {
  double modulus_MPa = 0.0;
  double poisson = 0.0;
  double shell_mm = 0.0;       ///< thickness of a cortex passed; 0: solid bone all around
  double shell_bearing = 1.0;  ///< lateral bearing of a shell as thick as the screw is wide, against plane strain
};

/// Share of the lateral bed that a cortex thinner than the screw makes.
///   min(1, shell_bearing t/d);  1 in solid bone
/// t: thickness of the shell;  d: bearing width. The half-space theory is plane strain along the screw; a thin shell lets
/// the screw tilt and crush its edge. The form is assumed: a vanishing shell bears nothing, a thick one in full.
double lateral_share(const Bed& bed, double bearing_diameter_mm);

/// All three, times the foundation factor. The factor stands for the damaged, porous bone about the thread, so it weakens
/// the axial and the torsional bed as it does the lateral one. The shell's share counts for the lateral bed alone: thread
/// shear and torsion pass into bone all around the thread and count by its length already, so neither tilts the screw in
/// the shell nor crushes its edge.
Foundation foundation_of(const Bed& bed, double bearing_diameter_mm, double bending_Nmm2, double embedded_mm, double factor);

}  // namespace opisthion::mesh
