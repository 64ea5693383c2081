// SPDX-License-Identifier: MIT
#include "models/neck/neck.hpp"

#include <algorithm>

namespace opisthion::models {

bool Neck::has(Instability instability) const {
  return std::find(instabilities.begin(), instabilities.end(), instability) != instabilities.end();
}

JointState Neck::state(JointId joint) const {
  for (const JointCondition& condition : joints)
    if (condition.joint == joint) return condition.state;
  return JointState::intact;
}

SideAnatomy Neck::anatomy_at(Level level, Side side) const {
  for (const LevelAnatomy& at : anatomy)
    if (at.level == level) return at.on(side);
  return {};
}

std::vector<JointId> Neck::joint_ids() const {
  std::vector<JointId> ids;
  for (int i = static_cast<int>(upper); i < static_cast<int>(lower); ++i)
    ids.push_back({.upper = static_cast<Level>(i), .lower = static_cast<Level>(i + 1)});
  return ids;
}

}  // namespace opisthion::models
