// SPDX-License-Identifier: MIT
#pragma once
#include <optional>
#include <string>
#include <vector>

#include "models/neck/level.hpp"

namespace opisthion::models {

/// Course of the vertebral artery as read off the CT. Left out means not checked: never silently normal.
enum class Artery { not_checked, normal, high, dominant, only, occluded };

/// What a surgeon reads off a CT on one side of one level; what is left out is taken from the generic adult.
struct SideAnatomy {
  std::optional<double> isthmus_height_mm{};    ///< C2, 3 mm lateral to the canal border
  std::optional<double> internal_height_mm{};   ///< C2, bone left above the artery groove
  std::optional<double> pedicle_width_mm{};     ///< outer width
  std::optional<double> lamina_thickness_mm{};  ///< outer diameter
  std::optional<double> lamina_height_mm{};
  std::optional<double> lateral_mass_width_mm{};  ///< C1, transverse
  std::optional<double> lateral_mass_depth_mm{};  ///< C1, front to back: the screw's path
  Artery artery = Artery::not_checked;
  friend bool operator==(const SideAnatomy&, const SideAnatomy&) = default;
};

struct LevelAnatomy {
  Level level = Level::C1;
  SideAnatomy left{};
  SideAnatomy right{};
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
  friend bool operator==(const JointCondition&, const JointCondition&) = default;
};

/// What is injured. A dens non-union makes the dens a body of its own, tied to C2 by fibrous tissue.
enum class Instability { dens_nonunion, transverse_ligament_rupture };

struct Neck {
  Level upper = Level::C1;
  Level lower = Level::C2;
  Bone bone{};
  std::vector<LevelAnatomy> anatomy{};
  std::vector<JointCondition> joints{};
  std::vector<Instability> instabilities{};

  bool has(Instability instability) const;
  bool contains(Level level) const { return upper <= level && level <= lower; }
  JointState state(JointId joint) const;                 ///< intact when the case says nothing
  SideAnatomy anatomy_at(Level level, Side side) const;  ///< all generic when the case says nothing
  std::vector<JointId> joint_ids() const;                ///< from above to below
  friend bool operator==(const Neck&, const Neck&) = default;
};

}  // namespace opisthion::models
