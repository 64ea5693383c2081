// SPDX-License-Identifier: MIT
// Which anchors go through which plate.
#include <algorithm>

#include "models/case/construct_rules.hpp"
#include "models/xml/words.hpp"

namespace opisthion::models {

namespace {

constexpr std::size_t kMostKeelScrews = 4;  ///< holes of a midline plate: common practice

bool takes(PlateKind plate, AnchorKind anchor) {
  switch (plate) {
    case PlateKind::midline:
      return anchor == AnchorKind::keel;
    case PlateKind::paramedian:
      return anchor == AnchorKind::paramedian;
    case PlateKind::lateral_mass:
      return anchor == AnchorKind::lateral_mass || anchor == AnchorKind::pedicle;
  }
  return false;
}

std::string taken(PlateKind plate) {
  switch (plate) {
    case PlateKind::midline:
      return "keel screws alone through a midline plate";
    case PlateKind::paramedian:
      return "paramedian screws alone through a paramedian plate";
    case PlateKind::lateral_mass:
      return "lateral mass or pedicle screws alone through a lateral mass plate";
  }
  return {};
}

class PlateRules {
 public:
  explicit PlateRules(ConstructParts& parts) : parts_(parts), rules_(parts.rules) {}

  void check(const Plate& plate, const std::string& path) {
    const std::string where = quoted("plate", plate.name);
    const bool kind_known = rules_.trusted(path + "@kind");
    bool whole = parts_.anchors_read && kind_known;
    std::vector<const Anchor*> screws;
    for (std::size_t k = 0; k < plate.through.size(); ++k) {
      const std::string hole = path + "/" + indexed("through", k) + "@anchor";
      const Anchor* anchor = anchor_in(plate.through[k], hole, where + ", through");
      if (anchor == nullptr || parts_.misplaced.count(anchor) > 0) whole = false;
      if (anchor == nullptr) continue;
      if (!parts_.take(*anchor, where, hole, where + ", through")) {
        whole = false;
      } else if (kind_known && kind_of_anchor_read(anchor) && !takes(plate.kind, anchor->kind)) {
        whole = false;
        rules_.add(FindingCode::wrong_holder, hole, where + ", through",
                   "'" + anchor->name + "', " + with_article(title(anchor->kind)) + " anchor", taken(plate.kind));
      }
      screws.push_back(anchor);
    }
    if (whole) whole = as_a_whole(plate, screws, path, where);
    parts_.whole = parts_.whole && whole;
  }

 private:
  const Anchor* anchor_in(const std::string& anchor_name, const std::string& hole, const std::string& where) {
    if (!rules_.trusted(hole)) return nullptr;
    const auto found = parts_.anchors.find(anchor_name);
    if (found != parts_.anchors.end()) return found->second;
    if (parts_.anchors_read)
      rules_.add(FindingCode::unknown_name, hole, where, anchor_name, "an anchor of this construct",
                 rules_.near(anchor_name, parts_.anchor_names));
    return nullptr;
  }

  bool kind_of_anchor_read(const Anchor* anchor) const {
    const auto i = static_cast<std::size_t>(anchor - parts_.construct.anchors.data());
    return rules_.trusted(parts_.at("anchor", i) + "@kind");
  }

  bool as_a_whole(const Plate& plate, const std::vector<const Anchor*>& screws, const std::string& path,
                  const std::string& where) {
    if (screws.empty()) {
      rules_.add(FindingCode::missing_element, path, where, "", "an element <through>: " + taken(plate.kind));
      return false;
    }
    if (plate.kind == PlateKind::midline) {
      if (screws.size() <= kMostKeelScrews) return true;
      rules_.add(FindingCode::too_many_anchors, path, where, std::to_string(screws.size()),
                 "at most " + std::to_string(kMostKeelScrews) + " keel screws through a midline plate");
      return false;
    }
    bool good = true;
    for (std::size_t k = 1; k < screws.size(); ++k) {
      const std::string hole = path + "/" + indexed("through", k) + "@anchor";
      if (screws[k]->side != screws[0]->side) {
        good = false;
        rules_.add(FindingCode::sides_mixed, hole, where + ", through",
                   "'" + screws[k]->name + "' on the " + std::string(name(screws[k]->side)) + " beside '" + screws[0]->name +
                       "' on the " + std::string(name(screws[0]->side)),
                   "screws of one side through " + with_article(xml::word(plate.kind)) + " plate");
      } else if (screws[k]->level < screws[k - 1]->level) {
        good = false;
        rules_.add(FindingCode::rod_order, hole, where + ", through",
                   "'" + screws[k]->name + "' at " + std::string(name(screws[k]->level)) + " after '" + screws[k - 1]->name +
                       "' at " + std::string(name(screws[k - 1]->level)),
                   "anchors from above to below");
      }
    }
    if (!good || plate.kind != PlateKind::lateral_mass) return good;
    const auto [first, last] =
        std::minmax_element(screws.begin(), screws.end(), [](const auto* a, const auto* b) { return a->level < b->level; });
    if ((*first)->level == (*last)->level) {
      rules_.add(FindingCode::rod_too_short, path, where, std::string(name((*first)->level)) + " only",
                 "screws of two levels or more");
      return false;
    }
    parts_.plated.emplace_back((*first)->level, (*last)->level);
    return true;
  }

  ConstructParts& parts_;
  Rules& rules_;
};

}  // namespace

void check_plates(ConstructParts& parts) {
  PlateRules checks(parts);
  for (std::size_t i = 0; i < parts.construct.plates.size(); ++i)
    checks.check(parts.construct.plates[i], parts.at("plate", i));
}

}  // namespace opisthion::models
