// SPDX-License-Identifier: MIT
#pragma once
// The numbers of which a uniform straight beam's 12x12 consists: two per axial and torsional part, six per bending plane.
#include "mesh/system/system.hpp"

namespace opisthion::core {

/// Rod or shaft: end forces (k11, k12; k12, k11) times end motions.
struct LineStiffness {
  double near = 0.0;  ///< k11
  double far = 0.0;   ///< k12
  double net = 0.0;   ///< near + far, what the bed alone answers: kept because the sum loses digits on a soft bed
};

/// Bending in one plane, unknowns (v, theta) at both ends with theta = v' when there is no shear:
///   K11 = [vv vt; vt tt], K12 = [far_vv far_vt; -far_vt far_tt], K22 = [vv -vt; -vt tt]  (a uniform beam mirrors itself)
struct BendingStiffness {
  double vv = 0.0, vt = 0.0, tt = 0.0;
  double far_vv = 0.0, far_vt = 0.0, far_tt = 0.0;
};

struct MemberStiffness {
  LineStiffness axial{}, torsion{};
  BendingStiffness in_y{};  ///< uy with rz
  BendingStiffness in_z{};  ///< uz with -ry
};

/// rigidity: EA or GJ; bed: force per length and motion; exact for every bed from none to stiff.
LineStiffness line_stiffness(double rigidity, double length_mm, double bed);
BendingStiffness bending_stiffness(double bending_Nmm2, double shear_N, double length_mm, double lateral_MPa);
MemberStiffness member_stiffness(const mesh::Section& section, double length_mm, const mesh::Foundation& foundation);

}  // namespace opisthion::core
