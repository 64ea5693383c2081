// SPDX-License-Identifier: MIT
#include "mesh/build/cross_link.hpp"

#include "mesh/build/frames.hpp"
#include "mesh/build/section.hpp"

namespace opisthion::mesh {

void add_bar(Assembly& assembly, const Bar& bar) {
  const models::ParameterReader& number = assembly.number();
  const std::string metal = "metal." + std::string(metal_word(bar.metal));
  const ItemId item = assembly.item(OriginKind::cross_link, bar.label);
  const auto end = [&](BodyId rod_node) {
    const Vector3 at = body(assembly.system(), rod_node).position_mm;
    const BodyId node = assembly.add_body(at, BodyKind::metal, item);
    Cushion clamp;
    clamp.a = rod_node;
    clamp.b = node;
    clamp.point_mm = at;
    const double slide = number.scalar("cross_link.lock.translation_stiffness");
    const double turn = number.scalar("cross_link.lock.rotation_stiffness");
    clamp.stiffness.diagonal() << slide, slide, slide, turn, turn, turn;
    clamp.item = assembly.item(OriginKind::lock, "lock of " + bar.label);
    assembly.system().cushions.push_back(clamp);
    return node;
  };
  const BodyId a = end(bar.from);
  const BodyId b = end(bar.to);
  const Vector3 along = body(assembly.system(), b).position_mm - body(assembly.system(), a).position_mm;
  assembly.system().beams.push_back(
      {.a = a,
       .b = b,
       .global_from_beam = beam_frame(along, Vector3::UnitZ()),
       .length_mm = along.norm(),
       .section = round_section(bar.diameter_mm, {number.scalar(metal + ".modulus"), number.scalar(metal + ".poisson")}),
       .item = item});
}

}  // namespace opisthion::mesh
