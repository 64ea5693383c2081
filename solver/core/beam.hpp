// SPDX-License-Identifier: MIT
#pragma once
#include <span>

#include "mesh/system/system.hpp"

namespace opisthion::core {

/// Exact stiffness of a straight Timoshenko beam, on an elastic bed or free, in its own frame.
/// Unknowns: (ux uy uz rx ry rz) at a, then at b, relative to the bone when there is a bed. Symmetric.
/// Free: the 12x12 with Phi = 12 EI/(kGA L^2). On a bed: v' = theta + Q/kGA, theta' = M/EI, M' = -Q, Q' = k v by transfer
/// matrix (Hetenyi 1946; derivation in THEORY.md), axial and torsional: EA mu (coth, -csch)(mu L).
/// Long layers are split so that the transfer matrix loses no digits.
mesh::Matrix12 beam_stiffness(const mesh::Section& section, double length_mm, const mesh::Foundation& foundation);

/// Rigid arm: motion of a point = arm * motion of the body's reference point; offset = point - reference [mm].
mesh::Matrix6 rigid_arm(const mesh::Vector3& offset_mm);

/// 18x18 (a, b, bone) or 12x12 (a, b) in the global frame, rigid arms to the bone included. Zero force for rigid motion.
Eigen::MatrixXd beam_stiffness_global(const mesh::System& system, const mesh::Beam& beam);
/// 12x12 (a, b) in the global frame, rigid arms included.
mesh::Matrix12 cushion_stiffness_global(const mesh::System& system, const mesh::Cushion& cushion);

/// Stiffness of a screw's head when its bone is held: the chain of beams from head to free tip, condensed. Head's frame.
struct SeatLayer {
  double length_mm = 0.0;
  mesh::Foundation foundation{};
};
mesh::Matrix6 seat_stiffness(const mesh::Section& section, std::span<const SeatLayer> layers_from_head);

}  // namespace opisthion::core
