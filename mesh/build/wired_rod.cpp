// SPDX-License-Identifier: MIT
#include "mesh/build/wired_rod.hpp"

#include <Eigen/Geometry>
#include <numbers>

#include "mesh/build/frames.hpp"
#include "mesh/build/friction.hpp"

namespace opisthion::mesh {

Vector3 rod_on_bone(const PlacedAnchor& wire, double rod_diameter_mm) {
  return wire.patch.back_mm() + 0.5 * rod_diameter_mm * wire.patch.outward;
}

double cut_in_stiffness(const Assembly& assembly) {
  const models::ParameterReader& number = assembly.number();
  return number.scalar(std::string("wire.cut_in_stiffness.").append(bone_word(assembly.neck().bone, number)));
}

double strand_stiffness(const Assembly& assembly, double wire_diameter_mm, double length_mm, double sinking_mm_per_N) {
  const double area = std::numbers::pi * wire_diameter_mm * wire_diameter_mm / 4.0;
  // Wires are of annealed steel: common practice; the modulus is that of any steel.
  const double doubled = 2.0 * assembly.number().scalar("metal.stainless_steel.modulus") * area;
  return 1.0 / (length_mm / doubled + sinking_mm_per_N);
}

void tie_down(Assembly& assembly, const PlacedAnchor& wire, BodyId rod_node, const Vector3& rod_axis, double rod_diameter_mm,
              const std::string& rod_label) {
  const models::ParameterReader& number = assembly.number();
  System& system = assembly.system();
  const models::Anchor& anchor = *wire.anchor;
  const BodyId bone = assembly.bone(anchor.level);
  system.bodies[static_cast<std::size_t>(rod_node.value)].port = true;
  const std::string on_rod = wire.label + " on " + rod_label;
  const Vector3 axis = rod_axis.normalized();
  const Vector3 outward = across(wire.patch.outward, axis);
  const Vector3 sideways = axis.cross(outward);
  const Vector3 rod = mesh::body(system, rod_node).position_mm;
  const double rod_radius = 0.5 * rod_diameter_mm;

  // The strand. Both legs carry its tension, so they pull the rod down with twice that, and the front of the bone up. When
  // the wire sinks by d at the front it gives 2 d of length for a force of 2 T: 4 T/k per tension.
  const std::string stem = models::library_stem(anchor.kind, anchor.level, models::Purchase::unicortical);
  const double wire_diameter = given_or(anchor.diameter_mm, assembly, stem + ".diameter");
  const double reach = rod_radius + 0.5 * wire_diameter;
  const double leg = rod_radius + wire.patch.thickness_mm;
  const double loop = 2.0 * leg + std::numbers::pi * reach + 2.0 * reach;  // legs, over the rod, under the bone
  const double tension = given_or(anchor.tension_N, assembly, "wire.tension");
  const int strand = static_cast<int>(system.strands.size());
  // Under the bone it slides to where it crosses the rod squarely, so that its tension does not push the rod along.
  const Vector3 front = rod - leg * outward;
  system.strands.push_back(
      {.path = {{bone, front + reach * sideways},
                {rod_node, rod + reach * sideways},
                {rod_node, rod - reach * sideways},
                {bone, front - reach * sideways}},
       .law = ToeLinear{.stiffness = strand_stiffness(assembly, wire_diameter, loop, 4.0 / cut_in_stiffness(assembly))},
       .tighten_N = tension,
       .item = assembly.item(OriginKind::wire, on_rod)});

  // The rod bears on the back of the bone. Where a round bar touches an edge, the force between them stands square to the
  // bar: so tightening presses the rod on and does not drive it along.
  const double bearing = bearing_stiffness(assembly);
  const Vector3 contact = rod - rod_radius * outward;
  const int pad = static_cast<int>(system.pads.size());
  // The bar is round: whichever way it rolls or rocks, its centre stays its radius off the bone. So the pad is the centre's,
  // and what presses neither rolls it over nor rocks it off (a point fixed to its skin would do both, with -2 T radius).
  system.pads.push_back({.a = {rod_node, rod},
                         .b = bone,
                         .vertex_mm = rod,
                         .global_from_surface = surface_frame(axis, outward),
                         .law = ToeLinear{.stiffness = bearing},
                         .item = assembly.item(OriginKind::wire, rod_label + " on bone under " + wire.label)});

  // Along the rod both of its contacts rub: F = 2 T (mu_wire-rod + mu_rod-bone). Across it rubs on the bone alone, and the
  // wire rubs about it.
  const double stick = sticking_stiffness(assembly, bearing);
  const double on_wire = number.scalar("friction.wire_on_rod");
  const double on_bone = number.scalar("friction.metal_on_bone");
  add_slip(assembly, {rod_node, contact}, bone, axis, stick, on_wire + on_bone, {of_strand(strand, 2.0)},
           "sliding of " + rod_label + " along itself under " + wire.label);
  add_slip(assembly, {rod_node, contact}, bone, sideways, stick, on_bone, {of_pad(pad)},
           "sliding of " + rod_label + " sideways under " + wire.label);
  system.slips.push_back({.a = {rod_node, rod},
                          .b = bone,
                          .direction = axis,
                          .turning = true,
                          .stiffness = stick * rod_radius * rod_radius,
                          .cap_per_N = on_wire * rod_radius,
                          .normal = {of_strand(strand, 2.0)},
                          .item = assembly.item(OriginKind::friction, "turning of " + rod_label + " under " + wire.label)});
  system.neighbours.push_back({.upper = rod_node, .lower = bone});
}

}  // namespace opisthion::mesh
