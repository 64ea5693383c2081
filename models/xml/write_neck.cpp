// SPDX-License-Identifier: MIT
#include "models/xml/element_writer.hpp"

namespace opisthion::models::xml {

namespace {

Element side(std::string_view element_name, const SideAnatomy& anatomy) {
  ElementWriter out(element_name);
  out.with("isthmus_height", anatomy.isthmus_height_mm, "mm")
      .with("internal_height", anatomy.internal_height_mm, "mm")
      .with("pedicle_width", anatomy.pedicle_width_mm, "mm")
      .with("lamina_thickness", anatomy.lamina_thickness_mm, "mm")
      .with("lamina_height", anatomy.lamina_height_mm, "mm")
      .with("lateral_mass_width", anatomy.lateral_mass_width_mm, "mm")
      .with("lateral_mass_depth", anatomy.lateral_mass_depth_mm, "mm")
      .with("lateral_mass_height", anatomy.lateral_mass_height_mm, "mm")
      .with("arch_height", anatomy.arch_height_mm, "mm")
      .with_word("bony_bridge", anatomy.bony_bridge)
      .unless(Artery::not_checked, "artery", anatomy.artery);
  return out.done();
}

Element level(const LevelAnatomy& anatomy) {
  ElementWriter out("level");
  out.with("name", name(anatomy.level))
      .with("canal", anatomy.canal_mm, "mm")
      .with("keel_upper", anatomy.keel_upper_mm, "mm")
      .with("keel_middle", anatomy.keel_middle_mm, "mm")
      .with("keel_lower", anatomy.keel_lower_mm, "mm");
  if (anatomy.left != SideAnatomy{}) out.child(side("left", anatomy.left));
  if (anatomy.right != SideAnatomy{}) out.child(side("right", anatomy.right));
  return out.done();
}

}  // namespace

Element written(const Neck& neck) {
  ElementWriter out("neck");
  out.with("upper", name(neck.upper)).with("lower", name(neck.lower));
  out.unless_zero("head_flexion", neck.head_flexion_rad, "deg");
  if (neck.bone != Bone{})
    out.child(ElementWriter("bone")
                  .with("quality", word(neck.bone.quality))
                  .with("density", neck.bone.density_mg_per_cm3, "mg/cm3")
                  .done());
  for (const LevelAnatomy& anatomy : neck.anatomy) out.child(level(anatomy));
  for (const JointCondition& joint : neck.joints)
    out.child(ElementWriter("joint")
                  .with("name", name(joint.joint))
                  .with("state", word(joint.state))
                  .unless_zero("slip", joint.slip_mm, "mm")
                  .unless_zero("reduced", joint.reduced_mm, "mm")
                  .done());
  for (const Instability& i : neck.instabilities)
    out.child(ElementWriter("instability")
                  .with("kind", word(i.kind))
                  .with_word("level", i.level)
                  .with_word("joint", i.joint)
                  .with_word("side", i.side)
                  .with("share", i.share, "%")
                  .with("height", i.height_mm, "mm")
                  .done());
  return out.done();
}

}  // namespace opisthion::models::xml
