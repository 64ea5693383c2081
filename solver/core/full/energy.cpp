// SPDX-License-Identifier: MIT
// What is read off a state: energy by part, what slides, how far metal is from being linear.
#include <algorithm>
#include <cmath>

#include "solver/core/at_index.hpp"
#include "solver/core/full/workspace.hpp"

namespace opisthion::core::full {
namespace {

constexpr double kAlmost = 1e-9;           // relative: within it of the cap is at the cap
constexpr double kSameElongation = 1e-11;  // mm or rad: rounding of an elongation

/// Energy stored since the deformation `from`: W(d) - W(from) - W'(from) (d - from), never negative for monotone laws and
/// straight beams.
double stored(const GaugeElement& element, const Eigen::VectorXd& d, const Eigen::VectorXd& from) {
  const Eigen::VectorXd change = from.size() == d.size() ? Eigen::VectorXd(d - from) : d;
  if (!element.by_laws) {
    const double linear = 0.5 * change.dot(element.stiffness * change);
    if (!element.bowing.there()) return linear;
    const double now = bow_at(element.bowing, d.data()).energy_Nmm;
    if (from.size() != d.size()) return linear + now;
    const Bow was = bow_at(element.bowing, from.data());
    return linear + now - was.energy_Nmm - was.force.dot(change);
  }
  double sum = 0.0;
  for (int i = 0; i < 6; ++i) {
    const Vector3 axis = element.axes.col(i % 3);
    const int part = i < 3 ? 0 : 3;
    const auto along = [&](const Eigen::VectorXd& all) { return axis.dot(all.segment<3>(6 + part) - all.segment<3>(part)); };
    const double now = along(d);
    const double before = from.size() == d.size() ? along(from) : 0.0;
    const mesh::ScalarLaw& law = element.laws[at_index(i)];
    const Response was = respond(law, before);
    sum += respond(law, now).energy - was.energy - was.force * (now - before);
  }
  return sum;
}

}  // namespace

PartEnergy energy_by_part(const Model& model, const State& state, Workspace& work) {
  PartEnergy out;
  const bool since = !model.assembled.poses.empty();
  const Poses& from = model.assembled.poses;
  out.law_Nmm.resize(model.laws.size());
  out.law_force.resize(model.laws.size());
  const std::size_t plain = model.laws.size() - model.frictions.size();
  for (std::size_t i = 0; i < plain; ++i) {
    const mesh::ScalarLaw& law = model.laws[i].law;
    const double now = elongation(model, static_cast<int>(i), state.poses);
    const double before = since ? elongation(model, static_cast<int>(i), from) : 0.0;
    const Response here = respond(law, now);
    const Response was = respond(law, before);
    out.law_force[i] = here.force;
    out.law_Nmm[i] = since ? here.energy - was.energy - was.force * (now - before) : here.energy;
  }
  for (std::size_t i = 0; i < model.frictions.size(); ++i) {
    const auto law = at_index(model.frictions[i].law);
    const FrictionElement& friction = model.frictions[i];
    const auto force_at = [&](const State& at) {
      return friction_response(friction, at.slip[i], at.cap[i], elongation(model, friction.law, at.poses)).force;
    };
    out.law_force[law] = force_at(state);
    const double since_assembly = out.law_force[law] - (since ? force_at(model.assembled) : 0.0);
    if (friction.stiffness > 0.0) out.law_Nmm[law] = 0.5 * since_assembly * since_assembly / friction.stiffness;
  }
  const auto of = [&](const GaugeElement& element, GaugeWork& scratch) {
    Eigen::VectorXd before;
    if (since) {
      deformation(element, from, scratch);
      before = scratch.d;
    }
    deformation(element, state.poses, scratch);
    return stored(element, scratch.d, before);
  };
  for (std::size_t i = 0; i < model.linear.size(); ++i) out.linear_Nmm.push_back(of(model.linear[i], work.linear_work[i]));
  for (const NeighbourTie& tie : work.regularisation) {
    const TieStretch now = stretch(tie, state.poses);
    const TieStretch before = since ? stretch(tie, from) : TieStretch{};
    out.regularisation_Nmm += 0.5 * tie.stiffness_N_per_mm * (now.slide_mm - before.slide_mm).squaredNorm() +
                              0.5 * tie.stiffness_Nmm_per_rad * (now.turn_rad - before.turn_rad).squaredNorm();
  }
  return out;
}

std::vector<int> sliding(const Model& model, const State& state) {
  std::vector<int> out;
  for (std::size_t i = 0; i < model.frictions.size(); ++i) {
    const FrictionElement& friction = model.frictions[i];
    if (!(state.cap[i] > 0.0) || !(friction.stiffness > 0.0)) continue;
    const double moved = std::abs(elongation(model, friction.law, state.poses) - state.slip[i]);
    if (moved >= state.cap[i] / friction.stiffness * (1.0 - kAlmost) - kSameElongation) out.push_back(static_cast<int>(i));
  }
  return out;
}

State sliding_on(const Model& model, State state) {
  for (const int i : sliding(model, state)) {
    const FrictionElement& friction = model.frictions[at_index(i)];
    const double e = elongation(model, friction.law, state.poses);
    const double travel = state.cap[at_index(i)] / friction.stiffness * (1.0 + 2.0 * kAlmost) + 2.0 * kSameElongation;
    state.slip[at_index(i)] = e - std::copysign(travel, e - state.slip[at_index(i)]);
  }
  return state;
}

double largest_gauge_rotation(const Model& model, const State& state, Workspace& work) {
  double most = 0.0;
  for (int c = 0; c < model.components; ++c) {
    GaugeWork& scratch = work.linear_work[at_index(c)];
    deformation(model.linear[at_index(c)], state.poses, scratch);
    for (Eigen::Index i = 0; i + 6 <= scratch.d.size(); i += 6) most = std::max(most, scratch.d.segment<3>(i + 3).norm());
  }
  return most;
}

}  // namespace opisthion::core::full
