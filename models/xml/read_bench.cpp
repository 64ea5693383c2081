// SPDX-License-Identifier: MIT
#include "models/xml/case_reader.hpp"
#include "models/xml/check_words.hpp"

namespace opisthion::models::xml {

namespace {

void needs_a_top(CaseReader& reader, const Cursor& at, std::string_view attribute_name) {
  const Attribute* found = at.element.find(attribute_name);
  if (found == nullptr || at.element.find("top") != nullptr) return;
  Finding warning = finding_at(*found, FindingCode::no_load, at.where + ", attribute '" + std::string(attribute_name) + "'",
                               found->value, "attribute 'top' beside it: without a top no moments are run");
  warning.severity = Severity::warning;
  reader.findings.add(std::move(warning));
}

FollowerLoad read_follower(CaseReader& reader, const Cursor& at) {
  FollowerLoad out;
  out.force_N = reader.quantity(at, "force").value_or(out.force_N);
  reader.each(at, "guide", [&](const Cursor& guide) {
    FollowerGuide one;
    one.level = reader.word<Level>(guide, "level").value_or(one.level);
    one.forward_mm = reader.quantity(guide, "forward").value_or(one.forward_mm);
    out.guides.push_back(one);
  });
  return out;
}

TopForce read_top_force(CaseReader& reader, const Cursor& at) {
  TopForce out;
  out.force_N = reader.quantity(at, "force").value_or(out.force_N);
  out.line = reader.word<AxialLine>(at, "line").value_or(out.line);
  out.forward_mm = reader.quantity(at, "forward").value_or(out.forward_mm);
  out.above_mm = reader.quantity(at, "above").value_or(out.above_mm);
  return out;
}

CombinedLoad read_combined(CaseReader& reader, const Cursor& at) {
  CombinedLoad out;
  out.name = reader.name(at);
  reader.each(at, "part", [&](const Cursor& part) {
    CombinedPart one;
    one.motion = reader.word<Motion>(part, "motion").value_or(one.motion);
    one.share = reader.quantity(part, "share").value_or(one.share);
    out.parts.push_back(one);
  });
  return out;
}

}  // namespace

Bench read_bench(CaseReader& reader, const Cursor& at) {
  Bench out;
  out.top = reader.word<Level>(at, "top");
  out.bottom = reader.word<Level>(at, "bottom").value_or(out.bottom);
  out.moment_Nmm = reader.quantity(at, "moment").value_or(out.moment_Nmm);
  out.moment_kind = reader.word<MomentKind>(at, "moment_kind").value_or(out.moment_kind);
  for (const std::string_view of_moments : {"moment", "moment_kind"}) needs_a_top(reader, at, of_moments);
  out.steps = reader.count(at, "steps").value_or(out.steps);
  out.cycles = reader.count(at, "cycles").value_or(out.cycles);
  out.hybrid = reader.yes(at, "hybrid");
  reader.each(at, "shear", [&](const Cursor& shear) {
    ShearLoad load;
    load.level = reader.word<Level>(shear, "level").value_or(load.level);
    load.force_N = reader.quantity(shear, "force").value_or(load.force_N);
    out.shear.push_back(load);
  });
  reader.each(at, "axial", [&](const Cursor& axial) {
    AxialLoad load;
    load.level = reader.word<Level>(axial, "level").value_or(load.level);
    load.force_N = reader.quantity(axial, "force").value_or(load.force_N);
    load.line = reader.word<AxialLine>(axial, "line").value_or(load.line);
    out.axial.push_back(load);
  });
  reader.each(at, "head_load", [&](const Cursor& head) {
    HeadLoad load;
    load.name = reader.name(head);
    load.anchor = reader.name(head, "anchor");
    load.force_N = reader.quantity(head, "force").value_or(load.force_N);
    load.direction = reader.direction(head, "direction");
    out.heads.push_back(load);
  });
  reader.each(at, "follower", [&](const Cursor& follower) { out.follower = read_follower(reader, follower); });
  reader.each(at, "dead_weight", [&](const Cursor& weight) { out.dead_weight = read_top_force(reader, weight); });
  reader.each(at, "traction", [&](const Cursor& traction) { out.traction = read_top_force(reader, traction); });
  reader.each(at, "combined", [&](const Cursor& combined) { out.combined.push_back(read_combined(reader, combined)); });
  reader.each(at, "sequence", [&](const Cursor& sequence) {
    reader.each(sequence, "state", [&](const Cursor& state) { out.sequence.push_back(reader.name(state, "row")); });
  });
  return out;
}

}  // namespace opisthion::models::xml
