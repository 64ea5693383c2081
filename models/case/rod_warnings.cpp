// SPDX-License-Identifier: MIT
#include "models/case/rod_warnings.hpp"

#include <algorithm>
#include <array>

namespace opisthion::models {

namespace {

/// Below the skull, or where it has no anchor there altogether, its anchors are wires at one level.
void one_wired_level(ConstructParts& parts, const std::vector<RodStop>& stops, const std::string& path,
                     const std::string& where) {
  const bool below_skull = std::any_of(stops.begin(), stops.end(), [](const RodStop& stop) {
    return stop.anchor != nullptr && stop.anchor->level > Level::C0;
  });
  const Anchor* first = nullptr;
  for (const RodStop& stop : stops) {
    if (stop.anchor == nullptr || (below_skull && stop.anchor->level == Level::C0)) continue;
    if (grip_of(stop.anchor->kind) != Grip::wire) return;
    if (first == nullptr) first = stop.anchor;
    if (stop.anchor->level != first->level) return;
  }
  if (first != nullptr)
    parts.rules.warn(FindingCode::one_wired_level, path, where,
                     std::string(name(first->level)) + " alone is wired " + (below_skull ? "below the skull" : "to it") +
                         ": one wired level is a hinge");
}

/// Levels that the rod runs past without a stop, and that no screw on it ends in and no rod it is connected to grips.
void skipped_levels(ConstructParts& parts, const std::vector<RodStop>& stops, const std::string& path,
                    const std::string& where) {
  std::array<bool, kLevelCount> gripped{};
  const auto [highest, lowest] = std::minmax_element(
      stops.begin(), stops.end(), [](const RodStop& a, const RodStop& b) { return a.half_level < b.half_level; });
  for (const RodStop& stop : stops) {
    if (stop.half_level % 2 == 0) gripped[static_cast<std::size_t>(stop.half_level / 2)] = true;
    if (stop.anchor != nullptr) gripped[static_cast<std::size_t>(ends_at(stop.anchor->kind, stop.anchor->level))] = true;
    if (stop.other == nullptr) continue;
    for (const Through& through : stop.other->through)
      if (const auto at = parts.anchors.find(through.anchor); at != parts.anchors.end())
        gripped[static_cast<std::size_t>(at->second->level)] = true;
  }
  std::vector<std::string_view> skipped;
  for (int half = highest->half_level + 1; half < lowest->half_level; ++half) {
    const auto level = static_cast<Level>(half / 2);
    if (half % 2 == 0 && parts.rules.neck.contains(level) && !gripped[static_cast<std::size_t>(level)])
      skipped.push_back(name(level));
  }
  if (skipped.empty()) return;
  std::string told;
  for (std::size_t i = 0; i < skipped.size(); ++i)
    told.append(i == 0 ? "" : i + 1 == skipped.size() ? " and " : ", ").append(skipped[i]);
  parts.rules.warn(FindingCode::skipped_level, path, where,
                   told + (skipped.size() == 1 ? " is skipped: it floats" : " are skipped: they float") +
                       " between what is held above and below");
}

}  // namespace

void warn_of_rod(ConstructParts& parts, const Rod& rod, const std::vector<RodStop>& stops, const std::string& path) {
  const std::string where = quoted("rod", rod.name);
  one_wired_level(parts, stops, path, where);
  skipped_levels(parts, stops, path, where);
}

}  // namespace opisthion::models
