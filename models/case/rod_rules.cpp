// SPDX-License-Identifier: MIT
// The way of a rod: how far, in which order, on which side.
#include <algorithm>
#include <map>

#include "models/case/rod_stops.hpp"
#include "models/case/rod_warnings.hpp"

namespace opisthion::models {

namespace {

constexpr std::size_t kStopsOfClosed = 4;  ///< two on either side

int sign_of(int value) {
  return value > 0 ? 1 : value < 0 ? -1 : 0;
}

class RodRules {
 public:
  explicit RodRules(ConstructParts& parts) : parts_(parts), rules_(parts.rules) {}

  void check() {
    const std::vector<Rod>& rods = parts_.construct.rods;
    std::vector<RodStops> all;
    for (std::size_t i = 0; i < rods.size(); ++i) {
      const std::string path = parts_.at("rod", i);
      RodStops followed = follow_stops(parts_, rods[i], path);
      if (rods[i].bending == Bending::bench_bent)
        rules_.add(FindingCode::bench_bent, path + "@bending", quoted("rod", rods[i].name),
                   "bending it over a pin notches it, and it breaks sooner than one that comes bent", "", {},
                   Severity::note);
      followed.whole = followed.whole && way(rods[i], followed.stops, path);
      parts_.whole = parts_.whole && followed.whole;
      all.push_back(std::move(followed));
    }
    // What leans on other rods comes when the way of each is known.
    for (std::size_t i = 0; i < rods.size(); ++i) {
      connectors(rods[i], all[i].stops);
      taper(rods[i], parts_.at("rod", i));
      if (all[i].whole) warn_of_rod(parts_, rods[i], all[i].stops, parts_.at("rod", i));
    }
  }

 private:
  /// False when the rod is too short: then what it leaves alone is not to blame.
  bool way(const Rod& rod, const std::vector<RodStop>& stops, const std::string& path) {
    const std::string where = quoted("rod", rod.name);
    if (stops.size() < 2) {
      rules_.add(FindingCode::rod_too_short, path, where, std::to_string(stops.size()), "two anchors or more to go through");
      return false;
    }
    if (rod.closed && stops.size() < kStopsOfClosed) {
      rules_.add(FindingCode::rod_too_short, path, where, std::to_string(stops.size()),
                 "four stops or more for a closed loop");
      return false;
    }
    const auto [highest, lowest] = std::minmax_element(
        stops.begin(), stops.end(), [](const RodStop& a, const RodStop& b) { return a.half_level < b.half_level; });
    if (highest->half_level == lowest->half_level) {
      rules_.add(FindingCode::rod_too_short, path, where, highest->at + " only", "anchors of two levels or more");
      return false;
    }
    RodSpan span{.upper = highest->half_level, .lower = lowest->half_level};
    for (const RodStop& stop : stops)
      if (!span.side) span.side = stop.side;
    parts_.spans.try_emplace(rod.name, span);
    const bool crosses =
        std::any_of(stops.begin(), stops.end(), [&](const RodStop& stop) { return stop.side && stop.side != span.side; });
    arms(stops, where + ", through");
    const bool may_cross = rod.closed || rod.bending == Bending::pre_bent;
    if (rod.closed && !crosses && span.side)
      rules_.add(FindingCode::rod_order, path, where, "stops on the " + std::string(name(*span.side)) + " alone",
                 "a closed loop up one side and down the other");
    else if (crosses && may_cross)
      loop(stops, where + ", through");
    else if (crosses)
      one_side(stops, span, where + ", through");
    else
      downwards(stops, where + ", through");
    return true;
  }

  void downwards(const std::vector<RodStop>& stops, const std::string& where) {
    for (std::size_t k = 1; k < stops.size(); ++k)
      if (stops[k].half_level < stops[k - 1].half_level) wrong_order(stops, k, where, "anchors from above to below");
  }

  void wrong_order(const std::vector<RodStop>& stops, std::size_t k, const std::string& where, std::string_view expected) {
    rules_.add(FindingCode::rod_order, stops[k].path, where,
               stops[k].called + " at " + stops[k].at + " after " + stops[k - 1].called + " at " + stops[k - 1].at,
               expected);
  }

  void one_side(const std::vector<RodStop>& stops, const RodSpan& span, const std::string& where) {
    const auto first = std::find_if(stops.begin(), stops.end(), [](const RodStop& stop) { return stop.side.has_value(); });
    for (const RodStop& stop : stops) {
      if (!stop.side || stop.side == span.side) continue;
      rules_.add(FindingCode::sides_mixed, stop.path, where,
                 stop.called + " on the " + std::string(name(*stop.side)) + " beside " + first->called + " on the " +
                     std::string(name(*span.side)),
                 "stops on one side (a rod that is pre-bent or closed may cross)");
      return;
    }
  }

  /// Up one side and down the other, or the other way round.
  void loop(const std::vector<RodStop>& stops, const std::string& where) {
    int crossings = 0;
    int going = 0;
    std::optional<Side> side;
    for (std::size_t k = 0; k < stops.size(); ++k) {
      const bool over = side && stops[k].side && stops[k].side != side;
      if (stops[k].side) side = stops[k].side;
      if (over) {
        ++crossings;
        going = -going;
      }
      const int step = k == 0 || over ? 0 : sign_of(stops[k].half_level - stops[k - 1].half_level);
      if (going == 0) going = step;
      if (crossings > 1 || step == -going) {
        if (crossings <= 1 && step == 0) continue;
        wrong_order(stops, k, where, "a loop up one side and down the other");
        return;
      }
    }
  }

  /// One rod on each arm of a plate.
  void arms(const std::vector<RodStop>& stops, const std::string& where) {
    std::optional<Side> side;
    for (const RodStop& stop : stops)
      if (!side) side = stop.side;
    for (const RodStop& stop : stops) {
      if (stop.side) side = stop.side;
      if (stop.anchor != nullptr || stop.other != nullptr || !side) continue;
      if (!taken_.insert({stop.called, *side}).second)
        rules_.add(FindingCode::locks_coincide, stop.path, where, stop.called + " again on the " + std::string(name(*side)),
                   "each arm of a plate on one rod, once");
    }
  }

  void connectors(const Rod& rod, const std::vector<RodStop>& stops) {
    const std::string where = quoted("rod", rod.name) + ", through";
    const auto own = parts_.spans.find(rod.name);
    for (const RodStop& stop : stops) {
      if (stop.other == nullptr) continue;
      const auto other = parts_.spans.find(stop.other->name);
      if (other == parts_.spans.end()) continue;
      const auto upper = static_cast<Level>(stop.half_level / 2);
      const JointId joint{upper, static_cast<Level>(stop.half_level / 2 + 1)};
      if (!other->second.passes(joint))
        rules_.add(FindingCode::rod_not_there, stop.path, where, "rod '" + stop.other->name + "' " + other->second.told(),
                   "a rod that passes " + name(joint));
      else if (own != parts_.spans.end() && own->second.side && other->second.side && !loops(*stop.other) && !loops(rod) &&
               own->second.side != other->second.side)
        rules_.add(FindingCode::sides_mixed, stop.path, where,
                   "rod '" + stop.other->name + "' on the " + std::string(name(*other->second.side)),
                   "a connector to a rod of the same side (a cross_link goes across)");
    }
  }

  static bool loops(const Rod& rod) { return rod.closed || rod.bending == Bending::pre_bent; }

  void taper(const Rod& rod, const std::string& path) {
    const std::string where = quoted("rod", rod.name);
    if (!rules_.trusted(path + "@lower_diameter") || !rules_.trusted(path + "@taper_at")) return;
    if (rod.lower_diameter_mm && !rod.taper_at)
      rules_.add(FindingCode::half_given, path + "@lower_diameter", where, "lower_diameter",
                 "an attribute 'taper_at' beside it: the joint below which the rod has that diameter");
    if (!rod.taper_at) return;
    if (!rod.lower_diameter_mm)
      rules_.add(FindingCode::half_given, path + "@taper_at", where, name(*rod.taper_at),
                 "an attribute 'lower_diameter' beside 'taper_at': the diameter below that joint");
    const auto span = parts_.spans.find(rod.name);
    if (span != parts_.spans.end() && !span->second.passes(*rod.taper_at))
      rules_.add(FindingCode::rod_not_there, path + "@taper_at", attribute(where, "taper_at"),
                 name(*rod.taper_at) + " on a rod " + span->second.told(), "a joint that the rod passes");
  }

  ConstructParts& parts_;
  Rules& rules_;
  std::set<std::pair<std::string, Side>> taken_{};
};

}  // namespace

void check_rods(ConstructParts& parts) {
  RodRules(parts).check();
}

}  // namespace opisthion::models
