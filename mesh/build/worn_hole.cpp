// SPDX-License-Identifier: MIT
#include "mesh/build/worn_hole.hpp"

#include "mesh/build/frames.hpp"

namespace opisthion::mesh {

namespace {

/// Free between -play and +play, a straight line beyond.
Polygon with_play(double play, double stiffness) {
  Polygon law;
  law.count = 2;
  law.at[0] = -play;
  law.at[1] = play;
  law.slope_below = law.slope_above = stiffness;
  return law;
}

}  // namespace

BodyId add_worn_hole(Assembly& assembly, BodyId bone, const Vector3& middle_mm, const Vector3& axis, double embedded_mm,
                     const std::string& label) {
  const models::ParameterReader& number = assembly.number();
  const double clearance = number.scalar("screw.loose.clearance");
  const double wall = number.scalar("screw.loose.wall_stiffness");
  const double half = 0.5 * embedded_mm;
  const ItemId item = assembly.item(OriginKind::worn_hole, "worn hole of " + label);
  const BodyId hole = assembly.add_body(middle_mm, BodyKind::bone, item);
  AxisCushion play;
  play.a = bone;
  play.b = hole;
  play.point_mm = middle_mm;
  play.global_from_cushion = beam_frame(axis, Vector3::UnitZ());
  const Polygon sideways = with_play(clearance, wall);
  // Tilted by its clearance over half its length, the screw touches the hole at both mouths; they take the moment.
  const Polygon tilting = with_play(clearance / half, 2.0 * (0.5 * wall) * half * half);
  const Polygon held = two_slopes(wall, wall);
  const Polygon turning = two_slopes(wall * half * half, wall * half * half);
  play.laws = {held, sideways, sideways, turning, tilting, tilting};
  play.item = item;
  assembly.system().axis_cushions.push_back(play);
  assembly.system().neighbours.push_back({.upper = hole, .lower = bone});
  return hole;
}

}  // namespace opisthion::mesh
