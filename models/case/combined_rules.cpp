// SPDX-License-Identifier: MIT
// Moments about several axes at once, and the hybrid protocol.
#include <set>

#include "models/case/bench_rules.hpp"
#include "models/xml/words.hpp"

namespace opisthion::models {

namespace {

/// Two motions about one axis: the same, or one and its opposite.
bool one_axis(Motion a, Motion b) {
  return moment_axis(a).dot(moment_axis(b)) != 0.0;
}

void parts(Rules& rules, const CombinedLoad& load, const std::string& path, const std::string& where) {
  if (load.parts.size() == 1)
    rules.add(FindingCode::half_given, path, where, "1",
              "two parts or three, about different axes: one motion alone is run without being combined");
  for (std::size_t i = 0; i < load.parts.size(); ++i) {
    const std::string at = path + "/" + indexed("part", i) + "@motion";
    if (!rules.trusted(at)) continue;
    for (std::size_t before = 0; before < i; ++before) {
      if (!rules.trusted(path + "/" + indexed("part", before) + "@motion")) continue;
      const Motion earlier = load.parts[before].motion;
      const Motion motion = load.parts[i].motion;
      if (!one_axis(earlier, motion)) continue;
      rules.add(FindingCode::contradiction, at, attribute(where + ", part", "motion"),
                std::string(title(motion)) + " after " + std::string(title(earlier)), "one part about each axis");
      break;
    }
  }
}

}  // namespace

void check_combined(Rules& rules) {
  const Bench& bench = rules.the_case.bench;
  if (bench.hybrid) needs_top(rules, "bench@hybrid", attribute("bench", "hybrid"), "the level that is turned");
  std::set<std::string_view> seen;
  for (std::size_t i = 0; i < bench.combined.size(); ++i) {
    const CombinedLoad& load = bench.combined[i];
    const std::string path = indexed("bench/combined", i);
    const std::string where = quoted("combined", load.name);
    needs_top(rules, path, where, "the level that the moments act on");
    rules.once(load.name, path + "@name", where, "combined load", seen);
    if (rules.trusted(path + "@name") && motion_from_name(load.name))
      rules.add(FindingCode::duplicate_name, path + "@name", where, load.name, "a name that is not one of the six motions'");
    parts(rules, load, path, where);
  }
}

}  // namespace opisthion::models
