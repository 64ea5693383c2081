// SPDX-License-Identifier: MIT
#include "mesh/build/spacer.hpp"

#include "mesh/build/graft.hpp"

namespace opisthion::mesh {

void add_spacers(Assembly& assembly, const models::Construct& construct) {
  const models::ParameterReader& number = assembly.number();
  for (const models::Spacer& spacer : construct.spacers) {
    const LateralJoint joint = lateral_joint(assembly, spacer.side);
    const double length = number.scalar("spacer.length");
    const double width = number.scalar("spacer.width");
    const double height = given_or(spacer.height_mm, assembly, "spacer.height");
    // Even as a solid block the metal is stiffer than the end plates above and below, which rule.
    const double block =
        number.scalar("metal." + std::string(metal_word(spacer.metal)) + ".modulus") * length * width / height;
    fill_joint(assembly, joint,
               {.label = std::string(name(spacer.side)).append(" spacer '").append(spacer.name).append("'"),
                .kind = OriginKind::spacer,
                .slack_mm = joint.gap_mm - height,
                .stiffness_N_per_mm = in_series(block, 0.5 * number.scalar("spacer.end_plate_stiffness")),
                .length_mm = length,
                .width_mm = width,
                .friction = number.scalar("spacer.friction")});
  }
}

}  // namespace opisthion::mesh
