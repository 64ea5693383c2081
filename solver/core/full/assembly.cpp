// SPDX-License-Identifier: MIT
#include "solver/core/full/assembly.hpp"

#include <cassert>
#include <cmath>

#include "solver/core/at_index.hpp"
#include "solver/core/beam.hpp"
#include "solver/core/blocks.hpp"
#include "solver/core/full/workspace.hpp"
#include "solver/core/loosened.hpp"
#include "solver/core/newton.hpp"

namespace opisthion::core::full {
namespace {

using mesh::Component;
using mesh::System;

constexpr double kRunawayMove_mm = 0.05;  // scaled measure, from eps to eps/10 (as in small kinematics)
constexpr double kRunawayShare = 0.01;    // of the motion
constexpr double kFading = 0.1;

double scaled_size(const Model& model, const Eigen::VectorXd& motion) {
  double sum = 0.0;
  for (int i = 0; i < model.dofs; ++i) sum += std::pow(model.dof_scale[at_index(i)] * motion[i], 2);
  return std::sqrt(sum);
}

struct Tightening {
  State state{};
  SolveOutcome outcome{};
  bool runs_away = false;
  Eigen::VectorXd escape{};  ///< on the unknowns of the loose model
};

Tightening tighten(const System& system, Model model, bool with_friction) {
  for (LawElement& law : model.laws)
    if (law.tighten_N > 0.0) law.law = constant_force(law.tighten_N);
  if (!with_friction)
    for (std::size_t i = 0; i < model.frictions.size(); ++i)
      if (!grips_at_once(system, i)) model.frictions[i].cap_per_N = 0.0;
  const WorkspacePtr work = make_workspace(model);
  Tightening out{.state = reference_state(model)};
  out.outcome = solve(model, {}, 0.0, {}, *work, out.state);
  if (!out.outcome) {
    out.runs_away = out.outcome.escaped;
    const Eigen::VectorXd motion = motion_between(model, reference_poses(system), out.state.poses);
    if (out.runs_away) out.escape = motion / scaled_size(model, motion);
    return out;
  }
  State fading = out.state;
  const SolveOutcome again = solve(model, {}, 0.0, {.regularisation = kFading}, *work, fading);
  const Eigen::VectorXd change = motion_between(model, out.state.poses, fading.poses);
  const double moved = scaled_size(model, change);
  const double size = scaled_size(model, motion_between(model, reference_poses(system), out.state.poses));
  out.runs_away = !again || (moved > kRunawayMove_mm && moved > kRunawayShare * size);
  if (out.runs_away && moved > 0.0) out.escape = change / moved;
  return out;
}

/// Inner metal of a component in the pose that its ports ask for.
void place_interior(const System& system, const Component& component, Poses& poses) {
  const CondenseOutcome condensed = condense(system, component);
  if (!condensed.regular || condensed.component.interior.empty()) return;
  const CondensedComponent& part = condensed.component;
  std::vector<Vector3> at;
  for (const BodyId port : part.ports) at.push_back(mesh::body(system, port).position_mm);
  const GaugeElement element = component_element(system, part.ports, part.stiffness, at);
  GaugeWork work;
  deformation(element, poses, work);
  Vector3 middle = Vector3::Zero();
  Vector3 middle_now = Vector3::Zero();
  for (const BodyId port : part.ports) {
    middle += mesh::body(system, port).position_mm / static_cast<double>(part.ports.size());
    middle_now += pose_of(poses, port).position_mm / static_cast<double>(part.ports.size());
  }
  const Eigen::VectorXd inner = part.recovery * work.d;
  for (std::size_t i = 0; i < part.interior.size(); ++i) {
    const BodyId id = part.interior[i];
    const Vector6 own = inner.segment<6>(6 * static_cast<Eigen::Index>(i));
    Pose& pose = poses[at_index(id.value)];
    pose.position_mm = middle_now + work.gauge * (mesh::body(system, id).position_mm + Vector3(own.head<3>()) - middle);
    pose.rotation = work.gauge * exp_rotation(own.tail<3>());
  }
}

/// Metal locked last is free of force where it stands.
void lock(const System& system, std::span<const Component> components, bool whole, Model& model, State& state) {
  GaugeWork work;
  for (std::size_t c = 0; c < components.size(); ++c) {
    if (!components[c].locked_last) continue;
    if (!whole) {
      take_reference(model.linear[c], state.poses, work);
      continue;
    }
    place_interior(system, components[c], state.poses);
    for (const int i : components[c].beams) take_reference(model.linear[at_index(i)], state.poses, work);
    for (const int i : components[c].cushions)
      take_reference(model.linear[system.beams.size() + at_index(i)], state.poses, work);
  }
}

/// Regularisation counts from here, and keeps the force that it held here: a slack joint would else drift on.
void settle_regularisation(Model& model, const State& state) {
  for (NeighbourTie& tie : model.regularisation) take_reference(tie, state.poses);
}

}  // namespace

Assembled assemble(const System& system, std::span<const Component> components, std::span<const CondensedComponent> parts) {
  const bool whole = parts.empty() && !components.empty();
  Assembled out;
  out.model = whole ? make_whole_model(system) : make_model(system, components, parts);
  Model& model = out.model;
  out.state = reference_state(model);
  if (!has_assembly(system, components)) return out;

  const System loose_system = loosened(system, components);
  std::vector<Component> early_components;
  std::vector<CondensedComponent> early;
  for (std::size_t c = 0; c < parts.size(); ++c)
    if (!components[c].locked_last) {
      early_components.push_back(components[c]);
      early.push_back(parts[c]);
    }
  const Model loose = whole ? make_whole_model(loose_system) : make_model(loose_system, early_components, early);
  Tightening seated = tighten(system, loose, false);
  if (seated.runs_away && !loose.frictions.empty()) {
    Tightening gripped = tighten(system, loose, true);
    if (gripped.outcome && !gripped.runs_away) {
      seated = std::move(gripped);
      out.friction_held = true;
    }
  }
  out.outcome = seated.outcome;
  if (seated.escape.size() > 0) {
    out.escape.setZero(model.dofs);
    for (std::size_t i = 0; i < system.bodies.size(); ++i)
      if (model.first_dof[i] >= 0 && loose.first_dof[i] >= 0)
        out.escape.segment<6>(model.first_dof[i]) = seated.escape.segment<6>(loose.first_dof[i]);
  }
  if (seated.runs_away) {
    out.status = AssemblyStatus::runs_away;
    return out;
  }
  if (!seated.outcome || !seated.outcome.caps_settled) {
    out.status = AssemblyStatus::no_equilibrium;
    return out;
  }
  out.status = AssemblyStatus::assembled;
  State& state = out.state;
  state.poses = seated.state.poses;
  for (std::size_t i = 0; i < model.laws.size(); ++i) {
    LawElement& law = model.laws[i];
    if (!(law.tighten_N > 0.0)) continue;
    auto* straight = std::get_if<mesh::ToeLinear>(&law.law);
    assert(straight != nullptr);
    straight->slack = elongation(model, static_cast<int>(i), state.poses) - law.tighten_N / straight->stiffness;
  }
  lock(system, components, whole, model, state);
  if (!out.friction_held)
    for (std::size_t i = 0; i < model.frictions.size(); ++i)
      if (!grips_at_once(system, i)) state.slip[i] = elongation(model, model.frictions[i].law, state.poses);
  settle_regularisation(model, state);
  const WorkspacePtr work = make_workspace(model);
  caps_at(model, state.poses, *work, state.cap);
  Eigen::VectorXd left;
  residual_at(model, {}, 0.0, 1.0, state, *work, left);
  out.imbalance_N = scaled_norm(left, model.dof_scale);
  const SolveOutcome balanced = solve(model, {}, 0.0, {}, *work, state);
  out.outcome.iterations += balanced.iterations;
  out.outcome.factorisations += balanced.factorisations;
  if (!balanced) {
    out.status = AssemblyStatus::no_equilibrium;
    return out;
  }
  commit(model, state);
  out.unstable = !balanced.positive;
  out.outcome.branches += balanced.branches;
  model.assembled = state;
  return out;
}

}  // namespace opisthion::core::full
