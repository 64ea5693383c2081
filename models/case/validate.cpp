// SPDX-License-Identifier: MIT
#include "models/case/validate.hpp"

#include <algorithm>
#include <cctype>
#include <cmath>
#include <limits>
#include <map>
#include <set>
#include <tuple>
#include <variant>

#include "models/library/library_unit.hpp"
#include "models/quantity/units.hpp"
#include "models/xml/findings.hpp"
#include "models/xml/nearest.hpp"
#include "models/xml/quantity.hpp"
#include "models/xml/words.hpp"

namespace opisthion::models {

namespace {

/// Joints down to C2-C3 are modelled so far.
constexpr Level kLowestModelled = Level::C3;

std::string indexed(std::string_view what, std::size_t i) {
  return std::string(what) + "[" + std::to_string(i) + "]";
}
std::string quoted(std::string_view what, std::string_view item) {
  return std::string(what) + " '" + std::string(item) + "'";
}
std::string attribute(const std::string& where, std::string_view name) {
  return where + ", attribute '" + std::string(name) + "'";
}

struct Seat {
  AnchorKind kind;
  Level entry;
  Level highest;  ///< highest level the anchor grips
};
constexpr Seat kSeats[] = {{AnchorKind::lateral_mass, Level::C1, Level::C1},
                           {AnchorKind::pars, Level::C2, Level::C2},
                           {AnchorKind::pedicle, Level::C2, Level::C2},
                           {AnchorKind::laminar, Level::C2, Level::C2},
                           {AnchorKind::transarticular, Level::C2, Level::C1}};

const Seat& seat_of(AnchorKind kind) {
  for (const Seat& seat : kSeats)
    if (seat.kind == kind) return seat;
  return kSeats[0];
}

/// What a library number may be set to at the very most: far beyond its spread, but short of what no model can answer.
struct Limits {
  double lowest;
  double highest;
};

/// The limit that a message states is the limit that holds: rounded to its digits.
double as_written(double limit, const Unit& unit) {
  const auto parsed = parse_quantity(rounded_quantity(limit, unit));
  const auto* quantity = std::get_if<Quantity>(&parsed);
  return quantity == nullptr ? limit : quantity->value;
}

/// From a hundredth of the low end to 100 times the high one, 10 000 times where the spread runs over decades; a number
/// without a range is taken for its own range. What is positive in the library stays positive, a share stays within 1. The
/// factors are choices of this project.
Limits limits_of(const Parameter& parameter, const Unit& unit) {
  constexpr double kFactor = 100.0;
  constexpr double kFactorOverDecades = 1e4;
  const double low = parameter.low.value_or(parameter.values[0]);
  const double high = parameter.high.value_or(parameter.values[0]);
  const auto says = [&](std::string_view word) { return parameter.spread.find(word) != std::string::npos; };
  const double factor = says("log-uniform") || says("rigid") ? kFactorOverDecades : kFactor;
  Limits out{low > 0.0 ? low / kFactor : low * factor, high < 0.0 ? high / kFactor : high * factor};
  if (low == 0.0 && high == 0.0) out = {-std::numeric_limits<double>::max(), std::numeric_limits<double>::max()};
  if (unit.word == "1" && high <= 1.0) out.highest = std::min(out.highest, 1.0);
  // Lateral strain of an isotropic elastic body: its volume would grow under pressure beyond 1/2.
  constexpr double kLargestPoisson = 0.5;
  constexpr std::string_view kPoisson = "poisson";
  if (parameter.id.size() > kPoisson.size() && parameter.id.substr(parameter.id.size() - kPoisson.size()) == kPoisson)
    out.highest = std::min(out.highest, kLargestPoisson);
  if (unit.dimension == Dimension::angle) {
    out.lowest = std::max(out.lowest, to_rad(-180.0));
    out.highest = std::min(out.highest, to_rad(180.0));
  }
  return {as_written(out.lowest, unit), as_written(out.highest, unit)};
}

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

/// Anchors that pass close to the vertebral artery's groove in C2.
bool near_artery(const Anchor& anchor) {
  return anchor.level == Level::C2 && (anchor.kind == AnchorKind::pars || anchor.kind == AnchorKind::pedicle ||
                                       anchor.kind == AnchorKind::transarticular);
}

class Rules {
 public:
  Rules(const Case& the_case, const ParameterTable& parameters, const Places& places)
      : case_(the_case),
        neck_(the_case.neck),
        parameters_(parameters),
        places_(places),
        left_artery_(neck_.anatomy_at(Level::C2, Side::left).artery),
        right_artery_(neck_.anatomy_at(Level::C2, Side::right).artery) {}

  std::vector<Finding> run() {
    neck();
    bench();
    changes();
    constructs();
    arteries();
    return findings_.sorted();
  }

 private:
  void add(FindingCode code, const std::string& path, std::string where, std::string_view found, std::string_view expected,
           std::string nearest = {}, Severity severity = Severity::error) {
    const Place place = places_.at(path);
    Finding out{code,
                severity,
                place.offset,
                place.length,
                std::move(where),
                std::string(found),
                std::string(expected),
                std::move(nearest)};
    findings_.add(std::move(out));
  }

  bool trusted(const std::string& path) const { return places_.trusted(path); }
  Artery artery_at_c2(Side side) const { return side == Side::left ? left_artery_ : right_artery_; }
  bool neck_trusted() const { return trusted("neck@upper") && trusted("neck@lower"); }
  std::string neck_span() const {
    return "from " + std::string(name(neck_.upper)) + " to " + std::string(name(neck_.lower));
  }

  /// The level must be in the neck; nothing is said where either could not be read.
  bool in_neck(Level level, const std::string& path, const std::string& where) {
    if (!trusted(path) || !neck_trusted() || neck_.upper > neck_.lower) return false;
    if (neck_.contains(level)) return true;
    add(FindingCode::level_outside_neck, path, where, name(level), "a level of the neck, " + neck_span());
    return false;
  }

  void neck() {
    if (neck_trusted()) {
      if (neck_.upper > neck_.lower)
        add(FindingCode::level_order, "neck@lower", "neck, attribute 'lower'", name(neck_.lower),
            "a level at or below " + std::string(name(neck_.upper)));
      else if (neck_.lower > kLowestModelled && neck_.upper < neck_.lower)
        not_modelled();
    }
    levels();
    joints();
    instabilities();
  }

  void not_modelled() {
    std::vector<std::string> names;
    for (const JointId joint : neck_.joint_ids())
      if (joint.lower > kLowestModelled) names.push_back(name(joint));
    std::string found;
    for (std::size_t i = 0; i < names.size(); ++i)
      found += (i == 0 ? "" : i + 1 == names.size() ? " and " : ", ") + names[i];
    add(FindingCode::not_modelled_yet, "neck@lower", "neck", found,
        "levels down to C3: joints C0-C1, C1-C2 and C2-C3 are modelled so far");
  }

  void levels() {
    std::set<Level> seen;
    for (std::size_t i = 0; i < neck_.anatomy.size(); ++i) {
      const LevelAnatomy& at = neck_.anatomy[i];
      const std::string path = indexed("neck/level", i);
      const std::string where = quoted("level", name(at.level));
      if (!trusted(path + "@name")) continue;
      in_neck(at.level, path + "@name", where);
      if (!seen.insert(at.level).second)
        add(FindingCode::duplicate_name, path + "@name", where, name(at.level), "each level once");
      for (const Side side : {Side::left, Side::right}) {
        const SideAnatomy& anatomy = at.on(side);
        const auto only_at = [&](const std::optional<double>& size, std::string_view size_name, Level level) {
          if (!size || at.level == level) return;
          const std::string side_path = path + "/" + std::string(name(side)) + "@" + std::string(size_name);
          add(FindingCode::unknown_attribute, side_path, where + ", " + std::string(name(side)), size_name,
              "this size at " + std::string(name(level)) + " only");
        };
        sizes(anatomy, at.level, path + "/" + std::string(name(side)), where + ", " + std::string(name(side)));
        only_at(anatomy.isthmus_height_mm, "isthmus_height", Level::C2);
        only_at(anatomy.internal_height_mm, "internal_height", Level::C2);
        only_at(anatomy.lateral_mass_width_mm, "lateral_mass_width", Level::C1);
        only_at(anatomy.lateral_mass_depth_mm, "lateral_mass_depth", Level::C1);
      }
    }
  }

  /// A size far outside anatomy is a slip of the hand or of the unit.
  void sizes(const SideAnatomy& anatomy, Level level, const std::string& path, const std::string& where) {
    const auto within = [&](const std::optional<double>& size_mm, std::string_view size_name) {
      if (!size_mm) return;
      constexpr double kLargest_mm = 25.0;       // no such part of a neck's bone is larger ...
      constexpr double kTimesGeneric = 3.0;      // ... or three times the generic adult's; choices of this project
      constexpr double kRoomAboveGeneric = 1.5;  // but the generic adult's own largest part, 19.7 mm, needs room for its SD
      const std::string id = "anatomy." + std::string(name(level)) + "." + std::string(size_name);
      const Parameter* generic = parameters_.find(id);
      const bool known = generic != nullptr && generic->values.size() == 1;
      const double generic_mm = known ? generic->values[0] : kLargest_mm;
      const double most_mm =
          known ? std::min(kTimesGeneric * generic_mm, std::max(kLargest_mm, kRoomAboveGeneric * generic_mm)) : kLargest_mm;
      if (*size_mm <= most_mm) return;
      const Unit& mm = internal_unit(Dimension::length);
      add(FindingCode::out_of_range, path + "@" + std::string(size_name), attribute(where, size_name),
          rounded_quantity(*size_mm, mm),
          "at most " + rounded_quantity(most_mm, mm) +
              (known ? " (the generic adult has " + rounded_quantity(generic_mm, mm) + ")" : std::string()));
    };
    within(anatomy.isthmus_height_mm, "isthmus_height");
    within(anatomy.internal_height_mm, "internal_height");
    within(anatomy.pedicle_width_mm, "pedicle_width");
    within(anatomy.lamina_thickness_mm, "lamina_thickness");
    within(anatomy.lamina_height_mm, "lamina_height");
    within(anatomy.lateral_mass_width_mm, "lateral_mass_width");
    within(anatomy.lateral_mass_depth_mm, "lateral_mass_depth");
  }

  void joints() {
    std::set<JointId> seen;
    for (std::size_t i = 0; i < neck_.joints.size(); ++i) {
      const JointId joint = neck_.joints[i].joint;
      const std::string path = indexed("neck/joint", i) + "@name";
      if (!trusted(path)) continue;
      const std::string where = quoted("joint", name(joint));
      if (in_neck(joint.upper, path, where)) in_neck(joint.lower, path, where);
      if (!seen.insert(joint).second) add(FindingCode::duplicate_name, path, where, name(joint), "each joint once");
    }
  }

  void instabilities() {
    std::set<Instability> seen;
    for (std::size_t i = 0; i < neck_.instabilities.size(); ++i) {
      const Instability kind = neck_.instabilities[i];
      const std::string path = indexed("neck/instability", i) + "@kind";
      if (!trusted(path)) continue;
      const std::string where = quoted("instability", xml::word(kind));
      if (in_neck(Level::C1, path, where)) in_neck(Level::C2, path, where);
      if (!seen.insert(kind).second) add(FindingCode::duplicate_name, path, where, xml::word(kind), "each instability once");
    }
  }

  void bench() {
    const Bench& bench = case_.bench;
    if (bench.top) in_neck(*bench.top, "bench@top", "bench, attribute 'top'");
    in_neck(bench.bottom, "bench@bottom", "bench, attribute 'bottom'");
    if (bench.top && trusted("bench@top") && trusted("bench@bottom") && *bench.top >= bench.bottom)
      add(FindingCode::level_order, "bench@top", "bench, attribute 'top'", name(*bench.top),
          "a level above the bottom, " + std::string(name(bench.bottom)));
    if (trusted("bench") && trusted("bench@top") && !bench.top && bench.shear.empty() && bench.axial.empty() &&
        bench.heads.empty())
      add(FindingCode::no_load, "bench", "bench", "",
          "a load: attribute 'top' (then the moments are run), shear, axial or head_load");
    std::set<Level> sheared;
    for (std::size_t i = 0; i < bench.shear.size(); ++i) {
      const std::string path = indexed("bench/shear", i) + "@level";
      loaded_level(bench.shear[i].level, path, "bench, shear");
      if (trusted(path) && !sheared.insert(bench.shear[i].level).second)
        add(FindingCode::duplicate_name, path, "bench, shear", name(bench.shear[i].level), "one shear load a level");
    }
    std::set<std::pair<Level, AxialLine>> pressed;
    for (std::size_t i = 0; i < bench.axial.size(); ++i) {
      const AxialLoad& axial = bench.axial[i];
      const std::string path = indexed("bench/axial", i);
      loaded_level(axial.level, path + "@level", "bench, axial");
      if (trusted(path + "@level") && trusted(path + "@line") && !pressed.insert({axial.level, axial.line}).second)
        add(FindingCode::duplicate_name, path + "@level", "bench, axial",
            std::string(name(axial.level)) + " along " + std::string(xml::word(axial.line)),
            "one axial load a level and line");
    }
    head_loads();
  }

  void loaded_level(Level level, const std::string& path, const std::string& where) {
    if (!in_neck(level, path, attribute(where, "level")) || !trusted("bench@bottom")) return;
    if (level >= case_.bench.bottom)
      add(FindingCode::level_order, path, attribute(where, "level"), name(level),
          "a level above the bottom, " + std::string(name(case_.bench.bottom)) + ", which is held");
  }

  void head_loads() {
    std::set<std::string_view> known;
    bool all_read = true;
    for (std::size_t c = 0; c < case_.constructs.size(); ++c)
      for (std::size_t i = 0; i < case_.constructs[c].anchors.size(); ++i) {
        known.insert(case_.constructs[c].anchors[i].name);
        all_read = all_read && trusted(indexed("construct", c) + "/" + indexed("anchor", i) + "@name");
      }
    std::set<std::string_view> seen;
    for (std::size_t i = 0; i < case_.bench.heads.size(); ++i) {
      const HeadLoad& load = case_.bench.heads[i];
      const std::string path = indexed("bench/head_load", i);
      const std::string where = quoted("head_load", load.name);
      once(load.name, path + "@name", where, "head load", seen);
      if (trusted(path + "@anchor") && all_read && known.count(load.anchor) == 0)
        add(FindingCode::unknown_name, path + "@anchor", attribute(where, "anchor"), load.anchor,
            "an anchor of one of the constructs", near(load.anchor, known));
    }
  }

  std::string near(std::string_view name, const std::set<std::string_view>& known) const {
    return findings_.full() ? std::string() : nearest_word(name, {known.begin(), known.end()});
  }

  /// A name may be taken once; says nothing where it could not be read.
  void once(std::string_view name, const std::string& path, const std::string& where, std::string_view what,
            std::set<std::string_view>& seen) {
    if (!trusted(path) || seen.insert(name).second) return;
    add(FindingCode::duplicate_name, path, where, name, "each " + std::string(what) + " with a name of its own");
  }

  void changes() {
    std::set<std::string_view> seen;
    for (std::size_t i = 0; i < case_.changes.size(); ++i) {
      const ParameterChange& change = case_.changes[i];
      const std::string path = indexed("set", i);
      if (!trusted(path + "@number")) continue;
      const std::string where = quoted("set", change.id);
      const Parameter* parameter = parameters_.find(change.id);
      if (parameter == nullptr || parameter->values.size() != 1) {
        const std::string nearest =
            parameter == nullptr && !findings_.full() ? parameters_.nearest(change.id) : std::string();
        add(FindingCode::unknown_parameter, path + "@number", attribute(where, "number"), change.id,
            parameter == nullptr ? "the id of a library number"
                                 : "the id of a single number (this one is a point or a curve)",
            nearest);
        continue;
      }
      if (!seen.insert(change.id).second)
        add(FindingCode::duplicate_name, path + "@number", where, change.id, "each number set once");
      if (!trusted(path + "@value")) continue;
      setting(change, *parameter, path + "@value", attribute(where, "value"));
    }
  }

  void setting(const ParameterChange& change, const Parameter& parameter, const std::string& path,
               const std::string& where) {
    const Unit* library_unit = find_library_unit(parameter.unit);
    const Unit& unit = library_unit == nullptr ? internal_unit(Dimension::none) : *library_unit;
    const Limits limits = limits_of(parameter, unit);
    std::string spread;
    if (parameter.low && parameter.high)
      spread = rounded_quantity(*parameter.low, unit) + " to " + rounded_quantity(*parameter.high, unit);
    const bool possible = change.value >= limits.lowest && change.value <= limits.highest;
    if (!possible) {
      const std::string near = spread.empty() ? "the library has " + rounded_quantity(parameter.values[0], unit)
                                              : "the library's spread is " + spread;
      add(FindingCode::out_of_range, path, where, change.text,
          "a value from " + rounded_quantity(limits.lowest, unit) + " to " + rounded_quantity(limits.highest, unit) + " (" +
              near + ")");
      return;
    }
    const bool low = parameter.low && change.value < *parameter.low;
    const bool high = parameter.high && change.value > *parameter.high;
    if (!low && !high) return;
    if (spread.empty())
      spread = parameter.low ? "at least " + rounded_quantity(*parameter.low, unit)
                             : "at most " + rounded_quantity(*parameter.high, unit);
    add(FindingCode::out_of_range, path, where, change.text,
        "a value inside the library's spread, " + spread + " (" + parameter.spread + ")", {}, Severity::warning);
  }

  void constructs() {
    if (case_.constructs.empty() && trusted("case"))
      add(FindingCode::missing_element, "case", "case", "", "an element <construct> (an empty one is the neck alone)");
    std::set<std::string_view> seen;
    for (std::size_t i = 0; i < case_.constructs.size(); ++i) {
      const Construct& construct = case_.constructs[i];
      const std::string path = indexed("construct", i);
      once(construct.name, path + "@name", quoted("construct", construct.name), "construct", seen);
      anchors(construct, path);
      rods(construct, path);
    }
  }

  void anchors(const Construct& construct, const std::string& construct_path) {
    std::set<std::string_view> seen;
    std::map<std::tuple<AnchorKind, Level, Side>, std::string_view> placed;
    for (std::size_t i = 0; i < construct.anchors.size(); ++i) {
      const Anchor& anchor = construct.anchors[i];
      const std::string path = construct_path + "/" + indexed("anchor", i);
      const std::string where = quoted("anchor", anchor.name);
      once(anchor.name, path + "@name", where, "anchor of a construct", seen);
      named_side(anchor, path, where);
      if (!trusted(path + "@level")) misplaced_.insert(&anchor);
      if (!trusted(path + "@kind") || !trusted(path + "@level")) continue;
      const Seat& seat = seat_of(anchor.kind);
      if (anchor.level != seat.entry) {
        misplaced_.insert(&anchor);
        add(FindingCode::anchor_not_allowed, path + "@level", attribute(where, "level"), name(anchor.level),
            std::string(name(seat.entry)) + ", the only level for a " + std::string(xml::word(anchor.kind)) +
                " anchor so far");
        continue;
      }
      if (in_neck(anchor.level, path + "@level", attribute(where, "level")) && seat.highest != anchor.level &&
          !neck_.contains(seat.highest))
        add(FindingCode::level_outside_neck, path + "@level", where, neck_span(),
            "a neck with " + std::string(name(seat.highest)) + ", where this anchor ends");
      if (!trusted(path + "@side")) continue;
      const auto [first, is_new] = placed.try_emplace({anchor.kind, anchor.level, anchor.side}, anchor.name);
      if (!is_new)
        add(FindingCode::duplicate_anchor, path, where,
            std::string(xml::word(anchor.kind)) + " anchor on the " + std::string(name(anchor.side)) + " of " +
                std::string(name(anchor.level)) + " like '" + std::string(first->second) + "'",
            "one anchor of a kind at each level and side");
      if (near_artery(anchor) && trusted("neck/level") && artery_at_c2(anchor.side) == Artery::not_checked) {
        Passing& passing = passing_.try_emplace({anchor.level, anchor.side}, Passing{path, anchor.name, 0}).first->second;
        ++passing.count;
      }
    }
  }

  void named_side(const Anchor& anchor, const std::string& path, const std::string& where) {
    if (!trusted(path + "@name") || !trusted(path + "@side")) return;
    const std::optional<Side> named = side_in_name(anchor.name);
    if (!named || *named == anchor.side) return;
    add(FindingCode::side_differs, path + "@side", where,
        "its name says " + std::string(name(*named)) + ", its side is " + std::string(name(anchor.side)), "", {},
        Severity::warning);
  }

  /// One warning for all anchors of the case that pass the same artery.
  void arteries() {
    for (const auto& [place, passing] : passing_) {
      std::string found = "the " + std::string(name(place.second)) + " artery at " + std::string(name(place.first)) +
                          " is not checked; anchors that pass it: '" + passing.first_name + "'";
      if (passing.count > 1) found += " (and " + std::to_string(passing.count - 1) + " more)";
      add(FindingCode::artery_not_checked, passing.first_path, "neck", found, "", {}, Severity::warning);
    }
  }

  void rods(const Construct& construct, const std::string& construct_path) {
    std::map<std::string_view, const Anchor*> known;
    std::set<std::string_view> known_names;
    bool anchors_read = true;
    for (std::size_t i = 0; i < construct.anchors.size(); ++i) {
      const std::string path = construct_path + "/" + indexed("anchor", i);
      anchors_read = anchors_read && trusted(path + "@name");
      known.emplace(construct.anchors[i].name, &construct.anchors[i]);
      known_names.insert(construct.anchors[i].name);
    }
    std::set<std::string_view> seen;
    std::map<std::string_view, std::string_view> held_by;  // anchor, rod
    bool rods_read = true;
    for (std::size_t i = 0; i < construct.rods.size(); ++i) {
      const Rod& rod = construct.rods[i];
      const std::string path = construct_path + "/" + indexed("rod", i);
      const std::string where = quoted("rod", rod.name);
      once(rod.name, path + "@name", where, "rod of a construct", seen);
      std::vector<const Anchor*> heads;
      bool whole = anchors_read;
      for (std::size_t k = 0; k < rod.through.size(); ++k) {
        const std::string through_path = path + "/" + indexed("through", k) + "@anchor";
        const std::string& anchor_name = rod.through[k];
        const auto found = known.find(anchor_name);
        if (!trusted(through_path) || found == known.end()) {
          whole = false;
          if (trusted(through_path) && anchors_read)
            add(FindingCode::unknown_name, through_path, where + ", through", anchor_name, "an anchor of this construct",
                near(anchor_name, known_names));
          continue;
        }
        heads.push_back(found->second);
        if (misplaced_.count(found->second) > 0) whole = false;
        const auto [holder, is_new] = held_by.try_emplace(anchor_name, rod.name);
        if (!is_new) {
          whole = false;
          add(FindingCode::locks_coincide, through_path, where + ", through",
              "'" + anchor_name + "' again, which rod '" + std::string(holder->second) + "' goes through",
              "each anchor head on one rod, once");
        }
      }
      if (whole) whole = rod_span(heads, path, where);
      rods_read = rods_read && whole;
    }
    if (anchors_read && rods_read) unused_anchors(construct, construct_path, held_by);
  }

  /// False when the rod is too short: then what it leaves alone is not to blame.
  bool rod_span(const std::vector<const Anchor*>& heads, const std::string& path, const std::string& where) {
    if (heads.size() < 2) {
      add(FindingCode::rod_too_short, path, where, std::to_string(heads.size()), "two anchors or more to go through");
      return false;
    }
    bool two_levels = false;
    for (std::size_t k = 1; k < heads.size(); ++k) {
      two_levels = two_levels || heads[k]->level != heads[0]->level;
      if (heads[k]->level < heads[k - 1]->level)
        add(FindingCode::rod_order, path + "/" + indexed("through", k) + "@anchor", where + ", through",
            "'" + heads[k]->name + "' at " + std::string(name(heads[k]->level)) + " after '" + heads[k - 1]->name + "' at " +
                std::string(name(heads[k - 1]->level)),
            "anchors from above to below");
    }
    if (!two_levels)
      add(FindingCode::rod_too_short, path, where, std::string(name(heads[0]->level)) + " only",
          "anchors of two levels or more");
    return two_levels;
  }

  void unused_anchors(const Construct& construct, const std::string& construct_path,
                      const std::map<std::string_view, std::string_view>& held_by) {
    std::set<std::string_view> loaded;
    for (const HeadLoad& load : case_.bench.heads) loaded.insert(load.anchor);
    for (std::size_t i = 0; i < construct.anchors.size(); ++i) {
      const Anchor& anchor = construct.anchors[i];
      const std::string path = construct_path + "/" + indexed("anchor", i);
      if (!trusted(path + "@kind") || anchor.kind == AnchorKind::transarticular) continue;
      if (held_by.count(anchor.name) > 0 || loaded.count(anchor.name) > 0) continue;
      add(FindingCode::unused_anchor, path, quoted("anchor", anchor.name), "",
          "a rod through it (only a transarticular anchor, or one with a head_load, stands alone)");
    }
  }

  const Case& case_;
  const Neck& neck_;
  const ParameterTable& parameters_;
  const Places& places_;
  std::set<const Anchor*> misplaced_{};  ///< their level is wrong or unread: rods say nothing about it
  /// Anchors that pass an artery nobody looked at.
  struct Passing {
    std::string first_path;
    std::string first_name;
    std::size_t count = 0;
  };
  std::map<std::pair<Level, Side>, Passing> passing_{};
  Artery left_artery_;
  Artery right_artery_;
  Findings findings_{};
};

}  // namespace

std::vector<Finding> validate(const Case& the_case, const ParameterTable& parameters, const Places& places) {
  return Rules(the_case, parameters, places).run();
}

}  // namespace opisthion::models
