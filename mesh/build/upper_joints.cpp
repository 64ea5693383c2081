// SPDX-License-Identifier: MIT
#include <Eigen/Geometry>
#include <cmath>

#include "mesh/build/frames.hpp"
#include "mesh/build/injury.hpp"
#include "mesh/build/joint_parts.hpp"
#include "mesh/build/neck_parts.hpp"

namespace opisthion::mesh {

using models::JointId;
using models::Level;
using models::Side;

namespace {

constexpr Side kSides[]{Side::left, Side::right};

std::string sided(Side side, std::string_view what) {
  return std::string(name(side)).append(" ").append(what);
}

}  // namespace

void add_occipitoatlantal_joint(Assembly& assembly) {
  const models::ParameterReader& number = assembly.number();
  const models::Neck& neck = assembly.neck();
  const JointId joint{Level::C0, Level::C1};
  const JointTuning tuned = tuning(assembly, joint);
  const double turn = number.scalar("joint.C0-C1.axis_convergence");
  for (const Side side : kSides) {
    // The condyles converge forward: their long axes turn towards the midline.
    const Vector3 forward = models::on_side({std::cos(turn), -std::sin(turn), 0.0}, side);
    const Facing face = facing(sided(side, "C0-C1 condylar joint"), assembly.bone(Level::C0), assembly.bone(Level::C1, side),
                               assembly.point(Level::C0, "condyle_contact_centre", side),
                               assembly.direction(Level::C0, "condyle_normal", side),
                               assembly.point(Level::C1, "superior_facet_centre", side),
                               assembly.direction(Level::C1, "superior_facet_normal", side), forward,
                               number.scalar("joint.C0-C1.surface_length"), number.scalar("joint.C0-C1.surface_width"));
    const SurfaceState left = surface_state(neck, joint, side, number);
    add_pads(assembly, face, 1.0 / number.scalar("joint.C0-C1.sagittal_radius"),
             1.0 / number.scalar("joint.C0-C1.coronal_radius"), number.scalar("joint.C0-C1.gap"),
             number.scalar("joint.C0-C1.contact_stiffness"), tuned, left);
    if (!occiput_torn_off(neck)) add_capsule(assembly, face, "joint.C0-C1", "ligament.C0-C1.capsule", 1.0, tuned, left);
  }
  if (occiput_torn_off(neck)) return;
  add_midline_ligament(
      assembly, "anterior atlanto-occipital membrane", assembly.on(Level::C0, assembly.point(Level::C0, "aaom_attachment")),
      assembly.on(Level::C1, assembly.point(Level::C1, "anterior_arch_top_edge")),
      number.scalar("joint.C0-C1.anterior_membrane.half_width"), "ligament.C0-C1.anterior_membrane", 1.0, tuned);
  if (posterior_ligaments_gone(neck, joint)) return;
  add_midline_ligament(
      assembly, "posterior atlanto-occipital membrane", assembly.on(Level::C0, assembly.point(Level::C0, "opisthion")),
      assembly.on(Level::C1, assembly.point(Level::C1, "posterior_arch_top_edge")),
      number.scalar("joint.C0-C1.posterior_membrane.half_width"), "ligament.C0-C1.posterior_membrane", 1.0, tuned);
}

DensRing dens_ring(const Assembly& assembly) {
  const auto library = [&](Level level, std::string_view slug) {
    return assembly.number().point(std::string("point.").append(name(level)).append(".").append(slug));
  };
  const Vector3 base = library(Level::C2, "dens_base_centre");
  const Vector3 arch = library(Level::C1, "anterior_arch_posterior");
  const Vector3 facet = library(Level::C2, "dens_anterior_facet_centre");
  DensRing ring;
  ring.axis_point_mm = assembly.point(Level::C1, "ring_reference");
  const Vector3 axis = (library(Level::C2, "dens_tip") - base).normalized();
  const Vector3 anterior = across(arch - facet, axis);
  ring.arch_gap_mm = (arch - facet).dot(anterior);
  ring.axis = assembly.dens_pose().linear() * axis;
  ring.anterior = assembly.pose(Level::C1).linear() * anterior;
  return ring;
}

namespace {

/// What keeps the atlas from riding off the dens sideways: its lateral masses left and right of the dens. Each is a wall of
/// C1 that the dens meets on the dens axis, so that turning about that axis costs nothing, as in the ring.
void add_dens_side_contacts(Assembly& assembly, const DensRing& at, const JointTuning& tuned) {
  const models::ParameterReader& number = assembly.number();
  const Vector3 leftward = at.axis.cross(at.anterior);
  for (const Side side : kSides) {
    if (assembly.neck().has(models::InstabilityKind::lateral_mass_destroyed, Level::C1, side)) continue;
    const Vector3 to_dens = -models::sign(side) * leftward;
    assembly.system().pads.push_back(
        {.a = assembly.on_dens(at.axis_point_mm),
         .b = assembly.bone(Level::C1, side),
         .vertex_mm = at.axis_point_mm,
         .global_from_surface = surface_frame(at.anterior, to_dens),
         .law = contact_law(number.scalar("joint.C1-C2.lateral_dens_gap"),
                            number.scalar("joint.C1-C2.arch_contact_stiffness"), tuned),
         .item = assembly.item(OriginKind::contact, "dens on the " + sided(side, "lateral mass of C1"))});
  }
}

}  // namespace

namespace {

void add_ring(Assembly& assembly, const DensRing& at, const JointTuning& tuned) {
  const models::ParameterReader& number = assembly.number();
  Ring ring;
  ring.dens = assembly.dens();
  ring.ring = assembly.bone(Level::C1);
  ring.axis_point_mm = at.axis_point_mm;
  ring.axis = at.axis;
  ring.anterior = at.anterior;
  ring.arch = contact_law(at.arch_gap_mm - number.scalar("joint.C1-C2.arch_cartilage"),
                          number.scalar("joint.C1-C2.arch_contact_stiffness"), tuned);
  ring.has_ligament = !transverse_ligament_gone(assembly.neck());
  // The dens pushes the middle of the ligament back; both halves stand at half their angle to that push.
  ring.ligament_gain = 2.0 * std::cos(0.5 * number.scalar("joint.C1-C2.transverse_ligament_angle"));
  if (ring.has_ligament) ring.ligament = std::get<ToeLinear>(ligament_law(number, "ligament.C1.transverse", 1.0, tuned));
  ring.arch_item = assembly.item(OriginKind::ring, "dens on the anterior arch of C1");
  ring.ligament_item = assembly.item(OriginKind::ligament, "transverse ligament");
  assembly.system().rings.push_back(ring);
  if (ring.has_ligament && (ring_broken(assembly.neck(), Side::left) || ring_broken(assembly.neck(), Side::right)))
    assembly.system().strands.push_back(
        {.path = {assembly.on(Level::C1, assembly.point(Level::C1, "transverse_ligament_tubercle", Side::left), Side::left),
                  assembly.on(Level::C1, assembly.point(Level::C1, "transverse_ligament_tubercle", Side::right),
                              Side::right)},
         .law = ring.ligament,
         .item = ring.ligament_item});
}

}  // namespace

void add_atlantoaxial_joint(Assembly& assembly) {
  const models::ParameterReader& number = assembly.number();
  const models::Neck& neck = assembly.neck();
  const JointId joint{Level::C1, Level::C2};
  const JointTuning tuned = tuning(assembly, joint);
  for (const Side side : kSides) {
    const Facing face = facing(sided(side, "C1-C2 lateral joint"), assembly.bone(Level::C1, side), assembly.bone(Level::C2),
                               assembly.point(Level::C1, "inferior_facet_centre", side),
                               assembly.direction(Level::C1, "inferior_facet_normal", side),
                               assembly.point(Level::C2, "superior_facet_centre", side),
                               assembly.direction(Level::C2, "superior_facet_normal", side), Vector3::UnitX(),
                               number.scalar("joint.C1-C2.surface_length"), number.scalar("joint.C1-C2.surface_width"));
    const SurfaceState left = surface_state(neck, joint, side, number);
    // Both surfaces bulge (convex on convex), so neither is a cup that would guide the other: planes.
    add_pads(assembly, face, 0.0, 0.0, number.scalar("joint.C1-C2.lateral_gap"),
             number.scalar("joint.C1-C2.contact_stiffness"), tuned, left);
    add_capsule(assembly, face, "joint.C1-C2", "ligament.C1-C2.capsule", 1.0, tuned, left);
  }

  if (!dens_removed(neck)) {
    const DensRing at = dens_ring(assembly);
    add_ring(assembly, at, tuned);
    add_dens_side_contacts(assembly, at, tuned);
  }
  if (!bodies_apart(neck, joint))
    add_midline_ligament(assembly, "anterior atlanto-axial membrane",
                         assembly.on(Level::C1, assembly.point(Level::C1, "anterior_arch_bottom_edge")),
                         assembly.on(Level::C2, assembly.point(Level::C2, "all_attachment_c1_c2_aaam")),
                         number.scalar("joint.C1-C2.anterior_membrane.half_width"), "ligament.C1-C2.anterior_membrane", 1.0,
                         tuned);
  if (posterior_ligaments_gone(neck, joint)) return;
  add_midline_ligament(assembly, "posterior atlanto-axial membrane",
                       assembly.on(Level::C1, assembly.point(Level::C1, "posterior_arch_bottom_edge")),
                       assembly.on(Level::C2, assembly.point(Level::C2, "paam_attachment")),
                       number.scalar("joint.C1-C2.posterior_membrane.half_width"), "ligament.C1-C2.posterior_membrane", 1.0,
                       tuned);
}

void add_occipitoaxial_ligaments(Assembly& assembly) {
  const models::ParameterReader& number = assembly.number();
  const JointTuning as_is{};  // they belong to no single joint, so a stiff joint leaves them alone
  const models::Neck& neck = assembly.neck();
  const Attachment lower = assembly.on(Level::C2, assembly.point(Level::C2, "tectorial_cruciate_lower_attachment"));
  if (!tectorial_gone(neck))
    add_midline_ligament(assembly, "tectorial membrane", assembly.on(Level::C0, assembly.point(Level::C0, "clivus_10_mm")),
                         lower, number.scalar("joint.C0-C2.tectorial.half_width"), "ligament.C0-C2.tectorial", 1.0, as_is);
  if (!cruciate_vertical_gone(neck))
    add_midline_ligament(
        assembly, "vertical band of the cruciate ligament", assembly.on(Level::C0, assembly.point(Level::C0, "clivus_5_mm")),
        lower, number.scalar("joint.C0-C2.cruciate_vertical.half_width"), "ligament.C0-C2.cruciate_vertical", 1.0, as_is);
  if (!apical_gone(neck))
    add_midline_ligament(assembly, "apical ligament", assembly.on(Level::C0, assembly.point(Level::C0, "basion")),
                         assembly.on_dens(assembly.point(Level::C2, "dens_tip")), 0.0, "ligament.C0-C2.apical", 1.0, as_is);
  for (const Side side : kSides) {
    if (alar_gone(neck, side)) continue;
    const Attachment occiput = assembly.on(Level::C0, assembly.point(Level::C0, "alar_attachment", side));
    const Attachment dens = assembly.on_dens(assembly.point(Level::C2, "alar_attachment", side));
    const ItemId item = assembly.item(OriginKind::ligament, sided(side, "alar ligament"));
    // Two strands, one above the other along the dens: half the width of the ligament apart from its middle.
    const Vector3 up = number.scalar("joint.C0-C2.alar.half_width") * dens_ring(assembly).axis;
    const ScalarLaw law = ligament_law(number, "ligament.C0-C2.alar", 0.5, as_is);
    for (const double way : {1.0, -1.0})
      assembly.system().strands.push_back(
          {.path = {{occiput.body, occiput.point_mm + way * up}, {dens.body, dens.point_mm + way * up}},
           .law = law,
           .item = item});
  }
}

void add_nuchal_ligament(Assembly& assembly) {
  const Level lowest = lowest_spinous_process(assembly.neck());
  if (lowest < Level::C2) return;
  add_midline_ligament(assembly, "nuchal ligament", assembly.on(Level::C0, assembly.point(Level::C0, "inion")),
                       assembly.on(lowest, assembly.point(lowest, "spinous_tip")), 0.0, "ligament.nuchal", 1.0, {});
}

}  // namespace opisthion::mesh
