// SPDX-License-Identifier: MIT
#pragma once
// The stops of one rod, followed to what they name.
#include <optional>
#include <string>
#include <vector>

#include "models/case/construct_rules.hpp"

namespace opisthion::models {

struct RodStop {
  std::string path{};    ///< of the attribute that names it
  std::string called{};  ///< "'C2 left'"
  std::string at{};      ///< "C2", "C2-C3"
  int half_level = 0;
  std::optional<Side> side{};  ///< none in the middle and where it could not be told
  const Anchor* anchor = nullptr;
  const Rod* other = nullptr;  ///< of a side connector
};

struct RodStops {
  std::vector<RodStop> stops{};
  bool whole = true;  ///< every stop could be followed
};

/// Finds what the rod goes through; says what is wrong with single stops.
RodStops follow_stops(ConstructParts& parts, const Rod& rod, const std::string& path);

}  // namespace opisthion::models
