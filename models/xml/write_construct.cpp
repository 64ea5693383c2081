// SPDX-License-Identifier: MIT
#include "models/xml/element_writer.hpp"

namespace opisthion::models::xml {

namespace {

Element written(const Anchor& anchor) {
  ElementWriter out("anchor");
  out.with("name", anchor.name).with("kind", word(anchor.kind)).with("level", name(anchor.level));
  if (!is_midline(anchor.kind)) out.with("side", name(anchor.side));
  return out.with("diameter", anchor.diameter_mm, "mm")
      .with("length", anchor.length_mm, "mm")
      .with_word("purchase", anchor.purchase)
      .with_word("path", anchor.path)
      .unless(AnchorState::sound, "state", anchor.state)
      .with("lag", anchor.lag_N, "N")
      .with("tension", anchor.tension_N, "N")
      .with("below_inion", anchor.below_inion_mm, "mm")
      .with_word("facing", anchor.facing)
      .done();
}

Element written(const Plate& plate) {
  ElementWriter out("plate");
  out.with("name", plate.name)
      .with("kind", word(plate.kind))
      .with("metal", word(plate.metal))
      .with("width", plate.width_mm, "mm")
      .with("thickness", plate.thickness_mm, "mm");
  for (const std::string& anchor : plate.through) out.child(ElementWriter("through").with("anchor", anchor).done());
  return out.done();
}

Element written(const Through& stop) {
  ElementWriter out("through");
  if (!stop.anchor.empty()) out.with("anchor", stop.anchor);
  if (!stop.plate.empty()) out.with("plate", stop.plate);
  if (!stop.rod.empty()) out.with("rod", stop.rod);
  return out.with_word("at", stop.at).done();
}

Element written(const Rod& rod) {
  ElementWriter out("rod");
  out.with("name", rod.name)
      .with("metal", word(rod.metal))
      .with("diameter", rod.diameter_mm, "mm")
      .unless(Bending::contoured, "bending", rod.bending)
      .unless(false, "closed", rod.closed)
      .with("lower_diameter", rod.lower_diameter_mm, "mm")
      .with_word("taper_at", rod.taper_at);
  for (const Through& stop : rod.through) out.child(written(stop));
  return out.done();
}

Element written(const CrossLink& link) {
  return ElementWriter("cross_link")
      .with("name", link.name)
      .with("from", link.from)
      .with("to", link.to)
      .with("at", word(link.at))
      .with("diameter", link.diameter_mm, "mm")
      .done();
}

Element written(const Tie& tie) {
  return ElementWriter("tie")
      .with("name", tie.name)
      .with("kind", word(tie.kind))
      .with("upper", name(tie.upper))
      .with("lower", name(tie.lower))
      .with_word("side", tie.side)
      .with("diameter", tie.diameter_mm, "mm")
      .with("tension", tie.tension_N, "N")
      .done();
}

Element written(const Graft& graft) {
  return ElementWriter("graft")
      .with("name", graft.name)
      .with("kind", word(graft.kind))
      .with("upper", name(graft.upper))
      .with("lower", name(graft.lower))
      .with_word("side", graft.side)
      .unless_zero("healed", graft.healed, "%")
      .done();
}

Element written(const Spacer& spacer) {
  return ElementWriter("spacer")
      .with("name", spacer.name)
      .with("side", name(spacer.side))
      .with("height", spacer.height_mm, "mm")
      .with("metal", word(spacer.metal))
      .done();
}

}  // namespace

Element written(const Construct& construct) {
  ElementWriter out("construct");
  out.with("name", construct.name).unless(AssemblyOrder::tighten_then_lock, "order", construct.order);
  const auto all = [&out](const auto& parts) {
    for (const auto& part : parts) out.child(written(part));
  };
  all(construct.anchors);
  all(construct.plates);
  all(construct.rods);
  all(construct.cross_links);
  all(construct.ties);
  all(construct.grafts);
  all(construct.spacers);
  return out.done();
}

}  // namespace opisthion::models::xml
