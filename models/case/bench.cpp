// SPDX-License-Identifier: MIT
#include "models/case/bench.hpp"

namespace opisthion::models {

namespace {
constexpr std::array<std::string_view, 6> kNames{"flexion",       "extension",     "left_bending",
                                                 "right_bending", "left_rotation", "right_rotation"};
constexpr std::array<std::string_view, 6> kTitles{"flexion",       "extension",     "left bending",
                                                  "right bending", "left rotation", "right rotation"};
}  // namespace

std::string_view name(Motion motion) {
  return kNames[static_cast<std::size_t>(motion)];
}
std::string_view title(Motion motion) {
  return kTitles[static_cast<std::size_t>(motion)];
}

std::optional<Motion> motion_from_name(std::string_view text) {
  for (const Motion motion : kMotions)
    if (text == name(motion) || text == title(motion)) return motion;
  return std::nullopt;
}

Eigen::Vector3d moment_axis(Motion motion) {
  switch (motion) {
    case Motion::flexion:
      return Eigen::Vector3d::UnitY();
    case Motion::extension:
      return -Eigen::Vector3d::UnitY();
    case Motion::left_bending:
      return -Eigen::Vector3d::UnitX();
    case Motion::right_bending:
      return Eigen::Vector3d::UnitX();
    case Motion::left_rotation:
      return Eigen::Vector3d::UnitZ();
    case Motion::right_rotation:
      return -Eigen::Vector3d::UnitZ();
  }
  return Eigen::Vector3d::Zero();
}

Eigen::Vector3d moment_share(const CombinedLoad& load) {
  Eigen::Vector3d out = Eigen::Vector3d::Zero();
  for (const CombinedPart& part : load.parts) out += part.share * moment_axis(part.motion);
  return out;
}

}  // namespace opisthion::models
