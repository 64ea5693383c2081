// SPDX-License-Identifier: MIT
// What is on the specimen from neutral on: follower load, dead weight, traction.
#include <optional>
#include <set>

#include "models/case/bench_rules.hpp"
#include "models/xml/words.hpp"

namespace opisthion::models {

namespace {

void follower(Rules& rules, const FollowerLoad& load) {
  needs_top(rules, "bench/follower", "bench, follower", "the level that the cable is tied to");
  const Bench& bench = rules.the_case.bench;
  std::set<Level> seen;
  for (std::size_t i = 0; i < load.guides.size(); ++i) {
    const Level level = load.guides[i].level;
    const std::string path = indexed("bench/follower/guide", i) + "@level";
    const std::string where = attribute("bench, follower, guide", "level");
    if (!rules.trusted(path)) continue;
    if (!seen.insert(level).second) rules.add(FindingCode::duplicate_name, path, where, name(level), "one guide a level");
    if (!bench.top || !rules.trusted("bench@top") || !rules.trusted("bench@bottom") || *bench.top >= bench.bottom) continue;
    if (level < *bench.top || level > bench.bottom)
      rules.add(
          FindingCode::level_order, path, where, name(level),
          "a level that the cable passes, " + std::string(name(*bench.top)) + " to " + std::string(name(bench.bottom)));
  }
}

void on_top(Rules& rules, std::string_view element, const TopForce& force, std::string_view top_is) {
  const std::string path = "bench/" + std::string(element);
  const std::string where = "bench, " + std::string(element);
  needs_top(rules, path, where, top_is);
  if (rules.the_case.bench.top && rules.trusted("bench@top"))
    needs_its_bone_below(rules, *rules.the_case.bench.top, force.line, path + "@line", attribute(where, "line"));
}

}  // namespace

void needs_top(Rules& rules, const std::string& path, const std::string& where, std::string_view top_is) {
  if (rules.the_case.bench.top || !rules.trusted("bench") || !rules.trusted("bench@top")) return;
  rules.add(FindingCode::half_given, path, where, "", "an attribute 'top' on <bench>: " + std::string(top_is));
}

void check_preload(Rules& rules) {
  const Bench& bench = rules.the_case.bench;
  if (bench.follower) follower(rules, *bench.follower);
  if (bench.dead_weight) on_top(rules, "dead_weight", *bench.dead_weight, "the level that the weight lies on");
  if (bench.traction) on_top(rules, "traction", *bench.traction, "the level that is pulled");
}

}  // namespace opisthion::models
