// SPDX-License-Identifier: MIT
// Lines of axial loads, weights and traction: the bone that each runs through.
#include <array>
#include <vector>

#include "models/case/bench_rules.hpp"
#include "models/xml/words.hpp"

namespace opisthion::models {

namespace {

constexpr std::array<AxialLine, 4> kLines{AxialLine::lateral_masses, AxialLine::dens, AxialLine::condyles, AxialLine::body};

Level bone_of(AxialLine line, Level loaded) {
  switch (line) {
    case AxialLine::condyles:
      return Level::C0;
    case AxialLine::lateral_masses:
      return Level::C1;
    case AxialLine::dens:
      return Level::C2;
    case AxialLine::body:
      return loaded;
  }
  return loaded;
}

bool has_body(Level level) {
  return level >= Level::C2;
}

/// highest: the level above which no bone will do.
void check_line(Rules& rules, Level loaded, Level highest, AxialLine line, const std::string& path,
                const std::string& where) {
  // A level outside the neck has a finding of its own.
  const Neck& neck = rules.the_case.neck;
  if (!rules.trusted(path) || !rules.neck_trusted() || neck.upper > neck.lower || !neck.contains(loaded)) return;
  const auto runs = [&](AxialLine one) {
    const Level bone = bone_of(one, loaded);
    return neck.contains(bone) && bone >= highest && (one != AxialLine::body || has_body(loaded));
  };
  if (runs(line)) return;
  std::vector<std::string> words;
  for (const AxialLine one : kLines)
    if (runs(one)) words.emplace_back(xml::word(one));
  std::string list;
  for (std::size_t i = 0; i < words.size(); ++i) list += (i == 0 ? "" : i + 1 == words.size() ? " or " : ", ") + words[i];
  std::string why;
  if (line == AxialLine::body) {
    why = std::string(name(loaded)) + " has no vertebral body";
  } else {
    const Level bone = bone_of(line, loaded);
    why = "the " + std::string(xml::word(line)) + (line == AxialLine::dens ? " is " : " are ") + std::string(name(bone)) +
          "'s, ";
    why += neck.contains(bone) ? "above the top, " + std::string(name(loaded)) : "and this neck goes " + rules.neck_span();
  }
  rules.add(FindingCode::level_order, path, where, xml::word(line), list + ", for " + why);
}

}  // namespace

void needs_its_bone(Rules& rules, Level loaded, AxialLine line, const std::string& path, const std::string& where) {
  check_line(rules, loaded, Level::C0, line, path, where);
}

void needs_its_bone_below(Rules& rules, Level top, AxialLine line, const std::string& path, const std::string& where) {
  check_line(rules, top, top, line, path, where);
}

}  // namespace opisthion::models
