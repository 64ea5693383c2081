// SPDX-License-Identifier: MIT
#include <cassert>
#include <utility>

#include "mesh/build/tie.hpp"

namespace opisthion::mesh {

void add_clamp(Assembly& assembly, const models::Tie& clamp) {
  assert(clamp.side && clamp.upper != models::Level::C0 && "the reader asks for the side, and for laminae");
  const models::ParameterReader& number = assembly.number();
  const BonePatch upper = lamina(assembly, clamp.upper, *clamp.side);
  const BonePatch lower = lamina(assembly, clamp.lower, *clamp.side);
  const Vector3 above = upper.middle_mm + 0.5 * upper.height_mm * upper.up;
  const Vector3 below = lower.middle_mm - 0.5 * lower.height_mm * lower.up;
  const double half_width = number.scalar("tie.clamp.half_width");
  // Half of the clamp, and half of the bone under either hook.
  const double half_bearing = 0.5 * bearing_stiffness(assembly);
  const double stiffness = in_series(0.5 * number.scalar("tie.clamp.stiffness"), in_series(half_bearing, half_bearing));
  for (const double side : {-1.0, 1.0}) {
    const Vector3 at_upper = side * half_width * upper.sideways;
    const Vector3 at_lower = side * half_width * lower.sideways;
    Strand strand;
    // Over the edge, and down the back: the screw that draws the hooks together lies behind both laminae.
    strand.path = {{assembly.bone(clamp.upper), above + at_upper},
                   {assembly.bone(clamp.upper), above + 0.5 * upper.thickness_mm * upper.outward + at_upper},
                   {assembly.bone(clamp.lower), below + 0.5 * lower.thickness_mm * lower.outward + at_lower},
                   {assembly.bone(clamp.lower), below + at_lower}};
    strand.law = ToeLinear{.stiffness = stiffness};
    strand.tighten_N = given_or(clamp.tension_N, assembly, "tie.clamp.tension");
    strand.item = assembly.item(OriginKind::clamp, label_of(clamp));
    assembly.system().strands.push_back(std::move(strand));
  }
}

}  // namespace opisthion::mesh
