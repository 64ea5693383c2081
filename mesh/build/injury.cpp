// SPDX-License-Identifier: MIT
#include "mesh/build/injury.hpp"

#include <algorithm>

namespace opisthion::mesh {

using models::InstabilityKind;
using models::JointId;
using models::Level;
using models::Neck;
using models::Side;

namespace {

bool at_either(const Neck& neck, InstabilityKind kind, JointId joint) {
  return neck.has(kind, joint.upper) || neck.has(kind, joint.lower);
}

}  // namespace

bool dens_removed(const Neck& neck) {
  return neck.has(InstabilityKind::odontoidectomy);
}

bool dens_loose(const Neck& neck) {
  return !dens_removed(neck) && (neck.has(InstabilityKind::dens_nonunion) || neck.has(InstabilityKind::dens_fracture));
}

bool transverse_ligament_gone(const Neck& neck) {
  return dens_removed(neck) || neck.has(InstabilityKind::transverse_ligament_rupture) ||
         neck.has(InstabilityKind::lateral_mass_destroyed, Level::C1);
}

bool ring_broken(const Neck& neck, Side side) {
  return neck.has(InstabilityKind::ring_fracture, side);
}

bool alar_gone(const Neck& neck, Side side) {
  return dens_removed(neck) || occiput_torn_off(neck) || neck.has(InstabilityKind::alar_rupture, side);
}

bool apical_gone(const Neck& neck) {
  return dens_removed(neck) || occiput_torn_off(neck);
}

bool tectorial_gone(const Neck& neck) {
  return occiput_torn_off(neck) || neck.has(InstabilityKind::tectorial_rupture) ||
         neck.has(InstabilityKind::body_destroyed, Level::C2);
}

bool cruciate_vertical_gone(const Neck& neck) {
  // It ends on the back of the body of C2.
  return neck.has(InstabilityKind::body_destroyed, Level::C2);
}

bool occiput_torn_off(const Neck& neck) {
  return neck.has(InstabilityKind::occipitoatlantal_dissociation);
}

bool bodies_apart(const Neck& neck, JointId joint) {
  return at_either(neck, InstabilityKind::body_destroyed, joint);
}

bool posterior_ligaments_gone(const Neck& neck, JointId joint) {
  return at_either(neck, InstabilityKind::laminectomy, joint) ||
         neck.has(InstabilityKind::posterior_ligament_section, joint);
}

SurfaceState surface_state(const Neck& neck, JointId joint, Side side, const models::ParameterReader& number) {
  SurfaceState state;
  const bool c1_c2 = joint == JointId{Level::C1, Level::C2};
  if (neck.has(InstabilityKind::lateral_mass_destroyed, joint.upper, side) ||
      neck.has(InstabilityKind::lateral_mass_destroyed, joint.lower, side))
    state.share = 0.0;
  for (const models::Instability& i : neck.instabilities) {
    const bool here = !i.side || *i.side == side;
    // A share left out means the whole facet.
    if (i.kind == InstabilityKind::facetectomy && i.joint == joint && here)
      state.share = std::min(state.share, 1.0 - std::clamp(i.share.value_or(1.0), 0.0, 1.0));
    if (i.kind == InstabilityKind::lateral_mass_loss && c1_c2 && here) state.widened_mm += i.height_mm.value_or(0.0);
  }
  if (c1_c2 && neck.has(InstabilityKind::vertical_instability))
    state.widened_mm += number.scalar("erosion.C1-C2.lateral_joint");
  return state;
}

Level lowest_spinous_process(const Neck& neck) {
  int level = static_cast<int>(neck.lower);
  while (level > static_cast<int>(Level::C1) && neck.has(InstabilityKind::laminectomy, static_cast<Level>(level))) --level;
  return static_cast<Level>(level);
}

}  // namespace opisthion::mesh
