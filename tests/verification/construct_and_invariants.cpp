// SPDX-License-Identifier: MIT
// B8 and B9: the two-body construct, and what every linear model must do.
#include <Eigen/Eigenvalues>
#include <catch2/catch.hpp>

#include "tests/verification/random_system.hpp"
#include "tests/verification/two_body_construct.hpp"

using namespace opisthion;
using namespace opisthion::verification;

namespace {

std::vector<mesh::BodyLoad> moment_on(const System& s, BodyId b, int axis, double moment) {
  return {load_at(s, b, Vector3::Zero(), moment * Vector3::Unit(axis))};
}

/// Eigenvalues of the tangent with rotations divided by 20 mm.
Eigen::VectorXd scaled_eigenvalues(const core::ReducedModel& m) {
  Eigen::VectorXd d(m.dofs);
  for (int i = 0; i < m.dofs; ++i) d(i) = 1.0 / m.dof_scale[static_cast<std::size_t>(i)];
  const Eigen::MatrixXd k = d.asDiagonal() * m.stiffness * d.asDiagonal();
  return Eigen::SelfAdjointEigenSolver<Eigen::MatrixXd>(k, Eigen::EigenvaluesOnly).eigenvalues();
}

System released(System s) {
  for (mesh::Body& b : s.bodies) b.fixed = false;
  return s;
}

}  // namespace

TEST_CASE("the two-body construct answers as the independent solution, whole and condensed") {
  const TwoBodyConstruct c = two_body_construct(true);
  const core::ReducedModel full = core::reduce_nothing(c.system);
  const Condensed small = condensed(c.system);
  CHECK(full.dofs == 30);
  CHECK(small.model.dofs == 6);
  CHECK(small.parts.size() == 2);

  const auto answer = [&](const std::vector<mesh::BodyLoad>& loads) {
    const Eigen::VectorXd q = solve(full, core::load_vector(c.system, full, loads));
    const Eigen::VectorXd r = solve(small.model, core::load_vector(c.system, small.model, loads));
    const Vector6 u = of_body(full, q, c.upper);
    CHECK_SMALL(scaled_norm(of_body(small.model, r, c.upper) - u) / scaled_norm(u), 1e-13);
    return q;
  };
  const double meets = 1e-9;
  {
    const Eigen::VectorXd q = answer(moment_on(c.system, c.upper, 0, 2000));
    const Vector6 u = of_body(full, q, c.upper);
    CHECK_RELATIVE(u(1), -0.069843437698, meets);
    CHECK_RELATIVE(u(2), 0.063942654033, meets);
    CHECK_RELATIVE(u(3), 7.7603819664e-3, meets);
    CHECK_SMALL(std::abs(u(0)) / std::abs(u(1)), 1e-11);
    CHECK_SMALL((std::abs(u(4)) + std::abs(u(5))) / u(3), 1e-11);
    CHECK_RELATIVE(core::energy_at(full, q, 0.0), 7.7603819664, meets);
    // End forces of the rod at x > 0 at the lower body, in rod axes (x up the rod, y = global y).
    const mesh::Beam& rod = c.system.beams[0];
    Eigen::Matrix<double, 12, 1> ends;
    ends << of_body(full, q, rod.a), of_body(full, q, rod.b);
    for (int i = 0; i < 12; i += 3) ends.segment<3>(i) = rod.global_from_beam.transpose() * ends.segment<3>(i);
    const Eigen::Matrix<double, 12, 1> force = core::beam_stiffness(rod.section, rod.length_mm, rod.foundation) * ends;
    CHECK_RELATIVE(std::abs(force(0)), 35.960597353, meets);
    CHECK(force(0) > 0.0);  // pushed up at its lower end: compression
    CHECK_RELATIVE(force(4), -105.40135861, meets);
    CHECK_RELATIVE(force(5), 72.065626498, meets);
  }
  {
    const Vector6 u = of_body(full, answer(moment_on(c.system, c.upper, 1, 2000)), c.upper);
    CHECK_RELATIVE(u(0), 0.035411673521, meets);
    CHECK_RELATIVE(u(4), 3.9346303913e-3, meets);
  }
  {
    const Vector6 u = of_body(full, answer(moment_on(c.system, c.upper, 2, 2000)), c.upper);
    CHECK_RELATIVE(u(0), -0.065081646563, meets);
    CHECK_RELATIVE(u(5), 8.1673380707e-3, meets);
  }
  {
    const mesh::BodyLoad load{.at = {.body = c.upper, .point_mm = {0, 5, 18}}, .force_N = {0, 0, -100}};
    const Vector6 u = of_body(full, answer({load}), c.upper);
    CHECK_RELATIVE(u(1), 0.046235053740, meets);
    CHECK_RELATIVE(u(2), -0.068907683379, meets);
    CHECK_RELATIVE(u(3), -5.1372281933e-3, meets);
  }
}

TEST_CASE("the free two-body construct has six zero modes and no more") {
  const TwoBodyConstruct c = two_body_construct(false);
  const Eigen::VectorXd full = scaled_eigenvalues(core::reduce_nothing(c.system));
  const Eigen::VectorXd small = scaled_eigenvalues(condensed(c.system).model);
  for (const Eigen::VectorXd* e : {&full, &small}) {
    const double most = e->tail<1>()(0);
    for (int i = 0; i < 6; ++i) CHECK_SMALL(std::abs((*e)(i)) / most, 1e-13);
    CHECK((*e)(6) / most > 1e-9);
  }
  // The printed ratio of the seventh to the largest belongs to the whole model with rotations unscaled.
  core::ReducedModel unscaled = core::reduce_nothing(c.system);
  std::fill(unscaled.dof_scale.begin(), unscaled.dof_scale.end(), 1.0);
  const Eigen::VectorXd e = scaled_eigenvalues(unscaled);
  CHECK_RELATIVE(e(6) / e.tail<1>()(0), 8.276e-5, 1e-4);
}

TEST_CASE("every linear model is free of force in rigid motion, symmetric, and in balance") {
  for (std::uint64_t start = 1; start <= 12; ++start) {
    const System held = random_neck(start, {.one_sided = false, .cross_link = start % 3 == 0});
    const System loose = released(held);
    reference::Random random(start + 100);
    for (const bool whole : {true, false}) {
      const core::ReducedModel m = whole ? core::reduce_nothing(loose) : condensed(loose).model;
      // Rigid motion.
      const Vector3 u0 = random.vector(1.0), turn = random.vector(0.05);
      Eigen::VectorXd q = Eigen::VectorXd::Zero(m.dofs), scale(m.dofs);
      for (std::size_t b = 0; b < loose.bodies.size(); ++b) {
        const int first = m.first_dof[b];
        if (first < 0) continue;
        q.segment<3>(first) = u0 + turn.cross(loose.bodies[b].position_mm);
        q.segment<3>(first + 3) = turn;
      }
      for (int i = 0; i < m.dofs; ++i) scale(i) = m.dof_scale[static_cast<std::size_t>(i)];
      const Eigen::VectorXd inverse = scale.cwiseInverse();
      const Eigen::MatrixXd k = inverse.asDiagonal() * m.stiffness * inverse.asDiagonal();
      CHECK_SMALL((k * scale.cwiseProduct(q)).norm() / (k.norm() * scale.cwiseProduct(q).norm()), 1e-13);
      CHECK_SMALL((m.stiffness - m.stiffness.transpose()).norm() / m.stiffness.norm(), 1e-14);
      const Eigen::VectorXd e = Eigen::SelfAdjointEigenSolver<Eigen::MatrixXd>(k, Eigen::EigenvaluesOnly).eigenvalues();
      for (int i = 0; i < 6; ++i) CHECK_SMALL(std::abs(e(i)) / e.tail<1>()(0), 1e-13);
      // The zero modes stand apart from the softest elastic one (1e-9 is asked of two bodies; long chains are softer).
      CHECK(e(6) > 1e3 * std::abs(e.head<6>().cwiseAbs().maxCoeff()));
    }
    // Held: reciprocity, work, balance.
    const core::ReducedModel m = core::reduce_nothing(held);
    Eigen::VectorXd f = Eigen::VectorXd::Zero(m.dofs), g = f;
    const std::vector<mesh::BodyLoad> one{load_at(held, {2}, random.vector(50), random.vector(900))};
    const std::vector<mesh::BodyLoad> two{load_at(held, {1}, random.vector(50), random.vector(900)),
                                          load_at(held, {7}, random.vector(5), random.vector(90))};
    f = core::load_vector(held, m, one);
    g = core::load_vector(held, m, two);
    const Eigen::VectorXd u = solve(m, f, 0.0), v = solve(m, g, 0.0);
    CHECK_SMALL(std::abs(f.dot(v) - g.dot(u)) / std::sqrt(std::abs(f.dot(u) * g.dot(v))), 1e-11);
    // The uncondensed matrix spans four decades more than the answer, which costs a digit of u.K u; condensed meets 1e-12.
    CHECK_RELATIVE(core::energy_at(m, u, 0.0), 0.5 * f.dot(u), 1e-11);
    const core::ReducedModel ports = condensed(held).model;
    const Eigen::VectorXd on_ports = core::load_vector(held, ports, one), w = solve(ports, on_ports, 0.0);
    CHECK_RELATIVE(core::energy_at(ports, w, 0.0), 0.5 * on_ports.dot(w), 1e-12);
    // Reactions at the held bone balance the load about the origin.
    const core::ReducedModel free = core::reduce_nothing(loose);
    Eigen::VectorXd all = Eigen::VectorXd::Zero(free.dofs);
    for (std::size_t b = 0; b < held.bodies.size(); ++b)
      all.segment<6>(free.first_dof[b]) = of_body(m, u, {static_cast<int>(b)});
    const Eigen::VectorXd internal = free.stiffness * all;
    Vector6 reaction = internal.segment<6>(free.first_dof[0]);
    reaction.tail<3>() += held.bodies[0].position_mm.cross(Vector3(reaction.head<3>()));
    Vector6 load;
    load << one[0].force_N, one[0].moment_Nmm + one[0].at.point_mm.cross(one[0].force_N);
    CHECK_SMALL((reaction + load).norm() / load.norm(), 1e-10);
  }
}

TEST_CASE("a straight rod of eight elements condenses to one") {
  const mesh::Section s = reference::rod_55();
  System one, eight;
  const Vector3 t = Vector3(1, 2, 2).normalized();
  for (System* system : {&one, &eight}) add_bone(*system, Vector3::Zero(), false), add_bone(*system, 60 * t, false);
  add_beam(one, {0}, {1}, s);
  BodyId at{0};
  for (int i = 1; i <= 8; ++i) {
    const BodyId next = i == 8 ? BodyId{1} : add_body(eight, 60.0 / 8 * i * t, false);
    add_beam(eight, at, next, s);
    at = next;
  }
  const core::ReducedModel a = condensed(one).model, b = condensed(eight).model;
  REQUIRE(a.dofs == 12);
  REQUIRE(b.dofs == 12);
  Eigen::VectorXd d(12);
  for (int i = 0; i < 12; ++i) d(i) = 1.0 / a.dof_scale[static_cast<std::size_t>(i)];
  const Eigen::MatrixXd ka = d.asDiagonal() * a.stiffness * d.asDiagonal(),
                        kb = d.asDiagonal() * b.stiffness * d.asDiagonal();
  CHECK_SMALL((ka - kb).norm() / ka.norm(), 1e-12);
  note_figure("eight elements condensed against one (3e-14 in the reference)", (ka - kb).norm() / ka.norm(), 3e-14, 0.0,
              1.0);
}

TEST_CASE("the answer turns with the model") {
  for (std::uint64_t start = 1; start <= 6; ++start) {
    for (const bool one_sided : {false, true}) {
      const System s = random_neck(start, {.one_sided = one_sided});
      const Vector3 axis(1, -2, 0.7);
      const Matrix3 turn = Eigen::AngleAxisd(axis.norm(), axis.normalized()).toRotationMatrix();
      const System t = moved(s, turn, {3, -4, 5});
      const core::ReducedModel a = core::reduce_nothing(s), b = core::reduce_nothing(t);
      const Vector3 force(20, -10, 15), moment(300, 500, -400);
      const Eigen::VectorXd q = solve(a, core::load_vector(s, a, std::vector{load_at(s, {2}, force, moment)}));
      const Eigen::VectorXd r = solve(b, core::load_vector(t, b, std::vector{load_at(t, {2}, turn * force, turn * moment)}));
      double most = 0.0, worst = 0.0;
      for (int i = 0; i < static_cast<int>(s.bodies.size()); ++i) {
        Vector6 u = of_body(a, q, {i});
        most = std::max(most, scaled_norm(u));
        u.head<3>() = turn * u.head<3>().eval();
        u.tail<3>() = turn * u.tail<3>().eval();
        worst = std::max(worst, scaled_norm(of_body(b, r, {i}) - u));
      }
      CHECK_SMALL(worst / most, 1e-10);
      CHECK_RELATIVE(core::energy_at(b, r, 1.0), core::energy_at(a, q, 1.0), 1e-11);
    }
  }
}
