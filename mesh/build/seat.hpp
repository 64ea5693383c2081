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
  double shell_mm = 0.0;  ///< thickness of a cortex passed; 0: solid bone all around
};

/// A cortex thinner than the screw is a shell that the screw bears on, not plane strain: its modulus counts by
/// min(1, thickness / diameter). The rule is assumed: it makes the bearing of a vanishing shell vanish and keeps a thick
/// one.
double bearing_modulus_MPa(const Bed& bed, double bearing_diameter_mm);

/// All three, times the foundation factor. The factor stands for the damaged, porous bone about the thread, so it weakens
/// the axial and the torsional bed as it does the lateral one.
Foundation foundation_of(const Bed& bed, double bearing_diameter_mm, double bending_Nmm2, double embedded_mm, double factor);

}  // namespace opisthion::mesh
