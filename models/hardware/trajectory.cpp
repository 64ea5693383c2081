// SPDX-License-Identifier: MIT
#include "models/hardware/trajectory.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>

#include "models/hardware/occiput_surface.hpp"

namespace opisthion::models {

namespace {

using Eigen::Vector3d;

/// Numbers of a path. Those that are the same at all levels stand in the library without a level; a level's own goes before.
class PathNumbers {
 public:
  PathNumbers(const Anchor& anchor, const ParameterReader& number) : number_(number) {
    const AnchorKindRow& kind = anchor_kind(anchor.kind);
    std::string word(kind.word);
    if (kind.paths && kind.paths->contains(anchor.level))
      word += anchor.path == LateralMassPath::straight ? "_straight" : "_divergent";
    at_level_ = std::string("trajectory.").append(name(anchor.level)).append(".").append(word).append(".");
    of_kind_ = "trajectory." + word + ".";
  }
  bool has(const std::string& what) const { return number_.has(at_level_ + what) || number_.has(of_kind_ + what); }
  double scalar(const std::string& what) const {
    return number_.scalar((number_.has(at_level_ + what) ? at_level_ : of_kind_) + what);
  }
  Vector3d entry_left_mm() const { return number_.point(at_level_ + "entry.left"); }

 private:
  const ParameterReader& number_;
  std::string at_level_;
  std::string of_kind_;
};

Purchase purchase_of(const Anchor& anchor) {
  return anchor.purchase.value_or(Purchase::unicortical);
}

double default_of(const Anchor& anchor, Purchase purchase, const ParameterReader& number, std::string_view what) {
  return number.scalar(library_stem(anchor.kind, anchor.level, purchase).append(".").append(what));
}

/// Directions against which a level's angles are measured: horizontal and vertical down to C2, along and across the body's
/// axis (parallel to its end plates) from C3 down.
struct LevelPlane {
  Vector3d forward = Vector3d::UnitX();
  Vector3d up = Vector3d::UnitZ();
};

LevelPlane plane_of(Level level, const ParameterReader& number) {
  if (level <= Level::C2) return {};
  const std::string stem = std::string("point.").append(name(level));
  const Vector3d up = (number.point(stem + ".body_top_mid") - number.point(stem + ".body_bottom_mid")).normalized();
  return {.forward = {up.z(), 0.0, -up.x()}, .up = up};
}

/// Depth at which an axis meets a plane.
double depth_at_plane(const Vector3d& entry, const Vector3d& direction, const Vector3d& point, const Vector3d& normal) {
  const double rate = direction.dot(normal);
  assert(std::abs(rate) > 1e-6 && "a screw that crosses a joint does not run along it");
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

/// Centre and normal of the joint surface that a level turns towards another.
struct Facet {
  Vector3d centre_mm;
  Vector3d normal;
};

Facet facet(Level level, Level towards, Side side, const ParameterReader& number) {
  const std::string stem = std::string("point.").append(name(level)).append(".");
  if (level == Level::C0)
    return {on_side(number.point(stem + "condyle_contact_centre.left"), side),
            on_side(number.point(stem + "condyle_normal.left"), side)};
  const std::string which = towards < level ? "superior" : "inferior";
  return {on_side(number.point(stem + which + "_facet_centre.left"), side),
          on_side(number.point(stem + which + "_facet_normal.left"), side)};
}

/// The bone it enters up to its joint surface, free across the joint, the other bone from its joint surface; the passes of
/// cortex share its length.
std::vector<AnchorLayer> two_bones(const Anchor& anchor, const Trajectory& path, const PathNumbers& numbers,
                                   const ParameterReader& number) {
  const Level near_level = anchor.level;
  const Level far_level = ends_at(anchor.kind, anchor.level);
  const auto depth = [&](const Facet& at) { return depth_at_plane(path.entry_mm, path.into_bone, at.centre_mm, at.normal); };
  const double leaves = depth(facet(near_level, far_level, anchor.side, number));
  const double arrives = depth(facet(far_level, near_level, anchor.side, number));
  const double shell = default_of(anchor, Purchase::unicortical, number, "cortical_length") / numbers.scalar("cortices");
  std::vector<AnchorLayer> layers;
  const auto add = [&layers](Level level, Tissue tissue, double length) {
    if (length > 0.0) layers.push_back({level, tissue, length});
  };
  const double in_near = std::min(leaves, path.length_mm);
  const double entry_shell = std::min(shell, in_near);
  const double exit_shell = std::min(shell, in_near - entry_shell);
  add(near_level, Tissue::cortex, entry_shell);
  add(near_level, Tissue::cancellous, in_near - entry_shell - exit_shell);
  add(near_level, Tissue::cortex, exit_shell);
  const double in_far = path.length_mm - arrives;
  if (in_far <= 0.0) return layers;  // too short to reach the other bone: it grips the first only
  add(near_level, Tissue::none, arrives - leaves);
  const double far_shell = std::min(shell, in_far);
  const double far_cortex = purchase_of(anchor) == Purchase::bicortical
                                ? std::min(number.scalar("trajectory.far_cortex"), in_far - far_shell)
                                : 0.0;
  add(far_level, Tissue::cortex, far_shell);
  add(far_level, Tissue::cancellous, in_far - far_shell - far_cortex);
  add(far_level, Tissue::cortex, far_cortex);
  return layers;
}

double squama_thickness(const Anchor& anchor, const Neck& neck, const ParameterReader& number) {
  if (anchor_kind(anchor.kind).midline)
    return keel_thickness(neck, occiput_place(anchor, number).below_inion_mm, number).thickness_mm;
  return number.scalar("anatomy.C0.thickness_paramedian");
}

/// Outer table, diploe, inner table as far as the screw reaches; what stands out beyond holds nothing.
std::vector<AnchorLayer> through_squama(const PathNumbers& numbers, double thickness_mm, double length_mm) {
  const double outer = numbers.scalar("outer_table") * thickness_mm;
  const double inner = (1.0 - numbers.scalar("inner_table")) * thickness_mm;
  std::vector<AnchorLayer> layers;
  double from = 0.0;
  const auto reach = [&](Tissue tissue, double depth) {
    const double to = std::min(depth, length_mm);
    if (to > from) layers.push_back({Level::C0, tissue, to - from});
    from = std::max(from, to);
  };
  reach(Tissue::cortex, outer);
  reach(Tissue::cancellous, inner);
  reach(Tissue::cortex, thickness_mm);
  return layers;
}

/// Square to the outer surface of the occiput; its length follows from the bone where it stands.
void lay_in_squama(Trajectory& path, const Anchor& anchor, const Neck& neck, const PathNumbers& numbers,
                   const ParameterReader& number) {
  const OcciputPoint surface = occiput_surface(anchor, number);
  path.entry_mm = surface.point_mm;
  path.into_bone = -surface.outward;
  const double thickness = squama_thickness(anchor, neck, number);
  if (anchor.length_mm)
    path.length_mm = *anchor.length_mm;
  else
    path.length_mm =
        purchase_of(anchor) == Purchase::bicortical ? thickness : numbers.scalar("unicortical_share") * thickness;
  path.layers = through_squama(numbers, thickness, path.length_mm);
}

void lay_from_entry(Trajectory& path, const Anchor& anchor, const Neck& neck, const PathNumbers& numbers,
                    const ParameterReader& number) {
  const LevelPlane plane = plane_of(anchor.level, number);
  const Vector3d turned = left_direction(numbers.scalar("medial"), numbers.scalar("cranial"));
  path.entry_mm = on_side(numbers.entry_left_mm(), anchor.side);
  path.into_bone = on_side(turned.x() * plane.forward + turned.y() * Vector3d::UnitY() + turned.z() * plane.up, anchor.side);
  const double usual = default_of(anchor, purchase_of(anchor), number, "length") *
                       (numbers.has("length_share") ? numbers.scalar("length_share") : 1.0);
  path.length_mm = anchor.length_mm.value_or(usual);
  if (numbers.has("height_offset")) path.entry_mm += sign(anchor.side) * numbers.scalar("height_offset") * plane.up;
  if (anchor.kind == AnchorKind::lateral_mass && anchor.level == Level::C1) {
    // The entry lies on the back of the lateral mass, half its depth behind the centre: a deeper mass has it further back.
    const std::optional<double> depth = neck.anatomy_at(anchor.level, anchor.side).lateral_mass_depth_mm;
    if (depth) path.entry_mm += 0.5 * (number.scalar("anatomy.C1.lateral_mass_depth") - *depth) * path.into_bone;
  }
  path.layers =
      crosses_a_joint(anchor.kind) ? two_bones(anchor, path, numbers, number) : one_bone(anchor, number, path.length_mm);
}

}  // namespace

std::string library_stem(AnchorKind kind, Level level, Purchase purchase) {
  std::string stem = std::string("anchor.").append(name(level)).append(".").append(anchor_kind(kind).word);
  if (anchor_kind(kind).purchase_in_ids) stem += purchase == Purchase::bicortical ? "_bicortical" : "_unicortical";
  return stem;
}

bool has_trajectory(AnchorKind kind, Level level) {
  return grip_of(kind) == Grip::screw && sits_at(kind, level);
}

double thread_diameter_mm(const Anchor& anchor, const ParameterReader& number) {
  const double usual =
      anchor.diameter_mm ? *anchor.diameter_mm : default_of(anchor, purchase_of(anchor), number, "diameter");
  return anchor.state == AnchorState::rescue ? usual + number.scalar("state.rescue.extra_diameter") : usual;
}

Eigen::Vector3d left_direction(double medial_rad, double cranial_rad) {
  return {std::cos(cranial_rad) * std::cos(medial_rad), -std::cos(cranial_rad) * std::sin(medial_rad),
          std::sin(cranial_rad)};
}

Trajectory trajectory(const Anchor& anchor, const Neck& neck, const ParameterReader& number) {
  assert(has_trajectory(anchor.kind, anchor.level));
  const PathNumbers numbers(anchor, number);
  Trajectory path;
  path.free_shank_mm = numbers.scalar("free_shank");
  path.diameter_mm = thread_diameter_mm(anchor, number);
  path.core_diameter_mm = path.diameter_mm * number.scalar("screw.core_ratio");
  path.shank_diameter_mm = path.diameter_mm * numbers.scalar("shank_ratio");
  if (anchor_kind(anchor.kind).on_squama)
    lay_in_squama(path, anchor, neck, numbers, number);
  else
    lay_from_entry(path, anchor, neck, numbers, number);
  return path;
}

}  // namespace opisthion::models
