// SPDX-License-Identifier: MIT
#include "models/neck/neck.hpp"

#include <algorithm>

namespace opisthion::models {

bool Neck::has(InstabilityKind kind) const {
  return std::any_of(instabilities.begin(), instabilities.end(), [&](const auto& i) { return i.kind == kind; });
}

bool Neck::has(InstabilityKind kind, Side side) const {
  return std::any_of(instabilities.begin(), instabilities.end(),
                     [&](const auto& i) { return i.kind == kind && (!i.side || *i.side == side); });
}

bool Neck::has(InstabilityKind kind, Level level) const {
  return std::any_of(instabilities.begin(), instabilities.end(),
                     [&](const auto& i) { return i.kind == kind && i.level == level; });
}

bool Neck::has(InstabilityKind kind, Level level, Side side) const {
  return std::any_of(instabilities.begin(), instabilities.end(),
                     [&](const auto& i) { return i.kind == kind && i.level == level && (!i.side || *i.side == side); });
}

bool Neck::has(InstabilityKind kind, JointId joint) const {
  return std::any_of(instabilities.begin(), instabilities.end(),
                     [&](const auto& i) { return i.kind == kind && i.joint == joint; });
}

const JointCondition* Neck::condition(JointId joint) const {
  const auto found = std::find_if(joints.begin(), joints.end(), [&](const auto& c) { return c.joint == joint; });
  return found == joints.end() ? nullptr : &*found;
}

const LevelAnatomy* Neck::level_anatomy(Level level) const {
  const auto found = std::find_if(anatomy.begin(), anatomy.end(), [&](const auto& a) { return a.level == level; });
  return found == anatomy.end() ? nullptr : &*found;
}

JointState Neck::state(JointId joint) const {
  const JointCondition* found = condition(joint);
  return found == nullptr ? JointState::intact : found->state;
}

SideAnatomy Neck::anatomy_at(Level level, Side side) const {
  const LevelAnatomy* found = level_anatomy(level);
  return found == nullptr ? SideAnatomy{} : found->on(side);
}

std::vector<JointId> Neck::joint_ids() const {
  std::vector<JointId> ids;
  for (int i = static_cast<int>(upper); i < static_cast<int>(lower); ++i)
    ids.push_back({.upper = static_cast<Level>(i), .lower = static_cast<Level>(i + 1)});
  return ids;
}

}  // namespace opisthion::models
