// SPDX-License-Identifier: MIT
#include "mesh/build/fractures.hpp"

#include "mesh/build/frames.hpp"
#include "mesh/build/injury.hpp"

namespace opisthion::mesh {

using models::Level;
using models::Side;

namespace {

struct DensBase {
  Vector3 centre_mm;
  Matrix3 frame;  ///< columns: forward, left, along the dens
};

DensBase dens_base(const Assembly& assembly) {
  const Vector3 base = assembly.dens_point("dens_base_centre");
  return {base, surface_frame(Vector3::UnitX(), assembly.dens_point("dens_tip") - base)};
}

}  // namespace

void add_fibrous_tissue(Assembly& assembly) {
  const models::ParameterReader& number = assembly.number();
  const DensBase base = dens_base(assembly);
  Cushion scar;
  scar.a = assembly.bone(Level::C2);
  scar.b = assembly.dens();
  scar.point_mm = base.centre_mm;
  scar.global_from_cushion = base.frame;
  const double shear = number.scalar("fibrous.dens_base.shear");
  const double bending = number.scalar("fibrous.dens_base.bending");
  scar.stiffness.diagonal() << shear, shear, number.scalar("fibrous.dens_base.axial"), bending, bending,
      number.scalar("fibrous.dens_base.torsion");
  scar.item = assembly.item(OriginKind::fibrous_tissue, "fibrous tissue at the dens base");
  assembly.system().cushions.push_back(scar);
}

void add_broken_dens_surfaces(Assembly& assembly) {
  const models::ParameterReader& number = assembly.number();
  const DensBase base = dens_base(assembly);
  const ItemId item = assembly.item(OriginKind::contact, "broken surfaces at the dens base");
  // A quarter of an ellipse's axis is its radius of gyration about the other one.
  const double x = 0.25 * number.scalar("fracture.dens_base.depth");
  const double y = 0.25 * number.scalar("fracture.dens_base.width");
  const double stiffness = number.scalar("fracture.dens_base.contact_stiffness");
  for (const double at_x : {x, -x})
    for (const double at_y : {y, -y})
      assembly.system().pads.push_back({.a = assembly.on_dens(base.centre_mm + base.frame * Vector3(at_x, at_y, 0.0)),
                                        .b = assembly.bone(Level::C2),
                                        .vertex_mm = base.centre_mm,
                                        .global_from_surface = base.frame,
                                        .law = ToeLinear{.stiffness = 0.25 * stiffness},
                                        .item = item});
}

void add_broken_lateral_masses(Assembly& assembly) {
  const models::ParameterReader& number = assembly.number();
  const BodyId ring = assembly.bone(Level::C1);
  for (const Side side : {Side::left, Side::right}) {
    if (!ring_broken(assembly.neck(), side)) continue;
    const std::string called = std::string(name(side)).append(" lateral mass of C1");
    const Vector3 centre = assembly.point(Level::C1, "lateral_mass_centre", side);
    const BodyId mass = assembly.add_body(centre, BodyKind::bone, assembly.item(OriginKind::ring_fragment, called));
    assembly.set_lateral_mass_of_c1(side, mass);
    assembly.system().neighbours.push_back({.upper = mass, .lower = ring});
    const double slide = number.scalar("fracture.ring.translation_stiffness");
    const double turn = number.scalar("fracture.ring.rotation_stiffness");
    for (const auto& [arch, slug] :
         {std::pair{"anterior", "anterior_arch_posterior"}, {"posterior", "posterior_arch_inner"}}) {
      Cushion tie;
      tie.a = ring;
      tie.b = mass;
      tie.point_mm = 0.5 * (centre + assembly.point(Level::C1, slug));
      tie.stiffness.diagonal() << slide, slide, slide, turn, turn, turn;
      tie.item = assembly.item(OriginKind::fibrous_tissue,
                               "fracture of the " + std::string(arch) + " arch of C1, " + std::string(name(side)));
      assembly.system().cushions.push_back(tie);
    }
  }
}

}  // namespace opisthion::mesh
