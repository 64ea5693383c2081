// SPDX-License-Identifier: MIT
// Bone and blocks between two levels.
#include <algorithm>
#include <map>

#include "models/case/construct_rules.hpp"

namespace opisthion::models {

namespace {

class GraftRules {
 public:
  explicit GraftRules(ConstructParts& parts) : parts_(parts), rules_(parts.rules) {}

  void check(const Graft& graft, const std::string& path) {
    if (!rules_.trusted(path + "@kind")) return;
    const std::string where = quoted("graft", graft.name);
    if (graft.kind == GraftKind::lateral_joint)
      between_masses(graft, path, where);
    else
      between_backs(graft, path, where);
  }

  void check(const Spacer& spacer, const std::string& path) {
    if (rules_.trusted(path + "@side")) in_joint(spacer.side, spacer.name, path, quoted("spacer", spacer.name));
  }

 private:
  void between_masses(const Graft& graft, const std::string& path, const std::string& where) {
    bool there = true;
    const auto only = [&](Level given, Level wanted, std::string_view word) {
      const std::string at = path + "@" + std::string(word);
      there = there && rules_.trusted(at);
      if (!rules_.trusted(at) || given == wanted) return;
      there = false;
      rules_.add(FindingCode::graft_not_allowed, at, attribute(where, word), name(given),
                 std::string(name(wanted)) + ": a lateral joint graft lies between C1 and C2");
    };
    only(graft.upper, Level::C1, "upper");
    only(graft.lower, Level::C2, "lower");
    if (!rules_.trusted(path + "@side")) return;
    if (!graft.side)
      rules_.add(FindingCode::missing_attribute, path, where, "", "attribute 'side'");
    else if (there)
      in_joint(*graft.side, graft.name, path, where);
  }

  /// One in each C1-C2 lateral joint, between two masses that are there.
  void in_joint(Side side, const std::string& part, const std::string& path, const std::string& where) {
    if (!rules_.in_neck(Level::C1, path, where) || !rules_.in_neck(Level::C2, path, where)) return;
    for (const Level level : {Level::C1, Level::C2}) {
      const std::string gone = parts_.of_case.removed.lateral_mass(level, side);
      if (!gone.empty()) rules_.add(FindingCode::removed_bone, path, where, "none: " + gone, "bone above and below it");
    }
    const auto [first, is_new] = in_joint_.try_emplace(side, part);
    if (!is_new)
      rules_.add(FindingCode::anchors_collide, path, where, "'" + first->second + "' there already",
                 "one graft or spacer in the " + std::string(name(side)) + " C1-C2 lateral joint");
  }

  void between_backs(const Graft& graft, const std::string& path, const std::string& where) {
    const bool upper = back(graft.upper, path + "@upper", attribute(where, "upper"));
    const bool lower = back(graft.lower, path + "@lower", attribute(where, "lower"));
    if (!upper || !lower) return;
    if (graft.upper >= graft.lower)
      rules_.add(FindingCode::level_order, path + "@lower", attribute(where, "lower"), name(graft.lower),
                 "a level below the upper one, " + std::string(name(graft.upper)));
    else if (graft.kind == GraftKind::block && parts_.whole && !held(graft))
      rules_.warn(FindingCode::graft_not_held, path, where,
                  "nothing holds it: no tie, rod or plate goes from " + std::string(name(graft.upper)) + " to " +
                      std::string(name(graft.lower)));
  }

  bool back(Level level, const std::string& path, const std::string& where) {
    if (!rules_.in_neck(level, path, where)) return false;
    const std::string& gone = parts_.of_case.removed.back_of(level);
    if (!gone.empty()) rules_.add(FindingCode::removed_bone, path, where, "none: " + gone, "bone for the graft to lie on");
    return true;
  }

  bool held(const Graft& graft) const {
    const auto spans = [&](Level from, Level to) { return from <= graft.upper && graft.lower <= to; };
    const Construct& construct = parts_.construct;
    return std::any_of(construct.ties.begin(), construct.ties.end(),
                       [&](const Tie& t) { return spans(t.upper, t.lower); }) ||
           std::any_of(parts_.plated.begin(), parts_.plated.end(),
                       [&](const auto& p) { return spans(p.first, p.second); }) ||
           std::any_of(parts_.spans.begin(), parts_.spans.end(),
                       [&](const auto& s) { return s.second.passes(graft.upper, graft.lower); });
  }

  ConstructParts& parts_;
  Rules& rules_;
  std::map<Side, std::string> in_joint_{};
};

}  // namespace

void check_grafts(ConstructParts& parts) {
  GraftRules checks(parts);
  for (std::size_t i = 0; i < parts.construct.grafts.size(); ++i)
    checks.check(parts.construct.grafts[i], parts.at("graft", i));
  for (std::size_t i = 0; i < parts.construct.spacers.size(); ++i)
    checks.check(parts.construct.spacers[i], parts.at("spacer", i));
}

}  // namespace opisthion::models
