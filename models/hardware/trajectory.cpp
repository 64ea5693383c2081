// SPDX-License-Identifier: MIT
#include "models/hardware/trajectory.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>

namespace opisthion::models {

namespace {

using Eigen::Vector3d;

/// The kind as it stands in ids: "lateral_mass".
std::string word(AnchorKind kind) {
  std::string text(title(kind));
  std::replace(text.begin(), text.end(), ' ', '_');
  return text;
}

/// Stem of the numbers that say where it runs.
std::string path_stem(const Anchor& anchor) {
  return std::string("trajectory.").append(name(anchor.level)).append(".").append(word(anchor.kind));
}

Purchase purchase_of(const Anchor& anchor) {
  return anchor.purchase.value_or(Purchase::unicortical);
}

double default_of(const Anchor& anchor, Purchase purchase, const ParameterReader& number, std::string_view what) {
  return number.scalar(library_stem(anchor.kind, anchor.level, purchase).append(".").append(what));
}

/// Depth at which an axis meets a plane.
double depth_at_plane(const Vector3d& entry, const Vector3d& direction, const Vector3d& point, const Vector3d& normal) {
  const double rate = direction.dot(normal);
  assert(std::abs(rate) > 1e-6 && "a transarticular axis does not run along its joint");
  return (point - entry).dot(normal) / rate;
}

/// Near cortex, cancellous bone, far cortex where both are passed. A case's other length lengthens the cancellous part.
std::vector<AnchorLayer> one_bone(const Anchor& anchor, const ParameterReader& number, double length_mm) {
  const auto usual = [&](std::string_view what) { return default_of(anchor, Purchase::unicortical, number, what); };
  const bool both = purchase_of(anchor) == Purchase::bicortical;
  const double cortex = std::min(usual("cortical_length"), length_mm);
  const double far = both ? std::min(number.scalar("trajectory.far_cortex"), length_mm - cortex) : 0.0;
  // A unicortical tip tapers and holds nothing; once it leaves through the far cortex the thread bears all the way.
  const double tip = both ? 0.0 : std::max(0.0, usual("length") - usual("cortical_length") - usual("cancellous_length"));
  const double cancellous = std::max(0.0, length_mm - cortex - far - tip);
  std::vector<AnchorLayer> layers{{anchor.level, Tissue::cortex, cortex}};
  if (cancellous > 0.0) layers.push_back({anchor.level, Tissue::cancellous, cancellous});
  if (far > 0.0) layers.push_back({anchor.level, Tissue::cortex, far});
  return layers;
}

/// C2 to its superior facet, free across the joint, C1 from its inferior facet; three passes of cortex share its length.
std::vector<AnchorLayer> two_bones(const Anchor& anchor, const Trajectory& path, const ParameterReader& number) {
  const auto on_its_side = [&](std::string_view id) { return on_side(number.point(id), anchor.side); };
  const double leaves = depth_at_plane(path.entry_mm, path.into_bone, on_its_side("point.C2.superior_facet_centre.left"),
                                       on_its_side("point.C2.superior_facet_normal.left"));
  const double arrives = depth_at_plane(path.entry_mm, path.into_bone, on_its_side("point.C1.inferior_facet_centre.left"),
                                        on_its_side("point.C1.inferior_facet_normal.left"));
  const double shell = default_of(anchor, Purchase::unicortical, number, "cortical_length") /
                       number.scalar("trajectory.C2.transarticular.cortices");
  std::vector<AnchorLayer> layers;
  const auto add = [&layers](Level level, Tissue tissue, double length) {
    if (length > 0.0) layers.push_back({level, tissue, length});
  };
  const double in_c2 = std::min(leaves, path.length_mm);
  const double entry_shell = std::min(shell, in_c2);
  const double exit_shell = std::min(shell, in_c2 - entry_shell);
  add(Level::C2, Tissue::cortex, entry_shell);
  add(Level::C2, Tissue::cancellous, in_c2 - entry_shell - exit_shell);
  add(Level::C2, Tissue::cortex, exit_shell);
  const double in_c1 = path.length_mm - arrives;
  if (in_c1 <= 0.0) return layers;  // too short to reach C1: it grips C2 only
  add(Level::C2, Tissue::none, arrives - leaves);
  const double c1_shell = std::min(shell, in_c1);
  const double far =
      purchase_of(anchor) == Purchase::bicortical ? std::min(number.scalar("trajectory.far_cortex"), in_c1 - c1_shell) : 0.0;
  add(Level::C1, Tissue::cortex, c1_shell);
  add(Level::C1, Tissue::cancellous, in_c1 - c1_shell - far);
  add(Level::C1, Tissue::cortex, far);
  return layers;
}

}  // namespace

std::string library_stem(AnchorKind kind, Level level, Purchase purchase) {
  std::string stem = std::string("anchor.").append(name(level)).append(".").append(word(kind));
  if (kind == AnchorKind::lateral_mass) stem += purchase == Purchase::bicortical ? "_bicortical" : "_unicortical";
  return stem;
}

bool has_trajectory(AnchorKind kind, Level level) {
  return level == (kind == AnchorKind::lateral_mass ? Level::C1 : Level::C2);
}

Eigen::Vector3d left_direction(double medial_rad, double cranial_rad) {
  return {std::cos(cranial_rad) * std::cos(medial_rad), -std::cos(cranial_rad) * std::sin(medial_rad),
          std::sin(cranial_rad)};
}

Trajectory trajectory(const Anchor& anchor, const Neck& neck, const ParameterReader& number) {
  assert(has_trajectory(anchor.kind, anchor.level));
  const std::string path_id = path_stem(anchor);
  Trajectory path;
  path.entry_mm = on_side(number.point(path_id + ".entry.left"), anchor.side);
  path.into_bone =
      on_side(left_direction(number.scalar(path_id + ".medial"), number.scalar(path_id + ".cranial")), anchor.side);
  path.free_shank_mm = number.scalar(path_id + ".free_shank");
  path.diameter_mm = anchor.diameter_mm.value_or(default_of(anchor, purchase_of(anchor), number, "diameter"));
  path.core_diameter_mm = path.diameter_mm * number.scalar("screw.core_ratio");
  path.shank_diameter_mm = path.diameter_mm * number.scalar(path_id + ".shank_ratio");
  path.length_mm = anchor.length_mm.value_or(default_of(anchor, purchase_of(anchor), number, "length"));
  if (anchor.kind == AnchorKind::laminar) path.entry_mm.z() += sign(anchor.side) * number.scalar(path_id + ".height_offset");
  if (anchor.kind == AnchorKind::lateral_mass) {
    // The entry lies on the back of the lateral mass, half its depth behind the centre: a deeper mass has it further back.
    const std::optional<double> depth = neck.anatomy_at(anchor.level, anchor.side).lateral_mass_depth_mm;
    if (depth) path.entry_mm += 0.5 * (number.scalar("anatomy.C1.lateral_mass_depth") - *depth) * path.into_bone;
  }
  path.layers =
      anchor.kind == AnchorKind::transarticular ? two_bones(anchor, path, number) : one_bone(anchor, number, path.length_mm);
  return path;
}

}  // namespace opisthion::models
