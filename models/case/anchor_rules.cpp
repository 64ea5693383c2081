// SPDX-License-Identifier: MIT
// Where an anchor may sit and what may be said about it. Whether it collides with another is in place_rules.
#include <cctype>

#include "models/case/construct_rules.hpp"
#include "models/case/place_rules.hpp"
#include "models/hardware/allowed_anchors.hpp"
#include "models/xml/quantity.hpp"

namespace opisthion::models {

namespace {

/// The one side that a name speaks of as a word of its own: "C2 left" and "left_2" do, "cleft" does not.
std::optional<Side> side_in_name(std::string_view text) {
  bool left = false;
  bool right = false;
  std::string word;
  const auto end_word = [&] {
    left = left || word == name(Side::left);
    right = right || word == name(Side::right);
    word.clear();
  };
  for (const char c : text) {
    const auto byte = static_cast<unsigned char>(c);
    if (std::isalpha(byte) != 0 || byte >= 0x80)
      word += static_cast<char>(std::tolower(byte));
    else
      end_word();
  }
  end_word();
  if (left == right) return std::nullopt;
  return left ? Side::left : Side::right;
}

/// "C2, the only level for a pars anchor", "a level for a lateral mass anchor, C1 or C3 to C7"
std::string levels_told(AnchorKind kind) {
  const std::string anchor = with_article(title(kind)) + " anchor";
  const std::vector<LevelRange>& ranges = anchor_kind(kind).levels;
  std::string out;
  for (const LevelRange& range : ranges) {
    if (!out.empty()) out += " or ";
    out += name(range.upper);
    if (range.lower > range.upper) out += " to " + std::string(name(range.lower));
  }
  const bool only_one = ranges.size() == 1 && ranges.front().upper == ranges.front().lower;
  return only_one ? out + ", the only level for " + anchor : "a level for " + anchor + ", " + out;
}

class AnchorRules {
 public:
  explicit AnchorRules(ConstructParts& parts) : parts_(parts), rules_(parts.rules), places_(parts) {}

  void check(const Anchor& anchor, const std::string& path) {
    const std::string where = quoted("anchor", anchor.name);
    if (!rules_.trusted(path + "@level")) parts_.misplaced.insert(&anchor);
    if (!rules_.trusted(path + "@kind")) return;
    named_side(anchor, path, where);
    attributes(anchor, path, where);
    headless(anchor);
    if (!rules_.trusted(path + "@level")) return;
    if (!sits_at(anchor.kind, anchor.level)) {
      parts_.misplaced.insert(&anchor);
      rules_.add(FindingCode::anchor_not_allowed, path + "@level", attribute(where, "level"), name(anchor.level),
                 levels_told(anchor.kind));
      return;
    }
    const Level end = ends_at(anchor.kind, anchor.level);
    if (rules_.in_neck(anchor.level, path + "@level", attribute(where, "level")) && !rules_.neck.contains(end))
      rules_.add(FindingCode::level_outside_neck, path + "@level", where, rules_.neck_span(),
                 "a neck with " + std::string(name(end)) + ", where this anchor ends");
    if (!rules_.trusted(path + "@side")) return;
    const std::string& gone = parts_.of_case.removed.under(anchor.kind, anchor.level, anchor.side);
    if (!gone.empty()) rules_.add(FindingCode::removed_bone, path, where, "none: " + gone, "bone for this anchor to hold");
    places_.check(anchor, path, where);
    artery(anchor, path);
  }

 private:
  void named_side(const Anchor& anchor, const std::string& path, const std::string& where) {
    if (!rules_.trusted(path + "@name") || !rules_.trusted(path + "@side") || is_midline(anchor.kind)) return;
    const std::optional<Side> named = side_in_name(anchor.name);
    if (!named || *named == anchor.side) return;
    rules_.warn(FindingCode::side_differs, path + "@side", where,
                "its name says " + std::string(name(*named)) + ", its side is " + std::string(name(anchor.side)));
  }

  void attributes(const Anchor& anchor, const std::string& path, const std::string& where) {
    const AnchorKindRow& kind = anchor_kind(anchor.kind);
    const bool screw = kind.grip == Grip::screw;
    const auto only = [&](bool given, bool allowed, std::string_view word, std::string_view whose) {
      if (given && !allowed && rules_.trusted(path + "@" + std::string(word)))
        rules_.add(FindingCode::attribute_not_here, path + "@" + std::string(word), where, word,
                   "no " + std::string(word) + " for " + with_article(kind.title) + " anchor: only " + std::string(whose));
    };
    only(anchor.diameter_mm.has_value(), kind.grip != Grip::hook, "diameter", "screws and wires have one");
    only(anchor.length_mm.has_value(), screw, "length", "screws have one");
    only(anchor.purchase.has_value(), screw, "purchase", "screws have one");
    only(anchor.state != AnchorState::sound, screw, "state", "a screw's seat wears");
    only(anchor.lag_N.has_value(), kind.ends_in.has_value(), "lag", "screws that cross a joint press it together");
    only(anchor.tension_N.has_value(), !screw, "tension", "wires and hooks are tightened");
    only(anchor.facing.has_value(), kind.grip == Grip::hook, "facing", "hooks face up or down");
    only(anchor.below_inion_mm.has_value(), kind.on_squama, "below_inion", "keel, paramedian and occipital wire anchors");
    if (rules_.trusted(path + "@level"))
      only(anchor.path.has_value(), kind.paths && kind.paths->contains(anchor.level), "path",
           "lateral mass screws of C3 to C7 have a choice");
    const std::optional<double>& length_mm = parts_.of_case.occiput_length_mm;
    if (kind.on_squama && anchor.below_inion_mm && length_mm && *anchor.below_inion_mm > *length_mm)
      rules_.add(FindingCode::out_of_range, path + "@below_inion", attribute(where, "below_inion"),
                 rounded_quantity(*anchor.below_inion_mm, internal_unit(Dimension::length)),
                 "at most " + rounded_quantity(*length_mm, internal_unit(Dimension::length)) +
                     ", where the bone ends at the foramen");
  }

  /// A rig pulls at heads.
  void headless(const Anchor& anchor) {
    if (grip_of(anchor.kind) != Grip::wire) return;
    const auto loads = parts_.of_case.head_loads.find(anchor.name);
    if (loads == parts_.of_case.head_loads.end()) return;
    for (const std::size_t i : loads->second) {
      const std::string path = indexed("bench/head_load", i) + "@anchor";
      if (!rules_.trusted(path) || !parts_.of_case.headless.insert(i).second) continue;
      rules_.add(FindingCode::no_head, path,
                 quoted("head_load", rules_.the_case.bench.heads[i].name) + ", attribute 'anchor'",
                 "'" + anchor.name + "', " + with_article(title(anchor.kind)), "an anchor with a head, which no wire has");
    }
  }

  void artery(const Anchor& anchor, const std::string& path) {
    if (!passes_artery(anchor) || !rules_.trusted("neck/level")) return;
    if (rules_.neck.anatomy_at(anchor.level, anchor.side).artery != Artery::not_checked) return;
    ++parts_.of_case.passing.try_emplace({anchor.level, anchor.side}, ConstructRules::Passing{path, anchor.name, 0})
          .first->second.count;
  }

  ConstructParts& parts_;
  Rules& rules_;
  PlaceRules places_;
};

}  // namespace

void check_anchors(ConstructParts& parts) {
  AnchorRules checks(parts);
  for (std::size_t i = 0; i < parts.construct.anchors.size(); ++i)
    checks.check(parts.construct.anchors[i], parts.at("anchor", i));
}

}  // namespace opisthion::models
