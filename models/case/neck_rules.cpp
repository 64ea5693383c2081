// SPDX-License-Identifier: MIT
// Levels, their sizes, and the state of joints.
#include <algorithm>
#include <cmath>
#include <set>

#include "models/case/rules.hpp"
#include "models/quantity/units.hpp"
#include "models/xml/quantity.hpp"

namespace opisthion::models {

namespace {

/// A size as it stands in the file and where it belongs.
struct Size {
  std::string_view word;
  std::optional<double> mm;
  Level first;                     ///< only levels from here ...
  Level last;                      ///< ... to here have it
  std::string_view id;             ///< of the generic adult in the library: "anatomy.<level>.<id>"
  double largest_mm = 25.0;        ///< no such part of a neck is larger: a choice of this project
  std::optional<Level> but_not{};  ///< one between them that has no such part
  bool at(Level level) const { return first <= level && level <= last && level != but_not; }
};

std::vector<Size> sizes_of(const SideAnatomy& side) {
  using enum Level;
  return {{"isthmus_height", side.isthmus_height_mm, C2, C2, "isthmus_height"},
          {"internal_height", side.internal_height_mm, C2, C2, "internal_height"},
          {"pedicle_width", side.pedicle_width_mm, C0, T3, "pedicle_width"},
          {"lamina_thickness", side.lamina_thickness_mm, C0, T3, "lamina_thickness"},
          {"lamina_height", side.lamina_height_mm, C0, T3, "lamina_height"},
          {.word = "lateral_mass_width",
           .mm = side.lateral_mass_width_mm,
           .first = C1,
           .last = C7,
           .id = "lateral_mass_width",
           .but_not = C2},
          {"lateral_mass_depth", side.lateral_mass_depth_mm, C1, C1, "lateral_mass_depth"},
          {"lateral_mass_height", side.lateral_mass_height_mm, C3, C7, "lateral_mass_height"},
          {"arch_height", side.arch_height_mm, C1, C1, "posterior_arch_height"}};
}

std::vector<Size> sizes_of(const LevelAnatomy& level) {
  using enum Level;
  constexpr double kWidestCanal_mm = 40.0;
  return {{"canal", level.canal_mm, C1, T3, "canal", kWidestCanal_mm},
          {"keel_upper", level.keel_upper_mm, C0, C0, "keel_thickness_protuberance"},
          {"keel_middle", level.keel_middle_mm, C0, C0, "keel_thickness_midline"},
          {"keel_lower", level.keel_lower_mm, C0, C0, "keel_thickness_lower"}};
}

std::string levels_told(const Size& size) {
  const std::string first(name(size.first));
  if (size.first == size.last) return first + " only";
  const std::string span = first + " to " + std::string(name(size.last));
  return size.but_not ? span + " but not " + std::string(name(*size.but_not)) : span + " only";
}

/// A size far outside anatomy is a slip of the hand or of the unit.
void within(Rules& rules, const Size& size, Level level, const std::string& path, const std::string& where) {
  constexpr double kTimesGeneric = 3.0;      // no part is three times the generic adult's: a choice of this project,
  constexpr double kRoomAboveGeneric = 1.5;  // but the generic adult's own largest part, 19.7 mm, needs room for its SD
  const std::optional<double> generic_mm = rules.number("anatomy." + std::string(name(level)) + "." + std::string(size.id));
  const double most_mm =
      generic_mm ? std::min(kTimesGeneric * *generic_mm, std::max(size.largest_mm, kRoomAboveGeneric * *generic_mm))
                 : size.largest_mm;
  if (*size.mm <= most_mm) return;
  const Unit& mm = internal_unit(Dimension::length);
  rules.add(FindingCode::out_of_range, path + "@" + std::string(size.word), attribute(where, size.word),
            rounded_quantity(*size.mm, mm),
            "at most " + rounded_quantity(most_mm, mm) +
                (generic_mm ? " (the generic adult has " + rounded_quantity(*generic_mm, mm) + ")" : std::string()));
}

void check_sizes(Rules& rules, const std::vector<Size>& sizes, Level level, const std::string& path,
                 const std::string& where) {
  for (const Size& size : sizes) {
    if (!size.mm) continue;
    within(rules, size, level, path, where);
    if (size.at(level)) continue;
    rules.add(FindingCode::attribute_not_here, path + "@" + std::string(size.word), where, size.word,
              "this size at " + levels_told(size));
  }
}

void check_levels(Rules& rules) {
  std::set<Level> seen;
  for (std::size_t i = 0; i < rules.neck.anatomy.size(); ++i) {
    const LevelAnatomy& at = rules.neck.anatomy[i];
    const std::string path = indexed("neck/level", i);
    const std::string where = quoted("level", name(at.level));
    if (!rules.trusted(path + "@name")) continue;
    rules.in_neck(at.level, path + "@name", where);
    if (!seen.insert(at.level).second)
      rules.add(FindingCode::duplicate_name, path + "@name", where, name(at.level), "each level once");
    check_sizes(rules, sizes_of(at), at.level, path, where);
    for (const Side side : {Side::left, Side::right}) {
      const std::string side_path = path + "/" + std::string(name(side));
      const std::string side_where = where + ", " + std::string(name(side));
      check_sizes(rules, sizes_of(at.on(side)), at.level, side_path, side_where);
      if (at.on(side).bony_bridge && at.level != Level::C1)
        rules.add(FindingCode::attribute_not_here, side_path + "@bony_bridge", side_where, "bony_bridge",
                  "this at C1 only, where bone may roof the artery's groove");
    }
  }
}

/// What is reduced has the sign of the slip and is no more than it.
void check_reduction(Rules& rules, const JointCondition& joint, const std::string& path, const std::string& where) {
  const double least = std::min(0.0, joint.slip_mm);
  const double most = std::max(0.0, joint.slip_mm);
  const bool possible = joint.reduced_mm >= least && joint.reduced_mm <= most;
  if (possible || !rules.trusted(path + "@slip") || !rules.trusted(path + "@reduced")) return;
  const Unit& mm = internal_unit(Dimension::length);
  rules.add(FindingCode::out_of_range, path + "@reduced", attribute(where, "reduced"),
            rounded_quantity(joint.reduced_mm, mm),
            joint.slip_mm == 0.0
                ? std::string("a slip beside it: what has not slipped cannot be reduced")
                : "a part of the slip, from " + rounded_quantity(least, mm) + " to " + rounded_quantity(most, mm));
}

void check_joints(Rules& rules) {
  std::set<JointId> seen;
  for (std::size_t i = 0; i < rules.neck.joints.size(); ++i) {
    const JointCondition& joint = rules.neck.joints[i];
    const std::string path = indexed("neck/joint", i);
    if (!rules.trusted(path + "@name")) continue;
    const std::string where = quoted("joint", name(joint.joint));
    rules.in_neck(joint.joint, path + "@name", where);
    if (!seen.insert(joint.joint).second)
      rules.add(FindingCode::duplicate_name, path + "@name", where, name(joint.joint), "each joint once");
    check_reduction(rules, joint, path, where);
  }
}

}  // namespace

void check_neck(Rules& rules) {
  const Neck& neck = rules.neck;
  if (rules.neck_trusted() && neck.upper > neck.lower)
    rules.add(FindingCode::level_order, "neck@lower", "neck, attribute 'lower'", name(neck.lower),
              "a level at or below " + std::string(name(neck.upper)));
  const bool bends_at_c0 = neck.upper == Level::C0 && neck.lower > Level::C0;
  if (neck.head_flexion_rad != 0.0 && rules.neck_trusted() && !bends_at_c0)
    rules.add(FindingCode::attribute_not_here, "neck@head_flexion", "neck", "head_flexion",
              "this in a neck with C0 and C1, between which the head flexes");
  check_levels(rules);
  check_joints(rules);
}

}  // namespace opisthion::models
