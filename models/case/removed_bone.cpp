// SPDX-License-Identifier: MIT
// Bone that is gone, in words. What an anchor needs stands with its kind (hardware/anchor_kinds); what a tie or a graft
// leans on is the back of a level: laminectomy takes both laminae with the spinous process, at C1 the posterior arch, which
// a ring broken on both sides lets go as well. Common anatomy.
#include "models/case/rules.hpp"
#include "models/hardware/allowed_anchors.hpp"

namespace opisthion::models {

namespace {

std::string broken_back(const Neck& neck, Level level) {
  const std::string of = (level == Level::C1 ? "the posterior arch of " : "the lamina of ") + std::string(name(level));
  if (neck.has(InstabilityKind::laminectomy, level)) return of + " is removed (laminectomy)";
  if (level == Level::C1 && neck.has(InstabilityKind::ring_fracture, Side::left) &&
      neck.has(InstabilityKind::ring_fracture, Side::right))
    return of + " is broken off on both sides (ring fracture)";
  return {};
}

}  // namespace

RemovedBone::RemovedBone(const Neck& neck) : neck_(neck) {
  for (std::size_t i = 0; i < back_.size(); ++i) back_[i] = broken_back(neck, static_cast<Level>(i));
}

std::string RemovedBone::lateral_mass(Level level, Side side) const {
  if (!neck_.has(InstabilityKind::lateral_mass_destroyed, level, side)) return {};
  return "the " + std::string(name(side)) + " lateral mass of " + std::string(name(level)) + " is destroyed";
}

std::string RemovedBone::worded(InstabilityKind by, const Anchor& anchor) const {
  const Level end = ends_at(anchor.kind, anchor.level);
  if (by == InstabilityKind::lateral_mass_destroyed) {
    const std::string at_entry = lateral_mass(anchor.level, anchor.side);
    return at_entry.empty() ? lateral_mass(end, anchor.side) : at_entry;
  }
  if (by == InstabilityKind::body_destroyed) return "the body of " + std::string(name(end)) + " is destroyed";
  if (!back_of(anchor.level).empty()) return back_of(anchor.level);
  return "the " + std::string(name(anchor.side)) + " lateral mass of C1 is broken off the arch (ring fracture)";
}

const std::string& RemovedBone::under(AnchorKind kind, Level level, Side side) {
  const auto [at, is_new] = under_.try_emplace({kind, level, side});
  if (is_new) {
    const Anchor anchor{.kind = kind, .level = level, .side = side};
    if (const auto by = removed_by(neck_, anchor)) at->second = worded(*by, anchor);
  }
  return at->second;
}

}  // namespace opisthion::models
