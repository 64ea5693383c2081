// SPDX-License-Identifier: MIT
#include <array>

#include "mesh/build/measures.hpp"
#include "mesh/build/neck_parts.hpp"
#include "models/quantity/units.hpp"

namespace opisthion::mesh {

using models::Level;

namespace {

struct Named {
  std::string_view name;
  Vector3 axis;
};

// Rotations about the axes of the lower body, which are the global ones in the reference pose.
std::array<Named, 3> rotations() {
  return {{{"flexion", Vector3::UnitY()}, {"bending", Vector3::UnitX()}, {"rotation", Vector3::UnitZ()}}};
}
std::array<Named, 3> directions() {
  return {{{"x", Vector3::UnitX()}, {"y", Vector3::UnitY()}, {"z", Vector3::UnitZ()}}};
}

void add_rotations(Assembly& assembly, const std::string& stem, const Attachment& upper, const Attachment& lower) {
  for (const Named& r : rotations())
    assembly.mesh().probes.push_back({.id = stem + "/rotation/" + std::string(r.name),
                                      .kind = ProbeKind::rotation,
                                      .moving = upper,
                                      .base = lower,
                                      .axis = r.axis});
}

/// Distance between two points along an axis.
void add_interval(Assembly& assembly, std::string id, const Attachment& moving, const Attachment& base,
                  const Vector3& axis) {
  assembly.mesh().probes.push_back({.id = std::move(id),
                                    .kind = ProbeKind::travel,
                                    .moving = moving,
                                    .base = base,
                                    .axis = axis,
                                    .value_at_reference = axis.dot(moving.point_mm - base.point_mm)});
}

void add_joint(Assembly& assembly, models::JointId joint) {
  const models::ParameterReader& number = assembly.number();
  const std::string stem = name(joint);
  const Vector3 at = assembly.reference_point(joint.upper);
  const Attachment upper = assembly.on(joint.upper, at);
  const Attachment lower = assembly.on(joint.lower, at);
  add_rotations(assembly, stem, upper, lower);
  for (const Named& d : directions())
    assembly.mesh().probes.push_back({.id = stem + "/translation/" + std::string(d.name),
                                      .kind = ProbeKind::travel,
                                      .moving = upper,
                                      .base = lower,
                                      .axis = d.axis});
  const std::string own = "joint." + stem + ".physical_end";
  const double end = number.scalar(number.has(own) ? own : "joint.physical_end");
  assembly.mesh().joints.push_back(
      {.name = stem, .upper = upper.body, .lower = lower.body, .physical_end_deg = models::to_deg(end)});
}

Attachment dens_back(const Assembly& assembly) {
  return assembly.on_dens(assembly.dens_point("dens_posterior_surface_at_tl_level"));
}

void add_atlas_measures(Assembly& assembly) {
  const Attachment arch = assembly.on(Level::C1, assembly.point(Level::C1, "anterior_arch_posterior"));
  const bool with_dens = assembly.dens().valid();
  if (with_dens) {
    const Attachment dens_front = assembly.on_dens(assembly.dens_point("dens_anterior_facet_centre"));
    add_interval(assembly, "atlas_dens_interval", arch, dens_front, dens_ring(assembly).anterior);
  }

  const Vector3 ring = assembly.point(Level::C1, "ring_reference");
  assembly.mesh().probes.push_back({.id = "c1_slip",
                                    .kind = ProbeKind::travel,
                                    .moving = assembly.on(Level::C1, ring),
                                    .base = assembly.on(Level::C2, ring),
                                    .axis = Vector3::UnitX()});

  const Attachment arch_back = assembly.on(Level::C1, assembly.point(Level::C1, "posterior_arch_inner"));
  const Attachment body_back = assembly.on(Level::C2, assembly.point(Level::C2, "pll_attachment"));
  const Attachment lamina = assembly.on(Level::C2, assembly.point(Level::C2, "spinolaminar_point"));
  // An arch or a lamina that was taken off leaves the cord no bone to be pressed against.
  const models::Neck& neck = assembly.neck();
  const bool has_arch = !neck.has(models::InstabilityKind::laminectomy, Level::C1);
  const bool has_lamina = !neck.has(models::InstabilityKind::laminectomy, Level::C2);
  if (with_dens && has_arch)
    add_interval(assembly, "cord_room/arch_to_dens", dens_back(assembly), arch_back, Vector3::UnitX());
  if (has_arch) add_interval(assembly, "cord_room/arch_to_C2", body_back, arch_back, Vector3::UnitX());
  if (with_dens && has_lamina)
    add_interval(assembly, "cord_room/dens_to_lamina", dens_back(assembly), lamina, Vector3::UnitX());
}

/// The two pincers of the canal between neighbours below C2, along the lower end plate: the upper lamina against the lower
/// body, which a forward slip closes, and the upper body against the lower lamina, which a backward one does.
void add_canal(Assembly& assembly, models::JointId joint) {
  const models::Neck& neck = assembly.neck();
  const Vector3 forward = assembly.pose(joint.lower).linear() * forward_in(joint, assembly.number());
  const auto at = [&](Level level, std::string_view slug) { return assembly.on(level, assembly.point(level, slug)); };
  const std::string stem = "cord_room/" + name(joint);
  if (!neck.has(models::InstabilityKind::laminectomy, joint.upper))
    add_interval(assembly, stem + "/lamina_to_body", at(joint.lower, "pll_attachment"),
                 at(joint.upper, "spinolaminar_point"), forward);
  if (!neck.has(models::InstabilityKind::laminectomy, joint.lower))
    add_interval(assembly, stem + "/body_to_lamina", at(joint.upper, "pll_attachment"),
                 at(joint.lower, "spinolaminar_point"), forward);
}

}  // namespace

void add_probes(Assembly& assembly) {
  const models::Neck& neck = assembly.neck();
  for (const models::JointId joint : neck.joint_ids()) {
    add_joint(assembly, joint);
    if (joint.upper >= Level::C2) add_canal(assembly, joint);
  }
  const models::Bench& bench = assembly.the_case().bench;
  if (bench.top) {
    const Vector3 at = assembly.reference_point(*bench.top);
    add_rotations(assembly, "overall", assembly.on(*bench.top, at), assembly.on(bench.bottom, at));
  }
  if (neck.contains(Level::C1) && neck.contains(Level::C2)) add_atlas_measures(assembly);
}

}  // namespace opisthion::mesh
