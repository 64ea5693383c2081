// SPDX-License-Identifier: MIT
#pragma once
#include <optional>
#include <string>
#include <vector>

#include "models/neck/instability.hpp"
#include "models/neck/level.hpp"

namespace opisthion::models {

/// Course of the vertebral artery as read off the CT. Left out means not checked: never silently normal.
/// equal: as large as the other side's; dominant: the larger one; only: the other side has none; high: rides high in C2.
enum class Artery { not_checked, equal, high, dominant, only, occluded };

/// What a surgeon reads off a CT on one side of one level; what is left out is taken from the generic adult.
struct SideAnatomy {
  std::optional<double> isthmus_height_mm{};    ///< C2, 3 mm lateral to the canal border
  std::optional<double> internal_height_mm{};   ///< C2, bone left above the artery groove
  std::optional<double> pedicle_width_mm{};     ///< outer width
  std::optional<double> lamina_thickness_mm{};  ///< outer diameter
  std::optional<double> lamina_height_mm{};
  std::optional<double> lateral_mass_width_mm{};  ///< C1, C3-C7, transverse
  std::optional<double> lateral_mass_depth_mm{};  ///< C1, front to back: the screw's path
  std::optional<double> arch_height_mm{};  ///< C1, posterior arch at the artery groove: what a posterior-arch screw needs
  std::optional<double> lateral_mass_height_mm{};  ///< C3-C7
  std::optional<bool> bony_bridge{};               ///< C1: bone roofs the artery groove, so the arch looks taller than it is
  Artery artery = Artery::not_checked;
  friend bool operator==(const SideAnatomy&, const SideAnatomy&) = default;
};

struct LevelAnatomy {
  Level level = Level::C1;
  SideAnatomy left{};
  SideAnatomy right{};
  std::optional<double> canal_mm{};        ///< front to back, from the vertebral body (C1: the dens) to the lamina
  std::optional<double> keel_upper_mm{};   ///< C0, midline thickness at the inion
  std::optional<double> keel_middle_mm{};  ///< C0, midway between inion and foramen
  std::optional<double> keel_lower_mm{};   ///< C0, near the foramen
  const SideAnatomy& on(Side side) const { return side == Side::left ? left : right; }
  friend bool operator==(const LevelAnatomy&, const LevelAnatomy&) = default;
};

enum class BoneQuality { normal, osteopenic, osteoporotic };

struct Bone {
  BoneQuality quality = BoneQuality::normal;
  std::optional<double> density_mg_per_cm3{};  ///< QCT, trabecular; overrides the class when given
  friend bool operator==(const Bone&, const Bone&) = default;
};

enum class JointState { intact, stiff, fused };

struct JointCondition {
  JointId joint{};
  JointState state = JointState::intact;
  double slip_mm = 0.0;     ///< forward slip of the upper level that has become its place of rest (negative: backward)
  double reduced_mm = 0.0;  ///< how much of it is reduced at operation and held by the construct; with the sign of the slip
  friend bool operator==(const JointCondition&, const JointCondition&) = default;
};

struct Neck {
  Level upper = Level::C1;
  Level lower = Level::C2;
  Bone bone{};
  std::vector<LevelAnatomy> anatomy{};
  std::vector<JointCondition> joints{};
  std::vector<Instability> instabilities{};
  double head_flexion_rad = 0.0;  ///< head position as fixed: flexion of C0 on C1 away from the library's neutral

  bool has(InstabilityKind kind) const;
  bool has(InstabilityKind kind, Side side) const;  ///< on this side, or on both where it names none
  bool has(InstabilityKind kind, Level level) const;
  bool has(InstabilityKind kind, Level level, Side side) const;
  bool has(InstabilityKind kind, JointId joint) const;
  const JointCondition* condition(JointId joint) const;  ///< null when the case says nothing
  const LevelAnatomy* level_anatomy(Level level) const;  ///< null when the case says nothing
  bool contains(Level level) const { return upper <= level && level <= lower; }
  JointState state(JointId joint) const;                 ///< intact when the case says nothing
  SideAnatomy anatomy_at(Level level, Side side) const;  ///< all generic when the case says nothing
  std::vector<JointId> joint_ids() const;                ///< from above to below
  friend bool operator==(const Neck&, const Neck&) = default;
};

}  // namespace opisthion::models
