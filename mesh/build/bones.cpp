// SPDX-License-Identifier: MIT
#include <optional>

#include "mesh/build/fractures.hpp"
#include "mesh/build/injury.hpp"
#include "mesh/build/neck_parts.hpp"

namespace opisthion::mesh {

using models::JointId;
using models::JointState;
using models::Level;

void add_bones(Assembly& assembly) {
  const models::Neck& neck = assembly.neck();
  const bool loose_dens = dens_loose(neck) && neck.contains(Level::C2);
  std::optional<Level> above;
  for (int i = static_cast<int>(neck.upper); i <= static_cast<int>(neck.lower); ++i) {
    const auto level = static_cast<Level>(i);
    if (level == Level::C2 && loose_dens)
      assembly.set_dens(assembly.add_body(assembly.point(Level::C2, "dens_base_centre"), BodyKind::bone,
                                          assembly.item(OriginKind::dens_fragment, "dens fragment")));
    const BodyId body = assembly.add_body(assembly.reference_point(level), BodyKind::bone,
                                          assembly.item(OriginKind::level, std::string(name(level))));
    assembly.set_bone(level, body);
    if (level == Level::C1) add_broken_lateral_masses(assembly);
    if (level == Level::C2 && !loose_dens && !dens_removed(neck)) assembly.set_dens(body);
    if (above) assembly.system().neighbours.push_back({.upper = assembly.bone(*above), .lower = body});
    above = level;
  }
  if (loose_dens) {
    assembly.system().neighbours.push_back({.upper = assembly.dens(), .lower = assembly.bone(Level::C2)});
    // Where a case has both, the fresh break rules: nothing bridges it.
    if (neck.has(models::InstabilityKind::dens_fracture))
      add_broken_dens_surfaces(assembly);
    else
      add_fibrous_tissue(assembly);
  }
  Mesh& mesh = assembly.mesh();
  mesh.bottom = assembly.bone(assembly.the_case().bench.bottom);
  mesh.system.bodies[static_cast<std::size_t>(mesh.bottom.value)].fixed = true;
  if (assembly.the_case().bench.top) mesh.top = assembly.bone(*assembly.the_case().bench.top);
}

void add_joints(Assembly& assembly) {
  const models::Neck& neck = assembly.neck();
  for (const JointId joint : neck.joint_ids()) {
    if (neck.state(joint) == JointState::fused)
      add_fused_joint(assembly, joint);
    else if (joint.upper == Level::C0)
      add_occipitoatlantal_joint(assembly);
    else if (joint.upper == Level::C1)
      add_atlantoaxial_joint(assembly);
    else
      add_subaxial_joint(assembly, joint);
  }
  if (neck.contains(Level::C0) && neck.contains(Level::C2)) add_occipitoaxial_ligaments(assembly);
  if (neck.contains(Level::C0) && neck.lower >= Level::C2) add_nuchal_ligament(assembly);
}

void add_fused_joint(Assembly& assembly, JointId joint) {
  const models::ParameterReader& number = assembly.number();
  Cushion callus;
  callus.a = assembly.bone(joint.lower);
  callus.b = assembly.bone(joint.upper);
  callus.point_mm = 0.5 * (assembly.reference_point(joint.upper) + assembly.reference_point(joint.lower));
  const double slide = number.scalar("joint.fused.translation_stiffness");
  const double turn = number.scalar("joint.fused.rotation_stiffness");
  callus.stiffness.diagonal() << slide, slide, slide, turn, turn, turn;
  callus.item = assembly.item(OriginKind::fused_joint, "fused " + name(joint) + " joint");
  assembly.system().cushions.push_back(callus);
}

}  // namespace opisthion::mesh
