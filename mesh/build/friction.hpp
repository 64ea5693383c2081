// SPDX-License-Identifier: MIT
#pragma once
// Coulomb friction between two bodies that touch over a patch.
#include <vector>

#include "mesh/build/assembly.hpp"

namespace opisthion::mesh {

/// Where two bodies rub, and on what force.
struct FrictionPatch {
  BodyId a{};
  BodyId b{};
  Vector3 point_mm = Vector3::Zero();
  Vector3 normal = Vector3::UnitZ();
  Vector3 forward = Vector3::UnitX();  ///< any direction that is not the normal; its mirror image on the other side
  double coefficient = 0.0;
  double stiffness_N_per_mm = 0.0;  ///< tangential, while it sticks
  double turning_radius_mm = 0.0;   ///< mean distance of the patch's points from its middle; 0: free to turn
  std::vector<NormalForce> forces{};
};

/// Four slips 45 deg apart (the isotropic set of system.hpp), and one about the normal when the patch has a size.
void add_friction(Assembly& assembly, const FrictionPatch& patch, const std::string& name);

/// One direction only.
void add_slip(Assembly& assembly, const Attachment& a, BodyId b, const Vector3& direction, double stiffness_N_per_mm,
              double cap_per_N, std::vector<NormalForce> forces, const std::string& name);

/// Tangential stiffness of a contact before it slips, from its normal stiffness, by the library's ratio.
///   k_t/k_n = 2 (1 - nu)/(2 - nu), 0.82 at nu = 0.3 (equal materials).
/// Source: Mindlin 1949; Johnson, Contact Mechanics (1985), section 7.2 (from memory)
double sticking_stiffness(const Assembly& assembly, double normal_stiffness_N_per_mm);

/// Mean distance of the points of a rectangle from its middle: the lever arm of friction under even pressure.
///   (D + a^2/(2b) ln((b + D)/a) + b^2/(2a) ln((a + D)/b))/3,  D = sqrt(a^2 + b^2);  a, b: half sides
/// Source: integrated here; 0.3826 s for a square of side s (known constant)
double mean_radius_mm(double length_mm, double width_mm);

NormalForce of_strand(int index, double weight = 1.0);
NormalForce of_pad(int index, double weight = 1.0);

}  // namespace opisthion::mesh
