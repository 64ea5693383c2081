// SPDX-License-Identifier: MIT
#include "models/neck/level.hpp"

namespace opisthion::models {

std::optional<Level> level_from_name(std::string_view text) {
  for (int i = 0; i < kLevelCount; ++i)
    if (kLevelNames[static_cast<std::size_t>(i)] == text) return static_cast<Level>(i);
  return std::nullopt;
}

std::string name(JointId joint) {
  std::string text(name(joint.upper));
  text += '-';
  text += name(joint.lower);
  return text;
}

std::optional<JointId> joint_from_name(std::string_view text) {
  const std::size_t dash = text.find('-');
  if (dash == std::string_view::npos) return std::nullopt;
  const auto upper = level_from_name(text.substr(0, dash));
  const auto lower = level_from_name(text.substr(dash + 1));
  if (!upper || !lower || static_cast<int>(*lower) != static_cast<int>(*upper) + 1) return std::nullopt;
  return JointId{.upper = *upper, .lower = *lower};
}

}  // namespace opisthion::models
