// SPDX-License-Identifier: MIT
#include "models/xml/case_reader.hpp"
#include "models/xml/check_words.hpp"

namespace opisthion::models::xml {

namespace {

SideAnatomy side_anatomy(CaseReader& reader, const Cursor& at) {
  SideAnatomy out;
  out.isthmus_height_mm = reader.quantity(at, "isthmus_height");
  out.internal_height_mm = reader.quantity(at, "internal_height");
  out.pedicle_width_mm = reader.quantity(at, "pedicle_width");
  out.lamina_thickness_mm = reader.quantity(at, "lamina_thickness");
  out.lamina_height_mm = reader.quantity(at, "lamina_height");
  out.lateral_mass_width_mm = reader.quantity(at, "lateral_mass_width");
  out.lateral_mass_depth_mm = reader.quantity(at, "lateral_mass_depth");
  out.lateral_mass_height_mm = reader.quantity(at, "lateral_mass_height");
  out.arch_height_mm = reader.quantity(at, "arch_height");
  out.bony_bridge = reader.word<bool>(at, "bony_bridge");
  const std::optional<Artery> artery = reader.word<Artery>(at, "artery");
  if (!reader.places.trusted(at.path + "@artery")) reader.places.distrust("neck/level");
  out.artery = artery.value_or(Artery::not_checked);
  return out;
}

LevelAnatomy level_anatomy(CaseReader& reader, const Cursor& at) {
  LevelAnatomy out;
  out.level = reader.word<Level>(at, "name").value_or(out.level);
  if (!reader.places.trusted(at.path + "@name")) reader.places.distrust("neck/level");
  out.canal_mm = reader.quantity(at, "canal");
  out.keel_upper_mm = reader.quantity(at, "keel_upper");
  out.keel_middle_mm = reader.quantity(at, "keel_middle");
  out.keel_lower_mm = reader.quantity(at, "keel_lower");
  reader.each(at, "left", [&](const Cursor& side) { out.left = side_anatomy(reader, side); });
  reader.each(at, "right", [&](const Cursor& side) { out.right = side_anatomy(reader, side); });
  return out;
}

Instability instability(CaseReader& reader, const Cursor& at) {
  Instability out;
  out.kind = reader.word<InstabilityKind>(at, "kind").value_or(out.kind);
  out.level = reader.word<Level>(at, "level");
  out.joint = reader.word<JointId>(at, "joint");
  out.side = reader.word<Side>(at, "side");
  out.share = reader.quantity(at, "share");
  out.height_mm = reader.quantity(at, "height");
  return out;
}

}  // namespace

Neck read_neck(CaseReader& reader, const Cursor& at) {
  Neck out;
  out.upper = reader.word<Level>(at, "upper").value_or(out.upper);
  out.lower = reader.word<Level>(at, "lower").value_or(out.lower);
  reader.each(at, "bone", [&](const Cursor& bone) {
    out.bone.quality = reader.word<BoneQuality>(bone, "quality").value_or(out.bone.quality);
    out.bone.density_mg_per_cm3 = reader.quantity(bone, "density");
    const Attribute* quality = bone.element.find("quality");
    if (quality == nullptr || !out.bone.density_mg_per_cm3 || !reader.places.trusted(bone.path + "@quality")) return;
    Finding note = finding_at(*quality, FindingCode::overridden, bone.where,
                              "the density is used, and the quality '" + quality->value + "' beside it is not", "");
    note.severity = Severity::note;
    reader.findings.add(std::move(note));
  });
  out.head_flexion_rad = reader.quantity(at, "head_flexion").value_or(0.0);
  reader.each(at, "level", [&](const Cursor& level) { out.anatomy.push_back(level_anatomy(reader, level)); });
  reader.each(at, "joint", [&](const Cursor& joint) {
    JointCondition condition;
    condition.joint = reader.word<JointId>(joint, "name").value_or(condition.joint);
    condition.state = reader.word<JointState>(joint, "state").value_or(condition.state);
    condition.slip_mm = reader.quantity(joint, "slip").value_or(0.0);
    condition.reduced_mm = reader.quantity(joint, "reduced").value_or(0.0);
    out.joints.push_back(condition);
  });
  reader.each(at, "instability", [&](const Cursor& cursor) { out.instabilities.push_back(instability(reader, cursor)); });
  return out;
}

}  // namespace opisthion::models::xml
