// SPDX-License-Identifier: MIT
#include "solver/core/assemble.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>

#include "solver/core/at_index.hpp"
#include "solver/core/beam.hpp"
#include "solver/core/blocks.hpp"
#include "solver/core/friction.hpp"
#include "solver/core/loosened.hpp"
#include "solver/core/newton.hpp"
#include "solver/core/small_dense.hpp"

namespace opisthion::core {
namespace {

using mesh::BodyId;
using mesh::Component;
using mesh::System;
using mesh::Vector6;

constexpr double kRunawayMove_mm = 0.05;  // scaled measure, from eps to eps/10
constexpr double kRunawayShare = 0.01;    // of the motion
constexpr double kFading = 0.1;
constexpr double kBucklingEps = 0.01;  // the least regularisation that stability is judged with

Vector6 motion(const ReducedModel& model, const Eigen::VectorXd& q, BodyId id) {
  const int first = model.first_dof[at_index(id.value)];
  return first < 0 ? Vector6::Zero() : Vector6(q.segment<6>(first));
}

struct Tightening {
  Eigen::VectorXd q{};
  EquilibriumOutcome outcome{};
  bool runs_away = false;
  Eigen::VectorXd escape{};
};

/// Solves from the reference pose, and again with fading regularisation: what that alone holds would go on moving.
Tightening tighten(const System& system, ReducedModel model, bool with_friction) {
  for (const Tightened& t : model.tightened) model.functionals[at_index(t.functional)].law = constant_force(t.force_N);
  if (!with_friction) {
    std::vector<Friction> kept;
    for (std::size_t i = 0; i < model.frictions.size(); ++i)
      if (grips_at_once(system, i)) kept.push_back(model.frictions[i]);
    model.frictions = std::move(kept);
  }
  EquilibriumWorkspace work;
  const Eigen::VectorXd nothing = Eigen::VectorXd::Zero(model.dofs);
  Tightening out{.q = nothing};
  out.outcome = solve_with_friction(model, nothing, {}, work, out.q);
  if (!out.outcome) return out;
  Eigen::VectorXd fading = out.q;
  const EquilibriumOutcome again = solve_with_friction(model, nothing, {.regularisation = kFading}, work, fading);
  const Eigen::VectorXd change = fading - out.q;
  const double moved =
      std::sqrt((change.array() * Eigen::Map<const Eigen::ArrayXd>(model.dof_scale.data(), model.dofs)).square().sum());
  const double size =
      std::sqrt((out.q.array() * Eigen::Map<const Eigen::ArrayXd>(model.dof_scale.data(), model.dofs)).square().sum());
  out.runs_away = !again || (moved > kRunawayMove_mm && moved > kRunawayShare * size);
  if (out.runs_away && moved > 0.0) out.escape = change / moved;
  return out;
}

/// Forces of a linear element at its bodies, in balance.
ForceGroup group_of(const ReducedModel& model, const Eigen::VectorXd& q, std::vector<BodyId> bodies,
                    const Eigen::MatrixXd& stiffness) {
  ForceGroup group{.bodies = std::move(bodies), .force = {}, .points_mm = {}};
  Eigen::VectorXd u(6 * static_cast<Eigen::Index>(group.bodies.size()));
  for (std::size_t i = 0; i < group.bodies.size(); ++i)
    u.segment<6>(6 * static_cast<Eigen::Index>(i)) = motion(model, q, group.bodies[i]);
  group.force = stiffness * u;
  return group;
}
std::vector<BodyId> bodies_of(const mesh::Beam& beam, const Eigen::MatrixXd& stiffness) {
  return stiffness.rows() == 18 ? std::vector<BodyId>{beam.a, beam.b, beam.bone} : std::vector<BodyId>{beam.a, beam.b};
}

/// What a component's ports feel, summed over its elements (the whole model has no condensed stiffness to ask).
ForceGroup ports_of(const System& system, const Component& component, const ReducedModel& model, const Eigen::VectorXd& q) {
  ForceGroup group{.bodies = component.ports, .force = {}, .points_mm = {}};
  group.force.setZero(6 * static_cast<Eigen::Index>(group.bodies.size()));
  const auto take = [&](const ForceGroup& element) {
    for (std::size_t i = 0; i < element.bodies.size(); ++i) {
      const auto port = std::lower_bound(group.bodies.begin(), group.bodies.end(), element.bodies[i]);
      if (port != group.bodies.end() && *port == element.bodies[i])
        group.force.segment<6>(6 * (port - group.bodies.begin())) +=
            element.force.segment<6>(6 * static_cast<Eigen::Index>(i));
    }
  };
  for (const int i : component.beams) {
    const mesh::Beam& beam = system.beams[at_index(i)];
    const Eigen::MatrixXd k = beam_stiffness_global(system, beam);
    take(group_of(model, q, bodies_of(beam, k), k));
  }
  for (const int i : component.cushions) {
    const mesh::Cushion& cushion = system.cushions[at_index(i)];
    take(group_of(model, q, {cushion.a, cushion.b}, cushion_stiffness_global(system, cushion)));
  }
  return group;
}

/// Geometric stiffness of everything that carries force in the assembled pose. parts: condensed, or empty for the whole.
BlockList prestress_blocks(const System& system, std::span<const Component> components,
                           std::span<const CondensedComponent> parts, const ReducedModel& model, const Eigen::VectorXd& q) {
  BlockList out;
  std::size_t place = 0;
  const auto next_force = [&]() {
    const Functional& f = model.functionals[place++];
    return respond_without_energy(f.law, f.at(q)).force;
  };
  for (std::size_t i = 0; i < system.strands.size(); ++i)
    add_strand_prestress(system.strands[i], slides_of(system, static_cast<int>(i)), system, next_force(), out);
  for (const mesh::Pad& pad : system.pads) add_pad_prestress(pad, system, next_force(), out);
  for (const mesh::Ring& ring : system.rings) {
    const double arch = next_force();
    add_ring_prestress(ring, system, arch, ring.has_ligament ? next_force() : 0.0, out);
  }
  for (const mesh::AxisCushion& cushion : system.axis_cushions) {
    Vector6 own;
    for (int axis = 0; axis < 6; ++axis) own[axis] = next_force();
    Vector6 at_point;
    at_point << cushion.global_from_cushion * own.head<3>(), cushion.global_from_cushion * own.tail<3>();
    ForceGroup group{
        .bodies = {cushion.a, cushion.b}, .force = Eigen::VectorXd(12), .points_mm = {cushion.point_mm, cushion.point_mm}};
    group.force << -(rigid_arm(cushion.point_mm - mesh::body(system, cushion.a).position_mm).transpose() * at_point),
        rigid_arm(cushion.point_mm - mesh::body(system, cushion.b).position_mm).transpose() * at_point;
    add_group_prestress(group, system, out);
  }
  for (const mesh::Slip& slip : system.slips) add_slip_prestress(slip, system, next_force(), out);
  const auto is_bony = [&system](BodyId a, BodyId b) { return !is_metal(system, a) && !is_metal(system, b); };
  for (const mesh::Beam& beam : system.beams) {
    if (!is_bony(beam.a, beam.b)) continue;
    const Eigen::MatrixXd k = beam_stiffness_global(system, beam);
    add_group_prestress(group_of(model, q, bodies_of(beam, k), k), system, out);
  }
  for (const mesh::Cushion& cushion : system.cushions) {
    if (!is_bony(cushion.a, cushion.b)) continue;
    ForceGroup group = group_of(model, q, {cushion.a, cushion.b}, cushion_stiffness_global(system, cushion));
    group.points_mm = {cushion.point_mm, cushion.point_mm};
    add_group_prestress(group, system, out);
  }
  for (std::size_t c = 0; c < components.size(); ++c) {
    if (components[c].locked_last) continue;  // free of force where it was locked
    add_group_prestress(
        parts.empty() ? ports_of(system, components[c], model, q) : group_of(model, q, parts[c].ports, parts[c].stiffness),
        system, out);
  }
  return out;
}

Eigen::MatrixXd scattered(const BlockList& blocks, const ReducedModel& model) {
  Eigen::MatrixXd out = Eigen::MatrixXd::Zero(model.dofs, model.dofs);
  for (const BlockEntry& entry : blocks) {
    const int i = model.first_dof[at_index(entry.row.value)];
    const int j = model.first_dof[at_index(entry.column.value)];
    if (i >= 0 && j >= 0) out.block<6, 6>(i, j) += entry.block;
  }
  return 0.5 * (out + out.transpose());
}

/// force0 of the components locked last, so that they carry nothing in the assembled pose.
void lock(const System& system, std::span<const Component> components, std::span<const CondensedComponent> parts,
          const Eigen::VectorXd& q, ReducedModel& model) {
  const auto release = [&](const ForceGroup& group) {
    for (std::size_t i = 0; i < group.bodies.size(); ++i) {
      const int first = model.first_dof[at_index(group.bodies[i].value)];
      if (first >= 0) model.force0.segment<6>(first) -= group.force.segment<6>(6 * static_cast<Eigen::Index>(i));
    }
  };
  for (std::size_t c = 0; c < components.size(); ++c) {
    if (!components[c].locked_last) continue;
    if (!parts.empty()) {
      release(group_of(model, q, parts[c].ports, parts[c].stiffness));
      continue;
    }
    for (const int i : components[c].beams) {
      const mesh::Beam& beam = system.beams[at_index(i)];
      const Eigen::MatrixXd k = beam_stiffness_global(system, beam);
      release(group_of(model, q, bodies_of(beam, k), k));
    }
    for (const int i : components[c].cushions) {
      const mesh::Cushion& cushion = system.cushions[at_index(i)];
      release(group_of(model, q, {cushion.a, cushion.b}, cushion_stiffness_global(system, cushion)));
    }
  }
}

Assembly assemble_model(const System& system, std::span<const Component> components,
                        std::span<const CondensedComponent> parts, ReducedModel full, const ReducedModel& loose) {
  Assembly out;
  out.model = std::move(full);
  ReducedModel& model = out.model;
  out.q = Eigen::VectorXd::Zero(model.dofs);
  Tightening seated = tighten(system, loose, false);
  if (seated.outcome && seated.runs_away && !loose.frictions.empty()) {
    Tightening gripped = tighten(system, loose, true);
    if (gripped.outcome && !gripped.runs_away) {
      seated = std::move(gripped);
      out.friction_held = true;
    }
  }
  out.outcome = seated.outcome;
  const auto in_full = [&](const Eigen::VectorXd& of_loose) {
    Eigen::VectorXd q = Eigen::VectorXd::Zero(model.dofs);
    for (std::size_t i = 0; i < system.bodies.size(); ++i)
      if (model.first_dof[i] >= 0 && loose.first_dof[i] >= 0)
        q.segment<6>(model.first_dof[i]) = of_loose.segment<6>(loose.first_dof[i]);
    return q;
  };
  if (!seated.outcome || !seated.outcome.caps_settled) {
    out.status = AssemblyStatus::no_equilibrium;
    return out;
  }
  if (seated.escape.size() > 0) out.escape = in_full(seated.escape);
  if (seated.runs_away) {
    out.status = AssemblyStatus::runs_away;
    return out;
  }
  out.status = AssemblyStatus::assembled;
  out.q = in_full(seated.q);
  for (const Tightened& t : model.tightened) {
    Functional& functional = model.functionals[at_index(t.functional)];
    auto* law = std::get_if<mesh::ToeLinear>(&functional.law);
    assert(law != nullptr);
    law->slack = functional.at(out.q) - t.force_N / law->stiffness;
  }
  lock(system, components, parts, out.q, model);
  if (!out.friction_held)
    for (std::size_t i = 0; i < model.frictions.size(); ++i) {
      Friction& friction = model.frictions[i];
      if (!grips_at_once(system, i)) friction.anchor = model.functionals[at_index(friction.functional)].at(out.q);
    }
  set_caps(model.frictions, caps_at(model.frictions, model.functionals, out.q), model.functionals);
  model.assembled = out.q;
  Eigen::VectorXd left;
  residual_at(model, out.q, Eigen::VectorXd::Zero(model.dofs), 0.0, left);
  out.imbalance_N = scaled_norm(left, model.dof_scale);
  model.force0 -= left;
  const Eigen::MatrixXd prestress = scattered(prestress_blocks(system, components, parts, model, out.q), model);
  const Eigen::MatrixXd without = model.stiffness;
  const Eigen::VectorXd force0 = model.force0;
  model.stiffness += prestress;
  model.force0 -= prestress * out.q;
  if (stands(model, out.q)) {
    out.prestress = prestress;
    return out;
  }
  out.buckles = true;
  Eigen::MatrixXd tangent;
  tangent_at(model, out.q, 0.0, tangent);
  const Modes modes = softest_modes(tangent, model.dof_scale, 1);
  if (!modes.softest.empty()) out.buckling = modes.softest.front();
  model.stiffness = without;
  model.force0 = force0;
  return out;
}

Assembly nothing_to_assemble(ReducedModel model) {
  Assembly out;
  out.model = std::move(model);
  out.q = Eigen::VectorXd::Zero(out.model.dofs);
  return out;
}

}  // namespace

bool stands(const ReducedModel& model, const Eigen::VectorXd& q) {
  Eigen::MatrixXd tangent;
  tangent_at(model, q, kBucklingEps, tangent);
  const Eigen::VectorXd own = tangent.diagonal();
  Eigen::VectorXd scratch;
  return factor_lower(tangent, own, 0.0, scratch);
}

ReducedModel without_prestress(const ReducedModel& model, const Assembly& assembly) {
  ReducedModel out = model;
  if (assembly.prestress.size() == 0) return out;
  out.stiffness -= assembly.prestress;
  out.force0 += assembly.prestress * model.assembled;
  return out;
}

bool has_assembly(const System& system, std::span<const Component> components) {
  // A law that pulls or presses in the reference pose already: a reduction held in, a spacer higher than its joint.
  const auto strained = [](const mesh::ScalarLaw& law) { return respond_without_energy(law, 0.0).force != 0.0; };
  return std::any_of(system.strands.begin(), system.strands.end(), [&](const auto& s) { return strained(s.law); }) ||
         std::any_of(system.pads.begin(), system.pads.end(), [&](const auto& p) { return strained(p.law); }) ||
         std::any_of(system.rings.begin(), system.rings.end(),
                     [&](const auto& r) { return strained(r.arch) || (r.has_ligament && strained(r.ligament)); }) ||
         std::any_of(system.axis_cushions.begin(), system.axis_cushions.end(),
                     [&](const auto& c) { return std::any_of(c.laws.begin(), c.laws.end(), strained); }) ||
         std::any_of(components.begin(), components.end(), [](const Component& c) { return c.locked_last; }) ||
         std::any_of(system.strands.begin(), system.strands.end(), [](const auto& s) { return s.tighten_N > 0.0; }) ||
         std::any_of(system.pads.begin(), system.pads.end(), [](const auto& p) { return p.tighten_N > 0.0; });
}

Assembly assemble(const System& system, std::span<const Component> components, std::span<const CondensedComponent> parts) {
  assert(components.size() == parts.size());
  if (!has_assembly(system, components)) return nothing_to_assemble(reduce(system, parts));
  std::vector<CondensedComponent> early;
  for (std::size_t c = 0; c < components.size(); ++c)
    if (!components[c].locked_last) early.push_back(parts[c]);
  return assemble_model(system, components, parts, reduce(system, parts), reduce(loosened(system, components), early));
}

Assembly assemble_whole(const System& system, std::span<const Component> components) {
  if (!has_assembly(system, components)) return nothing_to_assemble(reduce_nothing(system));
  return assemble_model(system, components, {}, reduce_nothing(system), reduce_nothing(loosened(system, components)));
}

}  // namespace opisthion::core
