// SPDX-License-Identifier: MIT
#include <algorithm>
#include <cmath>

#include "solver/core/full/workspace.hpp"

namespace opisthion::core::full {
namespace {

std::size_t at_index(int i) {
  return static_cast<std::size_t>(i);
}

/// First unknowns (i >= j) of the blocks among these bodies.
template <typename Bodies, typename Id>
void add_pairs(const Model& model, const Bodies& bodies, const Id& id, std::vector<std::pair<int, int>>& out) {
  for (std::size_t a = 0; a < bodies.size(); ++a)
    for (std::size_t b = 0; b <= a; ++b) {
      const int i = model.first_dof[at_index(id(bodies[a]).value)];
      const int j = model.first_dof[at_index(id(bodies[b]).value)];
      if (i >= 0 && j >= 0) out.emplace_back(std::max(i, j), std::min(i, j));
    }
}

std::vector<std::pair<int, int>> pairs_of(const Model& model) {
  std::vector<std::pair<int, int>> out;
  const auto port = [](const GaugePort& p) { return p.body; };
  const auto same = [](BodyId id) { return id; };
  for (const GaugeElement& element : model.linear) add_pairs(model, element.ports, port, out);
  for (const GaugeElement& element : model.regularisation) add_pairs(model, element.ports, port, out);
  for (const StrandGeometry& strand : model.strands) add_pairs(model, strand.bodies, same, out);
  for (const PadGeometry& pad : model.pads) add_pairs(model, std::array{pad.a, pad.b}, same, out);
  for (const SlideGeometry& slide : model.slides) add_pairs(model, std::array{slide.a, slide.b}, same, out);
  for (const TurnGeometry& turn : model.turns) add_pairs(model, std::array{turn.a, turn.b}, same, out);
  return out;
}

/// Adds an element's derivatives. `id(i)`: its i-th body.
template <typename Id>
void scatter(const Model& model, int bodies, const Id& id, const Eigen::VectorXd& own_gradient,
             const Eigen::MatrixXd& own_hessian, Order order, Workspace& work, Eigen::VectorXd& gradient) {
  for (int a = 0; a < bodies; ++a) {
    const int i = model.first_dof[at_index(id(a).value)];
    if (i < 0) continue;
    gradient.segment<6>(i) += own_gradient.segment<6>(6 * a);
    if (order != Order::hessian) continue;
    for (int b = 0; b < bodies; ++b) {
      const int j = model.first_dof[at_index(id(b).value)];
      if (j < 0 || j > i) continue;
      work.tangent.add(i, j, own_hessian.block<6, 6>(6 * a, 6 * b));
    }
  }
}

void add_gauge(const Model& model, const GaugeElement& element, GaugeWork& scratch, const Poses& poses, Order order,
               Workspace& work, Eigen::VectorXd& gradient, Sum& sum) {
  evaluate(element, poses, order, scratch, work.answer);
  sum.strain_Nmm += work.answer.energy_Nmm;
  if (order == Order::value) return;
  scatter(
      model, static_cast<int>(element.ports.size()), [&](int i) { return element.ports[at_index(i)].body; },
      work.answer.gradient, work.answer.hessian, order, work, gradient);
}

void add_law(const Model& model, int law, const Response& response, const Poses& poses, Order order, Workspace& work,
             Eigen::VectorXd& gradient, Sum& sum) {
  sum.strain_Nmm += response.energy;
  if (order == Order::value || (response.force == 0.0 && response.stiffness == 0.0)) return;
  Measure& m = work.measures[at_index(law)];
  measure_law(model, law, poses, order, m);
  const auto bodies = static_cast<int>(m.bodies.size());
  for (int a = 0; a < bodies; ++a) {
    const int i = model.first_dof[at_index(m.bodies[at_index(a)].value)];
    if (i < 0) continue;
    gradient.segment<6>(i) += response.force * m.gradient.segment<6>(6 * a);
    if (order != Order::hessian) continue;
    for (int b = 0; b < bodies; ++b) {
      const int j = model.first_dof[at_index(m.bodies[at_index(b)].value)];
      if (j < 0 || j > i) continue;
      Matrix6 block = response.force * m.hessian.block<6, 6>(6 * a, 6 * b);
      block.noalias() += (response.stiffness * m.gradient.segment<6>(6 * a)) * m.gradient.segment<6>(6 * b).transpose();
      work.tangent.add(i, j, block);
    }
  }
}

void add_answer(const Model& model, BodyId body, const LoadAnswer& load, double factor, bool symmetric, Order order,
                Workspace& work, Eigen::VectorXd& gradient, Sum& sum) {
  sum.potential_Nmm += factor * load.energy_Nmm;
  const int i = model.first_dof[at_index(body.value)];
  if (order == Order::value || i < 0) return;
  gradient.segment<6>(i) += factor * load.gradient;
  if (order != Order::hessian) return;
  if (symmetric)
    work.tangent.add(i, i, factor * load.tangent);
  else
    work.tangent.add_unsymmetric(i, i, factor * load.tangent);
}

void add_loads(const Model& model, const Loads& loads, double factor, std::size_t first_branch, const Poses& poses,
               Order order, Workspace& work, Eigen::VectorXd& gradient, Sum& sum) {
  for (const PointForce& force : loads.forces)
    add_answer(model, force.body, answer(force, pose_of(poses, force.body)), factor, true, order, work, gradient, sum);
  for (std::size_t i = 0; i < loads.moments.size(); ++i) {
    const Moment& moment = loads.moments[i];
    const std::size_t branch = first_branch + i;
    const LoadAnswer own = answer(moment, pose_of(poses, moment.body),
                                  branch < work.branch.size() ? work.branch[branch] : Vector3(Vector3::Zero()));
    add_answer(model, moment.body, own, factor, moment.kind == MomentKind::conservative, order, work, gradient, sum);
  }
}

}  // namespace

Workspace::Workspace(const Model& model)
    : tangent(model.dofs, pairs_of(model)),
      regularisation(model.regularisation),
      linear_work(model.linear.size()),
      regularisation_work(model.regularisation.size()),
      measures(model.laws.size()) {
  gradient.setZero(model.dofs);
  constexpr double kLastDigit = 2.3e-16;
  double extent_mm = 1.0;
  for (const mesh::Body& body : model.system.bodies) extent_mm = std::max(extent_mm, body.position_mm.norm());
  double sum = 0.0;
  for (const GaugeElement& element : model.linear)
    for (Eigen::Index i = 0; i < element.stiffness.rows(); ++i)
      if (i % 6 < 3) sum += element.stiffness(i, i) * element.stiffness(i, i);
  for (const LawElement& law : model.laws)
    if (const auto* straight = std::get_if<mesh::ToeLinear>(&law.law)) sum += straight->stiffness * straight->stiffness;
  for (const FrictionElement& friction : model.frictions) sum += friction.stiffness * friction.stiffness;
  rounding_N = kLastDigit * extent_mm * std::sqrt(sum);
}

WorkspacePtr make_workspace(const Model& model) {
  return WorkspacePtr(new Workspace(model));
}
void WorkspaceDeleter::operator()(Workspace* work) const {
  delete work;
}

void set_regularisation(const Model& model, double factor, Workspace& work) {
  if (work.regularisation_factor == factor) return;
  work.regularisation_factor = factor;
  for (std::size_t i = 0; i < model.regularisation.size(); ++i)
    work.regularisation[i].stiffness = factor * model.regularisation[i].stiffness;  // its force at assembly stays
}

Response friction_response(const FrictionElement& friction, double slip, double cap, double e) {
  const double x = e - slip;
  if (!(cap > 0.0) || !(friction.stiffness > 0.0)) return {};
  const double travel = cap / friction.stiffness;
  if (std::abs(x) <= travel)
    return {.energy = 0.5 * friction.stiffness * x * x, .force = friction.stiffness * x, .stiffness = friction.stiffness};
  return {.energy = cap * (std::abs(x) - 0.5 * travel), .force = std::copysign(cap, x), .stiffness = 0.0};
}

void caps_at(const Model& model, const Poses& poses, Workspace& work, std::vector<double>& caps) {
  constexpr double kBonded_N = 1e9;
  caps.resize(model.frictions.size());
  for (std::size_t i = 0; i < model.frictions.size(); ++i) {
    if (model.frictions[i].bonded) {
      caps[i] = kBonded_N;
      continue;
    }
    double normal = 0.0;
    for (const FrictionElement::Feed& feed : model.frictions[i].normal) {
      Measure& own = work.measures[at_index(feed.law)];
      measure_law(model, feed.law, poses, Order::value, own);
      normal += feed.weight * std::max(0.0, respond_without_energy(model.laws[at_index(feed.law)].law, own.value).force);
    }
    caps[i] = std::max(0.0, model.frictions[i].cap_per_N * normal);
  }
}

void add_cap_coupling(const Model& model, const Poses& poses, const State& state, Workspace& work) {
  for (std::size_t i = 0; i < model.frictions.size(); ++i) {
    const FrictionElement& friction = model.frictions[i];
    if (!(state.cap[i] > 0.0)) continue;
    Measure& own = work.measures[at_index(friction.law)];
    measure_law(model, friction.law, poses, Order::gradient, own);
    const Response held = friction_response(friction, state.slip[i], state.cap[i], own.value);
    if (held.stiffness > 0.0 || held.force == 0.0) continue;  // it sticks: its force does not ask for the cap
    for (const FrictionElement::Feed& feed : friction.normal) {
      Measure& by = work.measures[at_index(feed.law)];
      measure_law(model, feed.law, poses, Order::gradient, by);
      const Response pressed = respond(model.laws[at_index(feed.law)].law, by.value);
      if (!(pressed.force > 0.0)) continue;
      const double slope = std::copysign(friction.cap_per_N * feed.weight * pressed.stiffness, held.force);
      for (std::size_t a = 0; a < own.bodies.size(); ++a)
        for (std::size_t b = 0; b < by.bodies.size(); ++b) {
          const int row = model.first_dof[at_index(own.bodies[a].value)];
          const int column = model.first_dof[at_index(by.bodies[b].value)];
          if (row < 0 || column < 0) continue;
          work.tangent.add_unsymmetric(row, column,
                                       (slope * own.gradient.segment<6>(6 * static_cast<Eigen::Index>(a))) *
                                           by.gradient.segment<6>(6 * static_cast<Eigen::Index>(b)).transpose());
        }
    }
  }
}

Sum evaluate_model(const Model& model, const LoadPath& load, double factor, const Poses& poses, const State& friction,
                   Order order, Workspace& work, Eigen::VectorXd& gradient) {
  Sum sum;
  if (order != Order::value) gradient.setZero(model.dofs);
  if (order == Order::hessian) work.tangent.clear();
  const std::size_t plain = model.laws.size() - model.frictions.size();
  for (std::size_t i = 0; i < plain; ++i) {
    const int law = static_cast<int>(i);
    measure_law(model, law, poses, Order::value, work.measures[i]);
    add_law(model, law, respond(model.laws[i].law, work.measures[i].value), poses, order, work, gradient, sum);
  }
  for (std::size_t i = 0; i < model.frictions.size(); ++i) {
    if (!(friction.cap[i] > 0.0)) continue;
    const int law = model.frictions[i].law;
    Measure& own = work.measures[at_index(law)];
    measure_law(model, law, poses, Order::value, own);
    add_law(model, law, friction_response(model.frictions[i], friction.slip[i], friction.cap[i], own.value), poses, order,
            work, gradient, sum);
  }
  for (std::size_t i = 0; i < model.linear.size(); ++i)
    add_gauge(model, model.linear[i], work.linear_work[i], poses, order, work, gradient, sum);
  for (std::size_t i = 0; i < work.regularisation.size(); ++i)
    add_gauge(model, work.regularisation[i], work.regularisation_work[i], poses, order, work, gradient, sum);
  sum.potential_Nmm = sum.strain_Nmm;
  add_loads(model, load.constant, 1.0, 0, poses, order, work, gradient, sum);
  if (factor != 0.0) add_loads(model, load.growing, factor, load.constant.moments.size(), poses, order, work, gradient, sum);
  return sum;
}

}  // namespace opisthion::core::full
