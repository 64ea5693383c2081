// SPDX-License-Identifier: MIT
#pragma once
#include <optional>
#include <string>

#include "models/hardware/anchor_kinds.hpp"
#include "models/neck/level.hpp"

namespace opisthion::models {

/// A cortex passed only on the near side, or on both.
enum class Purchase { unicortical, bicortical };

/// Subaxial lateral mass screws: nearly straight ahead into the mass, or turned outwards and upwards parallel to the facet.
enum class LateralMassPath { straight, divergent };

/// How well the seat is. loose: the thread has play in its hole; stripped: the thread no longer cuts bone along the axis;
/// rescue: a thicker screw in a worn hole.
enum class AnchorState { sound, loose, stripped, rescue };

/// Where a hook's mouth opens: onto the upper edge of a lamina (faces down) or onto its lower edge (faces up).
enum class HookFacing { up, down };

/// What is left out is taken from the library's default for this kind at this level.
struct Anchor {
  std::string name{};
  AnchorKind kind = AnchorKind::lateral_mass;
  Level level = Level::C1;  ///< level of the entry
  Side side = Side::left;   ///< side of its head and rod; a laminar screw crosses into the other lamina; keel: left, unused
  std::optional<double> diameter_mm{};  ///< screw's thread, or wire
  std::optional<double> length_mm{};    ///< in bone, from the entry to the tip; no wire or hook has one
  std::optional<Purchase> purchase{};
  std::optional<LateralMassPath> path{};  ///< subaxial lateral mass screws only; divergent when left out
  AnchorState state = AnchorState::sound;
  std::optional<double> lag_N{};           ///< screws that cross a joint: compression they are tightened to
  std::optional<double> tension_N{};       ///< wires: tension they are tightened to; hooks: force they are pressed on with
  std::optional<double> below_inion_mm{};  ///< occipital anchors: distance from the inion towards the foramen along the bone
  std::optional<HookFacing> facing{};      ///< hooks only; down when left out
  friend bool operator==(const Anchor&, const Anchor&) = default;
};

}  // namespace opisthion::models
