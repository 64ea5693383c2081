// SPDX-License-Identifier: MIT
// Wires and clamps between the backs of two levels.
#include "models/case/construct_rules.hpp"

namespace opisthion::models {

namespace {

/// Arches and laminae from C1 down have room beneath them for a wire or a hook, to C7; spinous processes stout enough for a
/// wire are those of C2 to T1. Common practice.
LevelRange levels_of(TieKind kind) {
  if (kind == TieKind::spinous_wire) return {Level::C2, Level::T1};
  return {Level::C1, Level::C7};
}

class TieRules {
 public:
  explicit TieRules(ConstructParts& parts) : parts_(parts), rules_(parts.rules) {}

  void check(const Tie& tie, const std::string& path) {
    if (!rules_.trusted(path + "@kind")) return;
    const std::string where = quoted("tie", tie.name);
    const std::string kind = with_article(title(tie.kind));
    side(tie, path, where, kind);
    if (tie.diameter_mm && tie.kind == TieKind::clamp && rules_.trusted(path + "@diameter"))
      rules_.add(FindingCode::attribute_not_here, path + "@diameter", where, "diameter",
                 "no diameter for a clamp: only wires have one");
    const bool upper = level(tie, tie.upper, path + "@upper", attribute(where, "upper"));
    const bool lower = level(tie, tie.lower, path + "@lower", attribute(where, "lower"));
    if (upper && lower && tie.upper >= tie.lower)
      rules_.add(FindingCode::level_order, path + "@lower", attribute(where, "lower"), name(tie.lower),
                 "a level below the upper one, " + std::string(name(tie.upper)));
  }

 private:
  void side(const Tie& tie, const std::string& path, const std::string& where, const std::string& kind) {
    if (!rules_.trusted(path + "@side") || has_side(tie.kind) == tie.side.has_value()) return;
    if (tie.side)
      rules_.add(FindingCode::attribute_not_here, path + "@side", where, "side",
                 "no side for " + kind + ", which stands in the middle");
    else
      rules_.add(FindingCode::missing_attribute, path, where, "", "attribute 'side'");
  }

  bool level(const Tie& tie, Level level, const std::string& path, const std::string& where) {
    if (!rules_.trusted(path)) return false;
    const LevelRange range = levels_of(tie.kind);
    if (!range.contains(level)) {
      rules_.add(FindingCode::tie_not_allowed, path, where, name(level),
                 "a level for " + with_article(title(tie.kind)) + ", " + std::string(name(range.upper)) + " to " +
                     std::string(name(range.lower)));
      return false;
    }
    if (!rules_.in_neck(level, path, where)) return false;
    const std::string& gone = parts_.of_case.removed.back_of(level);
    if (!gone.empty()) rules_.add(FindingCode::removed_bone, path, where, "none: " + gone, "bone to tie to");
    return true;
  }

  ConstructParts& parts_;
  Rules& rules_;
};

}  // namespace

void check_ties(ConstructParts& parts) {
  TieRules checks(parts);
  for (std::size_t i = 0; i < parts.construct.ties.size(); ++i) checks.check(parts.construct.ties[i], parts.at("tie", i));
}

}  // namespace opisthion::models
