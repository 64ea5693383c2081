// SPDX-License-Identifier: MIT
// A construct as a whole: its names, what is left alone, and warnings that lean on all of it.
#include "models/case/construct_rules.hpp"

#include <algorithm>

#include "models/hardware/occiput_surface.hpp"

namespace opisthion::models {

namespace {

/// One name, one part.
void check_names(const ConstructParts& parts) {
  std::set<std::string_view> seen;
  const auto each = [&](std::string_view what, const auto& all) {
    for (std::size_t i = 0; i < all.size(); ++i)
      parts.rules.once(all[i].name, parts.at(what, i) + "@name", quoted(what, all[i].name),
                       std::string(what) + " of a construct", seen);
  };
  each("anchor", parts.construct.anchors);
  each("plate", parts.construct.plates);
  each("rod", parts.construct.rods);
  each("cross_link", parts.construct.cross_links);
  each("tie", parts.construct.ties);
  each("graft", parts.construct.grafts);
  each("spacer", parts.construct.spacers);
}

std::string holder_asked_of(const Anchor& anchor) {
  if (grip_of(anchor.kind) != Grip::screw)
    return "a rod through it (" + with_article(title(anchor.kind)) + " holds nothing without one)";
  if (anchor.kind == AnchorKind::keel || anchor.kind == AnchorKind::paramedian) return "a plate through it";
  return "a rod through it (only a transarticular anchor, or one with a head_load, stands alone)";
}

void check_unused(ConstructParts& parts) {
  for (std::size_t i = 0; i < parts.construct.anchors.size(); ++i) {
    const Anchor& anchor = parts.construct.anchors[i];
    const std::string path = parts.at("anchor", i);
    if (!parts.rules.trusted(path + "@kind") || parts.held_by.count(anchor.name) > 0) continue;
    const bool stands_alone = crosses_a_joint(anchor.kind) || parts.of_case.head_loads.count(anchor.name) > 0;
    if (stands_alone && grip_of(anchor.kind) == Grip::screw) continue;
    parts.rules.add(FindingCode::unused_anchor, path, quoted("anchor", anchor.name), "", holder_asked_of(anchor));
  }
  for (std::size_t i = 0; i < parts.construct.plates.size(); ++i) {
    const Plate& plate = parts.construct.plates[i];
    if (plate.kind == PlateKind::lateral_mass || parts.plates_on_rods.count(plate.name) > 0) continue;
    parts.rules.add(FindingCode::unused_plate, parts.at("plate", i), quoted("plate", plate.name), "",
                    "a rod through it (on the skull alone it holds nothing)");
  }
}

/// Screws of the occiput that all stand where the bone is thin.
void check_nuchal_line(const ConstructParts& parts) {
  const std::optional<double> line_mm = parts.rules.number("rule.C0.nuchal_line");
  if (!line_mm) return;
  std::optional<std::size_t> first;
  for (std::size_t i = 0; i < parts.construct.anchors.size(); ++i) {
    const Anchor& anchor = parts.construct.anchors[i];
    const std::string path = parts.at("anchor", i);
    if (!parts.rules.trusted(path + "@kind") || !parts.rules.trusted(path + "@below_inion")) return;
    if (!anchor_kind(anchor.kind).on_squama || grip_of(anchor.kind) != Grip::screw) continue;
    const std::optional<double> height = height_on_occiput(parts.rules, anchor);
    if (!height || *height <= *line_mm) return;
    if (!first) first = i;
  }
  if (first)
    parts.rules.warn(FindingCode::below_nuchal_line, parts.at("anchor", *first) + "@below_inion",
                     quoted("construct", parts.construct.name),
                     "no occipital screw at or above the upper nuchal line, where the bone is thick; highest: '" +
                         parts.construct.anchors[*first].name + "'");
}

/// One warning for all anchors of the case that pass the same artery.
void check_arteries(const ConstructRules& all) {
  for (const auto& [place, passing] : all.passing) {
    std::string found = "the " + std::string(name(place.second)) + " artery at " + std::string(name(place.first)) +
                        " is not checked; anchors that pass it: '" + passing.first_name + "'";
    if (passing.count > 1) found += " (and " + std::to_string(passing.count - 1) + " more)";
    all.rules.warn(FindingCode::artery_not_checked, passing.first_path, "neck", found);
  }
}

}  // namespace

ConstructRules::ConstructRules(Rules& of) : rules(of), removed(of.neck) {
  const std::vector<HeadLoad>& loads = of.the_case.bench.heads;
  for (std::size_t i = 0; i < loads.size(); ++i) head_loads[loads[i].anchor].push_back(i);
  const ParameterTable& table = of.parameters;
  if (table.has("point.C0.inion") && table.has("point.C0.opisthion") && table.has("occiput.bulge"))
    occiput_length_mm = models::occiput_length_mm(ParameterReader(table));
}

int half_levels(Level level) {
  return 2 * static_cast<int>(level);
}
int half_levels(JointId joint) {
  return half_levels(joint.upper) + 1;
}

bool RodSpan::passes(Level from, Level to) const {
  return upper <= half_levels(from) && half_levels(to) <= lower;
}
bool RodSpan::passes(JointId joint) const {
  return passes(joint.upper, joint.lower);
}
std::string RodSpan::told() const {
  const auto word = [](int half) {
    const auto level = static_cast<Level>(half / 2);
    if (half % 2 == 0) return std::string(name(level));
    return name(JointId{level, static_cast<Level>(half / 2 + 1)});
  };
  return "from " + word(upper) + " to " + word(lower);
}

ConstructParts::ConstructParts(ConstructRules& all, const Construct& of, std::string at_path)
    : of_case(all), rules(all.rules), construct(of), path(std::move(at_path)) {
  const auto index = [&](std::string_view what, const auto& all_of, auto& by_name, auto& names, bool& read) {
    for (std::size_t i = 0; i < all_of.size(); ++i) {
      read = read && rules.trusted(at(what, i) + "@name");
      by_name.emplace(all_of[i].name, &all_of[i]);
      names.insert(all_of[i].name);
    }
  };
  index("anchor", construct.anchors, anchors, anchor_names, anchors_read);
  index("plate", construct.plates, plates, plate_names, plates_read);
  index("rod", construct.rods, rods, rod_names, rods_read);
}

bool ConstructParts::take(const Anchor& anchor, const std::string& holder, const std::string& through_path,
                          const std::string& where) {
  const auto [held, is_new] = held_by.try_emplace(anchor.name, holder);
  if (is_new) return true;
  const bool on_plate = held->second.front() == 'p' || holder.front() == 'p';
  rules.add(FindingCode::locks_coincide, through_path, where,
            "'" + anchor.name + "' again, which " + held->second + " goes through",
            on_plate ? "each anchor head on one rod or plate, once" : "each anchor head on one rod, once");
  return false;
}

std::string with_article(std::string_view word) {
  const bool vowel = !word.empty() && std::string_view("aeiou").find(word.front()) != std::string_view::npos;
  return (vowel ? "an " : "a ") + std::string(word);
}

std::optional<Side> side_of(const Anchor& anchor) {
  if (is_midline(anchor.kind)) return std::nullopt;
  return anchor.side;
}

std::optional<double> height_on_occiput(const Rules& rules, const Anchor& anchor) {
  if (anchor.below_inion_mm) return anchor.below_inion_mm;
  return rules.number("trajectory.C0." + std::string(anchor_kind(anchor.kind).word) + ".below_inion");
}

void check_constructs(Rules& rules) {
  const std::vector<Construct>& constructs = rules.the_case.constructs;
  if (constructs.empty() && rules.trusted("case"))
    rules.add(FindingCode::missing_element, "case", "case", "", "an element <construct> (an empty one is the neck alone)");
  ConstructRules all(rules);
  std::set<std::string_view> seen;
  for (std::size_t i = 0; i < constructs.size(); ++i) {
    ConstructParts parts(all, constructs[i], indexed("construct", i));
    rules.once(parts.construct.name, parts.path + "@name", quoted("construct", parts.construct.name), "construct", seen);
    check_names(parts);
    check_anchors(parts);
    check_plates(parts);
    check_rods(parts);
    check_cross_links(parts);
    check_ties(parts);
    check_grafts(parts);
    if (parts.anchors_read && parts.plates_read && parts.whole) check_unused(parts);
    check_nuchal_line(parts);
  }
  check_arteries(all);
}

}  // namespace opisthion::models
