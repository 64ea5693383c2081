// SPDX-License-Identifier: MIT
#include "models/xml/case_reader.hpp"

namespace opisthion::models::xml {

namespace {

Anchor read_anchor(CaseReader& reader, const Cursor& at) {
  Anchor out;
  out.name = reader.name(at);
  out.kind = reader.word<AnchorKind>(at, "kind").value_or(out.kind);
  out.level = reader.word<Level>(at, "level").value_or(out.level);
  out.diameter_mm = reader.quantity(at, "diameter");
  out.length_mm = reader.quantity(at, "length");
  out.purchase = reader.word<Purchase>(at, "purchase");
  out.path = reader.word<LateralMassPath>(at, "path");
  out.state = reader.word<AnchorState>(at, "state").value_or(out.state);
  out.lag_N = reader.quantity(at, "lag");
  out.tension_N = reader.quantity(at, "tension");
  out.below_inion_mm = reader.quantity(at, "below_inion");
  out.facing = reader.word<HookFacing>(at, "facing");
  const bool kind_known = reader.places.trusted(at.path + "@kind");
  if (kind_known && is_midline(out.kind)) {
    reader.superfluous(at, "side", "no side, for a " + std::string(title(out.kind)) + " anchor stands in the middle");
    return out;
  }
  const bool given = at.element.find("side") != nullptr;
  out.side = reader.word<Side>(at, "side").value_or(out.side);
  if (!given && kind_known) reader.missing(at, "side", "");
  if (!given) reader.places.distrust(at.path + "@side");
  return out;
}

/// A plate goes through anchors alone.
std::string plate_hole(CaseReader& reader, const Cursor& at) {
  for (const std::string_view other : {"plate", "rod", "at"})
    reader.superfluous(at, other, "attribute 'anchor' alone, for a plate goes through anchors");
  if (at.element.find("anchor") == nullptr) reader.missing(at, "anchor", "");
  return reader.name(at, "anchor");
}

Plate read_plate(CaseReader& reader, const Cursor& at) {
  Plate out;
  out.name = reader.name(at);
  out.kind = reader.word<PlateKind>(at, "kind").value_or(out.kind);
  out.metal = reader.word<Metal>(at, "metal").value_or(out.metal);
  out.width_mm = reader.quantity(at, "width");
  out.thickness_mm = reader.quantity(at, "thickness");
  reader.each(at, "through", [&](const Cursor& hole) { out.through.push_back(plate_hole(reader, hole)); });
  return out;
}

Through read_stop(CaseReader& reader, const Cursor& at) {
  return {.anchor = reader.name(at, "anchor"),
          .plate = reader.name(at, "plate"),
          .rod = reader.name(at, "rod"),
          .at = reader.word<JointId>(at, "at")};
}

Rod read_rod(CaseReader& reader, const Cursor& at) {
  Rod out;
  out.name = reader.name(at);
  out.metal = reader.word<Metal>(at, "metal").value_or(out.metal);
  out.diameter_mm = reader.quantity(at, "diameter");
  out.bending = reader.word<Bending>(at, "bending").value_or(out.bending);
  out.closed = reader.yes(at, "closed");
  out.lower_diameter_mm = reader.quantity(at, "lower_diameter");
  out.taper_at = reader.word<JointId>(at, "taper_at");
  reader.each(at, "through", [&](const Cursor& stop) { out.through.push_back(read_stop(reader, stop)); });
  return out;
}

CrossLink read_cross_link(CaseReader& reader, const Cursor& at) {
  CrossLink out;
  out.name = reader.name(at);
  out.from = reader.name(at, "from");
  out.to = reader.name(at, "to");
  out.at = reader.word<JointId>(at, "at").value_or(out.at);
  out.diameter_mm = reader.quantity(at, "diameter");
  return out;
}

Tie read_tie(CaseReader& reader, const Cursor& at) {
  Tie out;
  out.name = reader.name(at);
  out.kind = reader.word<TieKind>(at, "kind").value_or(out.kind);
  out.upper = reader.word<Level>(at, "upper").value_or(out.upper);
  out.lower = reader.word<Level>(at, "lower").value_or(out.lower);
  out.side = reader.word<Side>(at, "side");
  out.diameter_mm = reader.quantity(at, "diameter");
  out.tension_N = reader.quantity(at, "tension");
  return out;
}

Graft read_graft(CaseReader& reader, const Cursor& at) {
  Graft out;
  out.name = reader.name(at);
  out.kind = reader.word<GraftKind>(at, "kind").value_or(out.kind);
  out.upper = reader.word<Level>(at, "upper").value_or(out.upper);
  out.lower = reader.word<Level>(at, "lower").value_or(out.lower);
  out.side = reader.word<Side>(at, "side");
  out.healed = reader.quantity(at, "healed").value_or(out.healed);
  return out;
}

Spacer read_spacer(CaseReader& reader, const Cursor& at) {
  Spacer out;
  out.name = reader.name(at);
  out.side = reader.word<Side>(at, "side").value_or(out.side);
  out.height_mm = reader.quantity(at, "height");
  out.metal = reader.word<Metal>(at, "metal").value_or(out.metal);
  return out;
}

}  // namespace

Construct read_construct(CaseReader& reader, const Cursor& at) {
  Construct out;
  out.name = reader.name(at);
  out.order = reader.word<AssemblyOrder>(at, "order").value_or(out.order);
  const auto all = [&](std::string_view element, auto& parts, const auto& read) {
    reader.each(at, element, [&](const Cursor& part) { parts.push_back(read(reader, part)); });
  };
  all("anchor", out.anchors, read_anchor);
  all("plate", out.plates, read_plate);
  all("rod", out.rods, read_rod);
  all("cross_link", out.cross_links, read_cross_link);
  all("tie", out.ties, read_tie);
  all("graft", out.grafts, read_graft);
  all("spacer", out.spacers, read_spacer);
  return out;
}

}  // namespace opisthion::models::xml
