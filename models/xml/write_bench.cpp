// SPDX-License-Identifier: MIT
#include "models/xml/element_writer.hpp"

namespace opisthion::models::xml {

namespace {

Element written(const FollowerLoad& follower) {
  ElementWriter out("follower");
  out.with("force", follower.force_N, "N");
  for (const FollowerGuide& guide : follower.guides)
    out.child(ElementWriter("guide").with("level", name(guide.level)).with("forward", guide.forward_mm, "mm").done());
  return out.done();
}

Element written(std::string_view element_name, const TopForce& force) {
  return ElementWriter(element_name)
      .with("force", force.force_N, "N")
      .with("line", word(force.line))
      .unless_zero("forward", force.forward_mm, "mm")
      .unless_zero("above", force.above_mm, "mm")
      .done();
}

Element written(const CombinedLoad& load) {
  ElementWriter out("combined");
  out.with("name", load.name);
  for (const CombinedPart& part : load.parts)
    out.child(ElementWriter("part").with("motion", word(part.motion)).with("share", part.share, "%").done());
  return out.done();
}

void write_tests(ElementWriter& out, const Bench& bench) {
  if (bench.follower) out.child(written(*bench.follower));
  if (bench.dead_weight) out.child(written("dead_weight", *bench.dead_weight));
  if (bench.traction) out.child(written("traction", *bench.traction));
  for (const CombinedLoad& load : bench.combined) out.child(written(load));
  if (bench.sequence.empty()) return;
  ElementWriter sequence("sequence");
  for (const std::string& row : bench.sequence) sequence.child(ElementWriter("state").with("row", row).done());
  out.child(sequence.done());
}

}  // namespace

Element written(const Bench& bench) {
  const Bench usual{};
  ElementWriter out("bench");
  if (bench.top) out.with("top", name(*bench.top));
  out.with("bottom", name(bench.bottom));
  if (bench.top || bench.moment_Nmm != usual.moment_Nmm) out.with("moment", bench.moment_Nmm, "N m");
  out.unless(usual.moment_kind, "moment_kind", bench.moment_kind);
  if (bench.steps != usual.steps) out.with("steps", std::to_string(bench.steps));
  if (bench.cycles != usual.cycles) out.with("cycles", std::to_string(bench.cycles));
  out.unless(usual.hybrid, "hybrid", bench.hybrid);
  for (const ShearLoad& shear : bench.shear)
    out.child(ElementWriter("shear").with("level", name(shear.level)).with("force", shear.force_N, "N").done());
  for (const AxialLoad& axial : bench.axial)
    out.child(ElementWriter("axial")
                  .with("level", name(axial.level))
                  .with("force", axial.force_N, "N")
                  .with("line", word(axial.line))
                  .done());
  for (const HeadLoad& head : bench.heads) {
    const std::string direction = format_number(head.direction.x()) + " " + format_number(head.direction.y()) + " " +
                                  format_number(head.direction.z());
    out.child(ElementWriter("head_load")
                  .with("name", head.name)
                  .with("anchor", head.anchor)
                  .with("force", head.force_N, "N")
                  .with("direction", direction)
                  .done());
  }
  write_tests(out, bench);
  return out.done();
}

}  // namespace opisthion::models::xml
