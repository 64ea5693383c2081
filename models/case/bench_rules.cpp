// SPDX-License-Identifier: MIT
#include "models/case/bench_rules.hpp"

#include <set>

#include "models/xml/words.hpp"

namespace opisthion::models {

namespace {

void loaded_level(Rules& rules, Level level, const std::string& path, const std::string& where) {
  if (!rules.in_neck(level, path, attribute(where, "level")) || !rules.trusted("bench@bottom")) return;
  if (level >= rules.the_case.bench.bottom)
    rules.add(FindingCode::level_order, path, attribute(where, "level"), name(level),
              "a level above the bottom, " + std::string(name(rules.the_case.bench.bottom)) + ", which is held");
}

void head_loads(Rules& rules) {
  std::set<std::string_view> known;
  bool all_read = true;
  for (std::size_t c = 0; c < rules.the_case.constructs.size(); ++c)
    for (std::size_t i = 0; i < rules.the_case.constructs[c].anchors.size(); ++i) {
      known.insert(rules.the_case.constructs[c].anchors[i].name);
      all_read = all_read && rules.trusted(indexed("construct", c) + "/" + indexed("anchor", i) + "@name");
    }
  std::set<std::string_view> seen;
  for (std::size_t i = 0; i < rules.the_case.bench.heads.size(); ++i) {
    const HeadLoad& load = rules.the_case.bench.heads[i];
    const std::string path = indexed("bench/head_load", i);
    const std::string where = quoted("head_load", load.name);
    rules.once(load.name, path + "@name", where, "head load", seen);
    if (rules.trusted(path + "@anchor") && all_read && known.count(load.anchor) == 0)
      rules.add(FindingCode::unknown_name, path + "@anchor", attribute(where, "anchor"), load.anchor,
                "an anchor of one of the constructs", rules.near(load.anchor, known));
  }
}

}  // namespace

void check_bench(Rules& rules) {
  const Bench& bench = rules.the_case.bench;
  if (bench.top) rules.in_neck(*bench.top, "bench@top", "bench, attribute 'top'");
  rules.in_neck(bench.bottom, "bench@bottom", "bench, attribute 'bottom'");
  if (bench.top && rules.trusted("bench@top") && rules.trusted("bench@bottom") && *bench.top >= bench.bottom)
    rules.add(FindingCode::level_order, "bench@top", "bench, attribute 'top'", name(*bench.top),
              "a level above the bottom, " + std::string(name(bench.bottom)));
  if (rules.trusted("bench") && rules.trusted("bench@top") && !bench.top && bench.shear.empty() && bench.axial.empty() &&
      bench.heads.empty())
    rules.add(FindingCode::no_load, "bench", "bench", "",
              "a load: attribute 'top' (then the moments are run), shear, axial or head_load");
  std::set<Level> sheared;
  for (std::size_t i = 0; i < bench.shear.size(); ++i) {
    const std::string path = indexed("bench/shear", i) + "@level";
    loaded_level(rules, bench.shear[i].level, path, "bench, shear");
    if (rules.trusted(path) && !sheared.insert(bench.shear[i].level).second)
      rules.add(FindingCode::duplicate_name, path, "bench, shear", name(bench.shear[i].level), "one shear load a level");
  }
  std::set<std::pair<Level, AxialLine>> pressed;
  for (std::size_t i = 0; i < bench.axial.size(); ++i) {
    const AxialLoad& axial = bench.axial[i];
    const std::string path = indexed("bench/axial", i);
    loaded_level(rules, axial.level, path + "@level", "bench, axial");
    if (rules.trusted(path + "@level"))
      needs_its_bone(rules, axial.level, axial.line, path + "@line", attribute("bench, axial", "line"));
    if (rules.trusted(path + "@level") && rules.trusted(path + "@line") && !pressed.insert({axial.level, axial.line}).second)
      rules.add(FindingCode::duplicate_name, path + "@level", "bench, axial",
                std::string(name(axial.level)) + " along " + std::string(xml::word(axial.line)),
                "one axial load a level and line");
  }
  head_loads(rules);
  check_preload(rules);
  check_combined(rules);
  check_sequence(rules);
}

}  // namespace opisthion::models
