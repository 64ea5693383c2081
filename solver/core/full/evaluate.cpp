// SPDX-License-Identifier: MIT
#include <algorithm>
#include <cmath>

#include "solver/core/at_index.hpp"
#include "solver/core/full/point_measure.hpp"
#include "solver/core/full/three_by_three.hpp"
#include "solver/core/full/workspace.hpp"

namespace opisthion::core::full {
namespace {

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
  for (const NeighbourTie& tie : model.regularisation) add_pairs(model, std::array{tie.a, tie.b}, same, out);
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

/// A measure that is more than the place of one point: its whole derivatives.
void add_measure(const Model& model, const Measure& m, const Response& response, Order order, Workspace& work,
                 Eigen::VectorXd& gradient) {
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

/// A law on the place of one point.
template <typename Answer>
void add_point(const PointMeasure& m, double value, const Answer& answer, Order order, PairSum& pair, Sum& sum) {
  const Response response = answer(value);
  sum.strain_Nmm += response.energy;
  if (!m.moves || (response.force == 0.0 && response.stiffness == 0.0)) return;
  if (order != Order::hessian) return pair.add(m.at.arm_b_mm, response.force * m.slope);
  Matrix3 bend = Matrix3::Zero();
  add_scaled(response.force, m.bend, bend);
  add_outer(response.stiffness * m.slope, m.slope, bend);
  pair.add(m.at.arm_b_mm, response.force * m.slope, bend);
}

/// A strand of several legs: each adds its share of the force at once, their stiffness couples all bodies.
template <typename Answer>
void add_legs(const Model& model, int law, const StrandGeometry& strand, const Answer& answer, const Poses& poses,
              Order order, Workspace& work, Sum& sum) {
  Measure& whole = work.measures[at_index(law)];
  measure(strand, poses, Order::value, whole);
  const Response response = answer(whole.value);
  sum.strain_Nmm += response.energy;
  if (order == Order::value || (response.force == 0.0 && response.stiffness == 0.0)) return;
  const std::vector<int>& pairs = work.pairs_of_law[at_index(law)];
  const bool couples = order == Order::hessian && response.stiffness != 0.0;
  if (couples) whole.gradient.setZero(6 * static_cast<Eigen::Index>(strand.bodies.size()));
  for (std::size_t i = 0; i < strand.legs.size(); ++i) {
    const PointMeasure leg = point_measure(strand, static_cast<int>(i), poses, order);
    if (!leg.moves) continue;
    PairSum& pair = work.pairs[at_index(pairs[i])];
    if (order == Order::hessian)
      pair.add(leg.at.arm_b_mm, response.force * leg.slope, response.force * leg.bend);
    else
      pair.add(leg.at.arm_b_mm, response.force * leg.slope);
    if (couples)
      add_derivatives(leg.at, leg.slope, leg.bend, strand.points[at_index(strand.legs[i].to)].body,
                      strand.points[at_index(strand.legs[i].from)].body, Order::gradient, whole);
  }
  if (!couples) return;
  const auto bodies = static_cast<int>(strand.bodies.size());
  for (int a = 0; a < bodies; ++a) {
    const int i = model.first_dof[at_index(strand.bodies[at_index(a)].value)];
    if (i < 0) continue;
    const Vector6 pulled = response.stiffness * whole.gradient.segment<6>(6 * a);
    for (int b = 0; b < bodies; ++b) {
      const int j = model.first_dof[at_index(strand.bodies[at_index(b)].value)];
      if (j >= 0 && j <= i) work.tangent.add(i, j, pulled * whole.gradient.segment<6>(6 * b).transpose());
    }
  }
}

/// Below this measure the law answers nothing.
double acts_from(const mesh::ScalarLaw& law) {
  const auto* const toe = std::get_if<mesh::ToeLinear>(&law);
  return toe != nullptr ? toe->slack : kAlways;
}

/// `answer`: of the law to its measure, nothing below `from`.
template <typename Answer>
void add_law(const Model& model, int law, double from, const Answer& answer, const Poses& poses, Order order,
             Workspace& work, Eigen::VectorXd& gradient, Sum& sum) {
  const LawElement& element = model.laws[at_index(law)];
  const std::size_t i = at_index(element.geometry);
  const auto pair = [&]() -> PairSum& { return work.pairs[at_index(work.pairs_of_law[at_index(law)].front())]; };
  switch (element.kind) {
    case LawElement::Kind::strand: {
      const StrandGeometry& strand = model.strands[i];
      if (strand.legs.size() > 1) return add_legs(model, law, strand, answer, poses, order, work, sum);
      const PointMeasure m = point_measure(strand, 0, poses, order, from + strand.reference_length_mm);
      if (m.value == kAlways) return;
      return add_point(m, m.value - strand.reference_length_mm, answer, order, pair(), sum);
    }
    case LawElement::Kind::pad: {
      const PointMeasure m = point_measure(model.pads[i], poses, order, from);
      if (m.value < from) return;
      return add_point(m, m.value, answer, order, pair(), sum);
    }
    case LawElement::Kind::slide: {
      const PointMeasure m = point_measure(model.slides[i], poses, order);
      return add_point(m, m.value, answer, order, pair(), sum);
    }
    case LawElement::Kind::turn: {
      Measure& m = work.measures[at_index(law)];
      measure(model.turns[i], poses, Order::value, m);
      const Response response = answer(m.value);
      sum.strain_Nmm += response.energy;
      if (order == Order::value || (response.force == 0.0 && response.stiffness == 0.0)) return;
      measure(model.turns[i], poses, order, m);
      return add_measure(model, m, response, order, work, gradient);
    }
  }
}

void spread_pairs(const Model& model, const Poses& poses, Order order, Workspace& work, Eigen::VectorXd& gradient) {
  PairDerivatives& d = work.pair_derivatives;
  for (const PairSum& pair : work.pairs) {
    if (!pair.touched) continue;
    spread(pair, pose_of(poses, pair.b).position_mm - pose_of(poses, pair.a).position_mm, order, d);
    const int i = model.first_dof[at_index(pair.a.value)];
    const int j = model.first_dof[at_index(pair.b.value)];
    if (i >= 0) gradient.segment<6>(i) += d.gradient_a;
    if (j >= 0) gradient.segment<6>(j) += d.gradient_b;
    if (order != Order::hessian) continue;
    if (i >= 0) work.tangent.add(i, i, d.aa);
    if (j >= 0) work.tangent.add(j, j, d.bb);
    if (i >= 0 && j >= 0) {
      if (i > j)
        work.tangent.add(i, j, d.ab);
      else
        work.tangent.add(j, i, d.ab.transpose());
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
    work.tangent.add_unsymmetric(i, factor * load.tangent);
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

/// Which pairs of bodies laws act between: one for each leg of a strand, one for any other; none where a law turns.
void Workspace::sort_laws(const Model& model) {
  pairs_of_law.resize(model.laws.size());
  const auto pair = [this](BodyId a, BodyId b) {
    const auto same = [&](const PairSum& p) { return p.a == a && p.b == b; };
    const auto at = std::find_if(pairs.begin(), pairs.end(), same);
    const auto index = static_cast<int>(at - pairs.begin());
    if (at == pairs.end()) {
      pairs.emplace_back();
      pairs.back().a = a;
      pairs.back().b = b;
    }
    return index;
  };
  for (std::size_t law = 0; law < model.laws.size(); ++law) {
    const std::size_t i = at_index(model.laws[law].geometry);
    std::vector<int>& to = pairs_of_law[law];
    switch (model.laws[law].kind) {
      case LawElement::Kind::strand:
        for (const StrandGeometry::Leg& leg : model.strands[i].legs) to.push_back(pair(leg.a, leg.b));
        break;
      case LawElement::Kind::pad:
        to.push_back(pair(model.pads[i].a, model.pads[i].b));
        break;
      case LawElement::Kind::slide:
        to.push_back(pair(model.slides[i].a, model.slides[i].b));
        break;
      case LawElement::Kind::turn:
        break;
    }
  }
  for (const NeighbourTie& tie : model.regularisation) pairs_of_ties.push_back(pair(tie.a, tie.b));
}

Workspace::Workspace(const Model& model)
    : tangent(model.dofs, pairs_of(model)),
      regularisation(model.regularisation),
      linear_work(model.linear.size()),
      measures(model.laws.size()),
      stretches(model.regularisation.size()) {
  gradient.setZero(model.dofs);
  sort_laws(model);
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
  for (std::size_t i = 0; i < model.regularisation.size(); ++i) {  // what it holds at assembly stays
    work.regularisation[i].stiffness_N_per_mm = factor * model.regularisation[i].stiffness_N_per_mm;
    work.regularisation[i].stiffness_Nmm_per_rad = factor * model.regularisation[i].stiffness_Nmm_per_rad;
  }
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
  // derivative of a measure on the unknowns, times f
  const auto add = [&model](const Measure& m, double f, Eigen::VectorXd& to) {
    for (std::size_t a = 0; a < m.bodies.size(); ++a)
      if (const int i = model.first_dof[at_index(m.bodies[a].value)]; i >= 0)
        to.segment<6>(i) += f * m.gradient.segment<6>(6 * static_cast<Eigen::Index>(a));
  };
  Eigen::VectorXd left(model.dofs);
  Eigen::VectorXd right(model.dofs);
  for (std::size_t i = 0; i < model.frictions.size(); ++i) {
    const FrictionElement& friction = model.frictions[i];
    if (!(state.cap[i] > 0.0) || friction.bonded) continue;
    Measure& own = work.measures[at_index(friction.law)];
    measure_law(model, friction.law, poses, Order::gradient, own);
    const Response held = friction_response(friction, state.slip[i], state.cap[i], own.value);
    if (held.stiffness > 0.0 || held.force == 0.0) continue;  // it sticks: its force does not ask for the cap
    left.setZero();
    right.setZero();
    bool pressed = false;
    for (const FrictionElement::Feed& feed : friction.normal) {
      Measure& by = work.measures[at_index(feed.law)];
      measure_law(model, feed.law, poses, Order::gradient, by);
      const Response normal = respond_without_energy(model.laws[at_index(feed.law)].law, by.value);
      if (!(normal.force > 0.0)) continue;
      pressed = true;
      add(by, friction.cap_per_N * feed.weight * normal.stiffness, right);
    }
    if (!pressed) continue;
    add(own, std::copysign(1.0, held.force), left);
    work.tangent.add_product(left, right);
  }
}

Sum evaluate_model(const Model& model, const LoadPath& load, double factor, const Poses& poses, const State& friction,
                   Order order, Workspace& work, Eigen::VectorXd& gradient) {
  Sum sum;
  if (order != Order::value) gradient.setZero(model.dofs);
  if (order == Order::hessian) work.tangent.clear();
  for (PairSum& pair : work.pairs)
    if (pair.touched) pair.clear();
  const std::size_t plain = model.laws.size() - model.frictions.size();
  for (std::size_t i = 0; i < plain; ++i) {
    const int law = static_cast<int>(i);
    add_law(
        model, law, acts_from(model.laws[i].law), [&](double e) { return respond(model.laws[i].law, e); }, poses, order,
        work, gradient, sum);
  }
  for (std::size_t i = 0; i < model.frictions.size(); ++i) {
    if (!(friction.cap[i] > 0.0)) continue;
    const int law = model.frictions[i].law;
    add_law(
        model, law, kAlways,
        [&](double e) { return friction_response(model.frictions[i], friction.slip[i], friction.cap[i], e); }, poses, order,
        work, gradient, sum);
  }
  for (std::size_t i = 0; i < work.regularisation.size(); ++i) {
    const NeighbourTie& tie = work.regularisation[i];
    work.stretches[i] = stretch(tie, poses);
    sum.strain_Nmm += energy_Nmm(tie, work.stretches[i]);
    if (order != Order::value) add(tie, work.stretches[i], poses, order, work.pairs[at_index(work.pairs_of_ties[i])]);
  }
  if (order != Order::value) spread_pairs(model, poses, order, work, gradient);
  for (std::size_t i = 0; i < model.linear.size(); ++i)
    add_gauge(model, model.linear[i], work.linear_work[i], poses, order, work, gradient, sum);
  sum.potential_Nmm = sum.strain_Nmm;
  add_loads(model, load.constant, 1.0, 0, poses, order, work, gradient, sum);
  if (factor != 0.0) add_loads(model, load.growing, factor, load.constant.moments.size(), poses, order, work, gradient, sum);
  return sum;
}

void growing_gradient(const Model& model, const LoadPath& load, const Poses& poses, Workspace& work, Eigen::VectorXd& out) {
  Sum sum;
  out.setZero(model.dofs);
  add_loads(model, load.growing, 1.0, load.constant.moments.size(), poses, Order::gradient, work, out, sum);
}

}  // namespace opisthion::core::full
