// SPDX-License-Identifier: MIT
#pragma once
#include <Eigen/Core>
#include <array>
#include <compare>
#include <optional>
#include <string>
#include <string_view>

namespace opisthion::models {

/// Occiput (C0) to the third thoracic vertebra, from above to below.
enum class Level { C0, C1, C2, C3, C4, C5, C6, C7, T1, T2, T3 };
inline constexpr int kLevelCount = 11;
inline constexpr std::array<std::string_view, kLevelCount> kLevelNames{"C0", "C1", "C2", "C3", "C4", "C5",
                                                                       "C6", "C7", "T1", "T2", "T3"};
constexpr std::string_view name(Level level) {
  return kLevelNames[static_cast<std::size_t>(level)];
}
std::optional<Level> level_from_name(std::string_view text);

/// The patient's side. Left is +y.
enum class Side { left, right };
constexpr std::string_view name(Side side) {
  return side == Side::left ? "left" : "right";
}
constexpr double sign(Side side) {
  return side == Side::left ? 1.0 : -1.0;
}
/// Mirror image in the midsagittal plane (y changes sign); polar vectors and points only.
inline Eigen::Vector3d mirrored(const Eigen::Vector3d& left) {
  return {left.x(), -left.y(), left.z()};
}
/// A left-side point or direction, placed on the asked side.
inline Eigen::Vector3d on_side(const Eigen::Vector3d& left, Side side) {
  return side == Side::left ? left : mirrored(left);
}

/// Two neighbouring levels with all that lies between them.
struct JointId {
  Level upper = Level::C1;
  Level lower = Level::C2;
  friend auto operator<=>(const JointId&, const JointId&) = default;
};
std::string name(JointId joint);  ///< "C1-C2"
std::optional<JointId> joint_from_name(std::string_view text);

/// Cardan sequence of every rotation triple in files and on screens, in the lower body's axes.
inline constexpr std::string_view kCardanSequence = "flexion (y), bending (x), rotation (z)";

}  // namespace opisthion::models
