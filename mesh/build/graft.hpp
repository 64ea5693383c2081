// SPDX-License-Identifier: MIT
#pragma once
// Bone graft: wedged between two backs, laid on them, or packed into a C1-C2 lateral joint.
#include "mesh/build/hardware.hpp"
#include "mesh/build/joint_parts.hpp"

namespace opisthion::mesh {

/// A block is a body of its own between one-sided contacts with friction: it props the backs apart and holds nothing
/// together. An onlay carries nothing while fresh. Any graft that has healed in part adds callus between the two bones.
void add_grafts(Assembly& assembly, const models::Construct& construct);

/// The C1-C2 lateral joint of a side: a frame in its middle, and how far its bony surfaces stand apart along the normal.
struct LateralJoint {
  Facing face{};
  double gap_mm = 0.0;
};
LateralJoint lateral_joint(const Assembly& assembly, models::Side side);

/// What fills that joint: four pads between C1 and C2, and friction.
struct JointFilling {
  std::string label{};
  OriginKind kind = OriginKind::graft;
  double slack_mm = 0.0;  ///< negative: it presses the joint open
  double stiffness_N_per_mm = 0.0;
  double length_mm = 0.0;
  double width_mm = 0.0;
  double friction = 0.0;
};
void fill_joint(Assembly& assembly, const LateralJoint& joint, const JointFilling& filling);

/// "left block graft 'name'".
std::string label_of(const models::Graft& graft);

}  // namespace opisthion::mesh
