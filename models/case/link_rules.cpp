// SPDX-License-Identifier: MIT
// Bars between two rods.
#include "models/case/construct_rules.hpp"

namespace opisthion::models {

namespace {

bool known(ConstructParts& parts, const std::string& rod, const std::string& path, const std::string& where) {
  if (!parts.rules.trusted(path)) return false;
  if (parts.rods.count(rod) > 0) return true;
  if (parts.rods_read)
    parts.rules.add(FindingCode::unknown_name, path, where, rod, "a rod of this construct",
                    parts.rules.near(rod, parts.rod_names));
  return false;
}

void check(ConstructParts& parts, const CrossLink& link, const std::string& path) {
  const std::string where = quoted("cross_link", link.name);
  const bool from = known(parts, link.from, path + "@from", attribute(where, "from"));
  const bool to = known(parts, link.to, path + "@to", attribute(where, "to"));
  if (from && to && link.from == link.to) {
    parts.rules.add(FindingCode::same_rod, path + "@to", where, "'" + link.to + "' at both ends", "two different rods");
    return;
  }
  if (!parts.rules.in_neck(link.at, path + "@at", attribute(where, "at"))) return;
  for (const std::string* rod : {&link.from, &link.to}) {
    const auto span = parts.spans.find(*rod);
    if (span == parts.spans.end() || span->second.passes(link.at)) continue;
    parts.rules.add(FindingCode::rod_not_there, path + "@at", attribute(where, "at"),
                    name(link.at) + " with rod '" + *rod + "' " + span->second.told(), "a joint that both rods pass");
    return;
  }
}

}  // namespace

void check_cross_links(ConstructParts& parts) {
  for (std::size_t i = 0; i < parts.construct.cross_links.size(); ++i)
    check(parts, parts.construct.cross_links[i], parts.at("cross_link", i));
}

}  // namespace opisthion::models
