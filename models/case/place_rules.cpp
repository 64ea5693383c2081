// SPDX-License-Identifier: MIT
#include "models/case/place_rules.hpp"

#include <cmath>
#include <iterator>

#include "models/hardware/trajectory.hpp"
#include "models/xml/quantity.hpp"

namespace opisthion::models {

namespace {

/// Screws that run through the same bone of a level and side, so that there is room for one of them. Two laminar screws
/// cross one above the other and are left out. Common anatomy.
bool in_the_corridor(const Anchor& anchor) {
  return grip_of(anchor.kind) == Grip::screw && !anchor_kind(anchor.kind).on_squama && anchor.kind != AnchorKind::laminar;
}

double diameter_of(const Rules& rules, const Anchor& anchor) {
  if (anchor.diameter_mm) return *anchor.diameter_mm;
  const Purchase purchase = anchor.purchase.value_or(Purchase::unicortical);
  return rules.number(library_stem(anchor.kind, anchor.level, purchase) + ".diameter").value_or(0.0);
}

std::string place_told(const Anchor& anchor) {
  return std::string(title(anchor.kind)) + " anchor on the " + std::string(name(anchor.side)) + " of " +
         std::string(name(anchor.level));
}

}  // namespace

void PlaceRules::check(const Anchor& anchor, const std::string& path, const std::string& where) {
  if (anchor_kind(anchor.kind).on_squama) return on_occiput(anchor, path, where);
  const auto [first, is_new] = placed_.try_emplace({anchor.kind, anchor.level, anchor.side}, &anchor);
  if (!is_new) {
    rules_.add(FindingCode::duplicate_anchor, path, where, place_told(anchor) + " like '" + first->second->name + "'",
               "one anchor of a kind at each level and side");
    return;
  }
  if (!in_the_corridor(anchor)) return;
  const auto [other, is_free] = corridors_.try_emplace({anchor.level, anchor.side}, &anchor);
  if (!is_free)
    rules_.add(FindingCode::anchors_collide, path, where,
               place_told(anchor) + " where '" + other->second->name + "', " + with_article(title(other->second->kind)) +
                   " anchor, runs",
               "no two anchors in one place");
}

void PlaceRules::on_occiput(const Anchor& anchor, const std::string& path, const std::string& where) {
  const std::optional<double> height = height_on_occiput(rules_, anchor);
  if (!height || !rules_.trusted(path + "@below_inion") || !rules_.trusted(path + "@diameter")) return;
  std::multimap<double, const Anchor*>& others = heights_[{anchor.kind, anchor.side}];
  const auto here = others.emplace(*height, &anchor);
  const auto too_near = [&](const auto& other) {
    const double apart = std::abs(other.first - *height);
    const double needed = 0.5 * (diameter_of(rules_, anchor) + diameter_of(rules_, *other.second));
    if (apart >= needed && apart > 0.0) return false;
    const Unit& mm = internal_unit(Dimension::length);
    rules_.add(FindingCode::anchors_collide, path, where, rounded_quantity(apart, mm) + " from '" + other.second->name + "'",
               std::string(title(anchor.kind)) + " anchors apart by their diameter, " + rounded_quantity(needed, mm));
    return true;
  };
  if (here != others.begin() && too_near(*std::prev(here))) return;
  if (std::next(here) != others.end()) too_near(*std::next(here));
}

}  // namespace opisthion::models
