// SPDX-License-Identifier: MIT
#include "solver/core/reduced.hpp"

#include <Eigen/Geometry>
#include <cassert>

#include "solver/core/at_index.hpp"
#include "solver/core/blocks.hpp"
#include "solver/core/functional.hpp"

namespace opisthion::core {
namespace {

using mesh::BodyId;
using mesh::Matrix6;

/// Numbers the bodies that stay.
template <typename Stays>
void number(const mesh::System& system, const Stays& stays, ReducedModel& model) {
  model.first_dof.assign(system.bodies.size(), -1);
  model.dofs = 0;
  for (std::size_t i = 0; i < system.bodies.size(); ++i) {
    if (system.bodies[i].fixed || !stays(system.bodies[i])) continue;
    model.first_dof[i] = model.dofs;
    model.dofs += 6;
  }
  model.stiffness.setZero(model.dofs, model.dofs);
  model.regularisation.setZero(model.dofs, model.dofs);
  model.force0.setZero(model.dofs);
  model.dof_scale.resize(at_index(model.dofs));
  for (int i = 0; i < model.dofs; ++i) model.dof_scale[at_index(i)] = i % 6 < 3 ? 1.0 : kRotationScale_mm;
}

void add(const ReducedModel& model, Eigen::MatrixXd& target, BodyId row, BodyId column, const Matrix6& block) {
  const int i = model.first_dof[at_index(row.value)];
  const int j = model.first_dof[at_index(column.value)];
  if (i < 0 || j < 0) return;
  target.block<6, 6>(i, j) += block;
  if (i != j) target.block<6, 6>(j, i) += block.transpose();
}

void add_beam(const mesh::System& system, const mesh::Beam& beam, ReducedModel& model) {
  const PairBlocks pair = beam_blocks(beam);
  add(model, model.stiffness, beam.a, beam.a, pair.aa);
  add(model, model.stiffness, beam.a, beam.b, pair.ab);
  add(model, model.stiffness, beam.b, beam.b, pair.bb);
  if (!beam.bone.valid()) return;
  const BoneBlocks bone = bone_blocks(system, beam, pair);
  add(model, model.stiffness, beam.a, beam.bone, bone.ac);
  add(model, model.stiffness, beam.b, beam.bone, bone.bc);
  add(model, model.stiffness, beam.bone, beam.bone, bone.cc);
}

void add_cushion(const mesh::System& system, const mesh::Cushion& cushion, ReducedModel& model) {
  const PairBlocks pair = cushion_blocks(system, cushion);
  add(model, model.stiffness, cushion.a, cushion.a, pair.aa);
  add(model, model.stiffness, cushion.a, cushion.b, pair.ab);
  add(model, model.stiffness, cushion.b, cushion.b, pair.bb);
}

void add_laws(const mesh::System& system, ReducedModel& model) {
  model.functionals = functionals_of(system, model.first_dof);
  model.frictions = frictions_of(system);
  model.tightened = tightened_of(system);
  for (const mesh::NeighbourPair& pair : system.neighbours) {
    const NeighbourBlocks blocks = neighbour_blocks(system, pair);
    add(model, model.regularisation, pair.upper, pair.upper, blocks.uu);
    add(model, model.regularisation, pair.upper, pair.lower, blocks.ul);
    add(model, model.regularisation, pair.lower, pair.lower, blocks.ll);
  }
}

void add_component(const CondensedComponent& component, ReducedModel& model) {
  const int ports = static_cast<int>(component.ports.size());
  for (int p = 0; p < ports; ++p) {
    const int i = model.first_dof[at_index(component.ports[at_index(p)].value)];
    if (i < 0) continue;
    model.force0.segment<6>(i) += component.force0.segment<6>(6 * p);
    for (int r = 0; r < ports; ++r) {
      const int j = model.first_dof[at_index(component.ports[at_index(r)].value)];
      if (j >= 0) model.stiffness.block<6, 6>(i, j) += component.stiffness.block<6, 6>(6 * p, 6 * r);
    }
  }
}

/// direction . motion of the attachment; nothing for ground.
double motion_along(const mesh::System& system, const ReducedModel& model, const mesh::Attachment& at,
                    const mesh::Vector3& direction, bool rotation, const Eigen::VectorXd& q) {
  if (!at.body.valid() || mesh::body(system, at.body).fixed) return 0.0;
  const int i = model.first_dof[at_index(at.body.value)];
  assert(i >= 0 && "a probe reads a body that condenses away");
  if (rotation) return direction.dot(q.segment<3>(i + 3));
  const mesh::Vector3 arm = at.point_mm - mesh::body(system, at.body).position_mm;
  return direction.dot(q.segment<3>(i)) + arm.cross(direction).dot(q.segment<3>(i + 3));
}

}  // namespace

ReducedModel reduce(const mesh::System& system, std::span<const CondensedComponent> components) {
  ReducedModel model;
  number(
      system, [](const mesh::Body& b) { return b.port || b.kind == mesh::BodyKind::bone; }, model);
  for (const CondensedComponent& component : components) add_component(component, model);
  for (const mesh::Beam& beam : system.beams)
    if (!is_metal(system, beam.a) && !is_metal(system, beam.b)) add_beam(system, beam, model);
  for (const mesh::Cushion& cushion : system.cushions)
    if (!is_metal(system, cushion.a) && !is_metal(system, cushion.b)) add_cushion(system, cushion, model);
  add_laws(system, model);
  return model;
}

ReducedModel reduce_nothing(const mesh::System& system) {
  ReducedModel model;
  number(
      system, [](const mesh::Body&) { return true; }, model);
  for (const mesh::Beam& beam : system.beams) add_beam(system, beam, model);
  for (const mesh::Cushion& cushion : system.cushions) add_cushion(system, cushion, model);
  add_laws(system, model);
  return model;
}

Eigen::VectorXd load_vector(const mesh::System& system, const ReducedModel& model, std::span<const mesh::BodyLoad> loads) {
  Eigen::VectorXd out = Eigen::VectorXd::Zero(model.dofs);
  for (const mesh::BodyLoad& load : loads) {
    const mesh::Body& body = mesh::body(system, load.at.body);
    if (body.fixed) continue;
    const int i = model.first_dof[at_index(load.at.body.value)];
    assert(i >= 0 && "a load acts on a body that condenses away");
    out.segment<3>(i) += load.force_N;
    out.segment<3>(i + 3) += load.moment_Nmm + (load.at.point_mm - body.position_mm).cross(load.force_N);
  }
  return out;
}

double measure(const mesh::System& system, const ReducedModel& model, const mesh::Probe& probe, const Eigen::VectorXd& q) {
  const bool rotation = probe.kind == mesh::ProbeKind::rotation;
  return (rotation ? 0.0 : probe.value_at_reference) + motion_along(system, model, probe.moving, probe.axis, rotation, q) -
         motion_along(system, model, probe.base, probe.axis, rotation, q);
}

}  // namespace opisthion::core
