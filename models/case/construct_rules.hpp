// SPDX-License-Identifier: MIT
#pragma once
// What the rules of one construct share: its parts by name, what holds what, and how far each rod runs.
#include <map>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "models/case/rules.hpp"

namespace opisthion::models {

/// What the rules of all constructs of a case share.
struct ConstructRules {
  explicit ConstructRules(Rules& of);
  Rules& rules;
  RemovedBone removed;
  std::map<std::string_view, std::vector<std::size_t>> head_loads{};  ///< by the anchor they name
  std::set<std::size_t> headless{};                                   ///< head loads that were found on a wire
  std::optional<double> occiput_length_mm{};                          ///< inion to foramen, where the library says it
  /// Anchors that pass an artery nobody looked at.
  struct Passing {
    std::string first_path;
    std::string first_name;
    std::size_t count = 0;
  };
  std::map<std::pair<Level, Side>, Passing> passing{};
};

/// From its highest to its lowest stop. Half levels: 2 C3 is C3, one more is the joint below it.
struct RodSpan {
  int upper = 0;
  int lower = 0;
  std::optional<Side> side{};  ///< of its first stop that has one
  bool passes(JointId joint) const;
  bool passes(Level from, Level to) const;
  std::string told() const;  ///< "from C2 to C4"
};
int half_levels(Level level);
int half_levels(JointId joint);

/// One construct under the rules.
struct ConstructParts {
  ConstructParts(ConstructRules& all, const Construct& of, std::string at);
  ConstructRules& of_case;
  Rules& rules;
  const Construct& construct;
  std::string path;  ///< "construct[0]"
  std::map<std::string_view, const Anchor*> anchors{};
  std::map<std::string_view, const Plate*> plates{};
  std::map<std::string_view, const Rod*> rods{};
  std::set<std::string_view> anchor_names{};
  std::set<std::string_view> plate_names{};
  std::set<std::string_view> rod_names{};
  bool anchors_read = true;  ///< all their names were
  bool plates_read = true;
  bool rods_read = true;
  std::set<const Anchor*> misplaced{};                ///< their level is wrong or unread: rods say nothing about it
  std::map<std::string_view, std::string> held_by{};  ///< anchor, "rod 'left'"
  std::set<std::string_view> plates_on_rods{};
  std::map<std::string_view, RodSpan> spans{};    ///< of the rods that could be followed
  std::vector<std::pair<Level, Level>> plated{};  ///< levels that a lateral mass plate goes from and to
  bool whole = true;  ///< all plates and rods could be followed: only then is an anchor that is left alone to blame

  std::string at(std::string_view what, std::size_t i) const { return path + "/" + indexed(what, i); }
  /// Takes the anchor for this holder; says so and answers false when something holds its head already.
  bool take(const Anchor& anchor, const std::string& holder, const std::string& through_path, const std::string& where);
};

/// "a keel", "an occipital wire"
std::string with_article(std::string_view word);
/// Side of a part in rules: none for what stands in the middle.
std::optional<Side> side_of(const Anchor& anchor);
/// Below the inion, the case's or the library's; empty where neither says it.
std::optional<double> height_on_occiput(const Rules& rules, const Anchor& anchor);

void check_anchors(ConstructParts& parts);
void check_plates(ConstructParts& parts);
void check_rods(ConstructParts& parts);
void check_cross_links(ConstructParts& parts);
void check_ties(ConstructParts& parts);
void check_grafts(ConstructParts& parts);

}  // namespace opisthion::models
