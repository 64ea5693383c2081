// SPDX-License-Identifier: MIT
#pragma once
// No two anchors in one place.
#include <map>
#include <string>
#include <tuple>

#include "models/case/construct_rules.hpp"

namespace opisthion::models {

/// Remembers the anchors of one construct that were checked before.
class PlaceRules {
 public:
  explicit PlaceRules(const ConstructParts& parts) : rules_(parts.rules) {}
  void check(const Anchor& anchor, const std::string& path, const std::string& where);

 private:
  using Place = std::tuple<AnchorKind, Level, Side>;
  void on_occiput(const Anchor& anchor, const std::string& path, const std::string& where);
  Rules& rules_;
  std::map<Place, const Anchor*> placed_{};
  std::map<std::pair<Level, Side>, const Anchor*> corridors_{};
  std::map<std::pair<AnchorKind, Side>, std::multimap<double, const Anchor*>> heights_{};
};

}  // namespace opisthion::models
