// SPDX-License-Identifier: MIT
#include "solver/core/full/model.hpp"

#include <algorithm>
#include <cassert>

#include "solver/core/at_index.hpp"
#include "solver/core/blocks.hpp"
#include "solver/core/reduced.hpp"

namespace opisthion::core::full {
namespace {

template <typename Stays>
void number(const Stays& stays, Model& model) {
  model.first_dof.assign(model.system.bodies.size(), -1);
  for (std::size_t i = 0; i < model.system.bodies.size(); ++i) {
    if (model.system.bodies[i].fixed || !stays(model.system.bodies[i])) continue;
    model.first_dof[i] = model.dofs;
    model.dofs += 6;
  }
  model.dof_scale.resize(at_index(model.dofs));
  for (int i = 0; i < model.dofs; ++i) model.dof_scale[at_index(i)] = i % 6 < 3 ? 1.0 : kRotationScale_mm;
}

int add_slide(Model& model, SlideGeometry geometry) {
  model.slides.push_back(std::move(geometry));
  return static_cast<int>(model.slides.size()) - 1;
}

void add_laws(Model& model) {
  const mesh::System& system = model.system;
  for (std::size_t i = 0; i < system.strands.size(); ++i) {
    const mesh::Strand& strand = system.strands[i];
    model.strands.push_back(strand_geometry(system, static_cast<int>(i)));
    model.laws.push_back({.kind = LawElement::Kind::strand,
                          .geometry = static_cast<int>(i),
                          .law = strand.law,
                          .item = strand.item,
                          .strand = true,
                          .tighten_N = strand.tighten_N});
  }
  for (std::size_t i = 0; i < system.pads.size(); ++i) {
    const mesh::Pad& pad = system.pads[i];
    model.pads.push_back(pad_geometry(system, pad));
    model.laws.push_back({.kind = LawElement::Kind::pad,
                          .geometry = static_cast<int>(i),
                          .law = pad.law,
                          .item = pad.item,
                          .tighten_N = pad.tighten_N});
  }
  for (const mesh::Ring& ring : system.rings) {
    model.laws.push_back({.kind = LawElement::Kind::slide,
                          .geometry = add_slide(model, arch_geometry(system, ring)),
                          .law = ring.arch,
                          .item = ring.arch_item});
    if (!ring.has_ligament) continue;
    model.laws.push_back({.kind = LawElement::Kind::slide,
                          .geometry = add_slide(model, ring_ligament_geometry(system, ring)),
                          .law = ring.ligament,
                          .item = ring.ligament_item,
                          .strand = true});
  }
  for (const mesh::Slip& slip : system.slips) {
    FrictionElement friction{
        .law = static_cast<int>(model.laws.size()), .stiffness = slip.stiffness, .cap_per_N = slip.cap_per_N};
    for (const mesh::NormalForce& normal : slip.normal) {
      const bool strand = normal.of == mesh::NormalForce::Of::strand;
      friction.normal.push_back({normal.index + (strand ? 0 : static_cast<int>(system.strands.size())), normal.weight});
    }
    model.frictions.push_back(std::move(friction));
    LawElement law{.kind = LawElement::Kind::slide, .item = slip.item};
    if (slip.turning) {
      law.kind = LawElement::Kind::turn;
      law.geometry = static_cast<int>(model.turns.size());
      model.turns.push_back(turn_geometry(slip));
    } else {
      law.geometry = add_slide(model, slip_geometry(system, slip));
    }
    model.laws.push_back(law);
  }
  for (const mesh::AxisCushion& cushion : system.axis_cushions)
    model.linear.push_back(axis_cushion_element(system, cushion));
  for (const mesh::NeighbourPair& pair : system.neighbours) model.regularisation.push_back(neighbour_tie(system, pair));
}

/// Where a component grips a port: the middle of the metal that leans on that bone or is locked to it; metal's own place.
Vector3 gripped_at(const mesh::System& system, const mesh::Component& component, BodyId port) {
  Vector3 own = mesh::body(system, port).position_mm;
  if (is_metal(system, port)) return own;
  Vector3 sum = Vector3::Zero();
  int count = 0;
  const auto take = [&](const Vector3& at) {
    sum += at;
    ++count;
  };
  for (const int i : component.beams) {
    const mesh::Beam& beam = system.beams[at_index(i)];
    if (beam.bone != port) continue;
    take(0.5 * (mesh::body(system, beam.a).position_mm + mesh::body(system, beam.b).position_mm));
  }
  for (const int i : component.cushions) {
    const mesh::Cushion& cushion = system.cushions[at_index(i)];
    if (cushion.a == port || cushion.b == port) take(cushion.point_mm);
  }
  return count > 0 ? Vector3(sum / count) : own;
}

void add_beam(Model& model, const mesh::Beam& beam) {
  model.linear.push_back(beam.bone.valid() ? bedded_beam_element(model.system, beam) : beam_element(model.system, beam));
}

}  // namespace

Model make_model(const mesh::System& system, std::span<const mesh::Component> components,
                 std::span<const CondensedComponent> parts) {
  assert(components.size() == parts.size());
  Model model;
  model.system = system;
  number([](const mesh::Body& b) { return b.port || b.kind == mesh::BodyKind::bone; }, model);
  for (std::size_t c = 0; c < parts.size(); ++c) {
    std::vector<Vector3> points;
    points.reserve(parts[c].ports.size());
    for (const BodyId port : parts[c].ports) points.push_back(gripped_at(system, components[c], port));
    model.linear.push_back(component_element(system, parts[c].ports, parts[c].stiffness, points));
  }
  model.components = static_cast<int>(parts.size());
  for (const mesh::Beam& beam : system.beams)
    if (!is_metal(system, beam.a) && !is_metal(system, beam.b)) add_beam(model, beam);
  for (const mesh::Cushion& cushion : system.cushions)
    if (!is_metal(system, cushion.a) && !is_metal(system, cushion.b))
      model.linear.push_back(cushion_element(system, cushion));
  add_laws(model);
  return model;
}

Model make_whole_model(const mesh::System& system) {
  Model model;
  model.system = system;
  number([](const mesh::Body&) { return true; }, model);
  for (const mesh::Beam& beam : system.beams) add_beam(model, beam);
  for (const mesh::Cushion& cushion : system.cushions) model.linear.push_back(cushion_element(system, cushion));
  add_laws(model);
  return model;
}

State reference_state(const Model& model) {
  return {.poses = reference_poses(model.system),
          .slip = std::vector<double>(model.frictions.size(), 0.0),
          .cap = std::vector<double>(model.frictions.size(), 0.0)};
}

void measure_law(const Model& model, int law, std::span<const Pose> poses, Order order, Measure& out) {
  const LawElement& element = model.laws[at_index(law)];
  const std::size_t i = at_index(element.geometry);
  switch (element.kind) {
    case LawElement::Kind::strand:
      return measure(model.strands[i], poses, order, out);
    case LawElement::Kind::pad:
      return measure(model.pads[i], poses, order, out);
    case LawElement::Kind::slide:
      return measure(model.slides[i], poses, order, out);
    case LawElement::Kind::turn:
      return measure(model.turns[i], poses, order, out);
  }
}

double elongation(const Model& model, int law, std::span<const Pose> poses) {
  Measure out;
  measure_law(model, law, poses, Order::value, out);
  return out.value;
}

Eigen::VectorXd motion_between(const Model& model, std::span<const Pose> from, std::span<const Pose> to) {
  Eigen::VectorXd out(model.dofs);
  for (std::size_t i = 0; i < model.first_dof.size(); ++i) {
    const int first = model.first_dof[i];
    if (first < 0) continue;
    out.segment<3>(first) = to[i].position_mm - from[i].position_mm;
    out.segment<3>(first + 3) = log_rotation(to[i].rotation * from[i].rotation.transpose());
  }
  return out;
}

void move(const Model& model, const Eigen::VectorXd& step, Poses& poses) {
  for (std::size_t i = 0; i < model.first_dof.size(); ++i)
    if (const int first = model.first_dof[i]; first >= 0) poses[i] = moved(poses[i], step.segment<6>(first));
}

}  // namespace opisthion::core::full
