// SPDX-License-Identifier: MIT
#include "models/hardware/occiput_surface.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <utility>
#include <vector>

namespace opisthion::models {

namespace {

using Eigen::Vector3d;
using Samples = std::vector<std::pair<double, double>>;

/// A flatter arc is a straight line for every purpose, and its radius would run out of digits.
constexpr double kLeastBulge_mm = 0.01;

/// The midline arc. A circle over a chord L with rise s has R = (L^2/4 + s^2) / (2 s).
struct Arc {
  Vector3d along = Vector3d::UnitX();    ///< of the chord, from inion to opisthion
  Vector3d outward = Vector3d::UnitX();  ///< of the chord
  Vector3d centre = Vector3d::Zero();
  double radius_mm = 0.0;
  double half_rad = 0.0;
};

Arc midline_arc(const ParameterReader& number) {
  const Vector3d inion = number.point("point.C0.inion");
  const Vector3d opisthion = number.point("point.C0.opisthion");
  const double chord = (opisthion - inion).norm();
  const double rise = std::max(number.scalar("occiput.bulge"), kLeastBulge_mm);
  Arc arc;
  arc.along = (opisthion - inion) / chord;
  arc.outward = {arc.along.z(), 0.0, -arc.along.x()};  // a quarter turn in the midsagittal plane: backwards and down
  arc.radius_mm = (0.25 * chord * chord + rise * rise) / (2.0 * rise);
  // Beyond a half circle the angle would start to shrink again.
  assert(rise < 0.5 * chord && "the squama bulges less than a half circle");
  arc.half_rad = std::asin(0.5 * chord / arc.radius_mm);
  arc.centre = 0.5 * (inion + opisthion) - (arc.radius_mm - rise) * arc.outward;
  return arc;
}

/// Straight between samples, the end value beyond them.
double at(const Samples& samples, double x) {
  if (x <= samples.front().first) return samples.front().second;
  for (std::size_t i = 1; i < samples.size(); ++i) {
    const auto& [x0, y0] = samples[i - 1];
    const auto& [x1, y1] = samples[i];
    if (x <= x1) return y0 + (y1 - y0) * (x - x0) / (x1 - x0);
  }
  return samples.back().second;
}

}  // namespace

OcciputPoint occiput_surface(double below_inion_mm, double lateral_mm, const ParameterReader& number) {
  const Arc arc = midline_arc(number);
  const double turn = below_inion_mm / arc.radius_mm - arc.half_rad;
  const Vector3d outward = std::cos(turn) * arc.outward + std::sin(turn) * arc.along;
  OcciputPoint out;
  out.to_foramen = std::cos(turn) * arc.along - std::sin(turn) * arc.outward;
  out.outward = outward;
  out.point_mm = arc.centre + arc.radius_mm * outward;
  if (lateral_mm != 0.0) {
    const double radius = number.scalar("occiput.lateral_radius");
    assert(std::abs(lateral_mm) < radius);
    const double side = std::asin(lateral_mm / radius);
    out.point_mm += lateral_mm * Vector3d::UnitY() - radius * (1.0 - std::cos(side)) * outward;
    out.outward = std::cos(side) * outward + std::sin(side) * Vector3d::UnitY();
  }
  return out;
}

double occiput_length_mm(const ParameterReader& number) {
  const Arc arc = midline_arc(number);
  return 2.0 * arc.half_rad * arc.radius_mm;
}

KeelThickness keel_thickness(const Neck& neck, double below_inion_mm, const ParameterReader& number) {
  const Samples generic = number.curve("anatomy.C0.keel_thickness");
  const double length = occiput_length_mm(number);
  const double above = length - below_inion_mm;  // the foramen
  Samples share;                                 // from below to above, as the curve
  if (const LevelAnatomy* measured = neck.level_anatomy(Level::C0)) {
    const auto add = [&](const std::optional<double>& thickness, double height) {
      if (thickness) share.emplace_back(height, *thickness / at(generic, height));
    };
    if (measured->keel_lower_mm)
      add(measured->keel_lower_mm, std::min(number.scalar("anatomy.C0.keel_lower_above_foramen"), 0.5 * length - 1.0));
    add(measured->keel_middle_mm, 0.5 * length);
    add(measured->keel_upper_mm, length);
  }
  KeelThickness out;
  out.generic = share.empty();
  if (above < 0.0) return out;
  out.thickness_mm = at(generic, above) * (share.empty() ? 1.0 : at(share, above));
  return out;
}

OcciputPlace occiput_place(const Anchor& anchor, const ParameterReader& number) {
  const AnchorKindRow& kind = anchor_kind(anchor.kind);
  assert(kind.on_squama);
  const std::string stem = std::string("trajectory.C0.").append(kind.word);
  OcciputPlace place;
  place.below_inion_mm = anchor.below_inion_mm ? *anchor.below_inion_mm : number.scalar(stem + ".below_inion");
  if (!kind.midline) place.beside_midline_mm = number.scalar(stem + ".beside_midline");
  return place;
}

OcciputPoint occiput_surface(const Anchor& anchor, const ParameterReader& number) {
  const OcciputPlace place = occiput_place(anchor, number);
  OcciputPoint out = occiput_surface(place.below_inion_mm, place.beside_midline_mm, number);
  const Side side = is_midline(anchor.kind) ? Side::left : anchor.side;
  out.point_mm = on_side(out.point_mm, side);
  out.outward = on_side(out.outward, side);
  return out;
}

}  // namespace opisthion::models
