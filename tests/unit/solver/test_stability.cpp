// SPDX-License-Identifier: MIT
#include <catch2/catch.hpp>

#include "solver/core/stability.hpp"
#include "tests/unit/solver/small_systems.hpp"

namespace core = opisthion::core;
namespace mesh = opisthion::mesh;
namespace tests = opisthion::tests;

namespace {

/// A body 20 mm above ground, tied by a cushion with the diagonal given at its own reference point.
mesh::System tied(const mesh::Vector6& diagonal) {
  mesh::System s;
  const auto ground = tests::add_body(s, {0, 0, 0}, mesh::BodyKind::bone, true);
  const auto body = tests::add_body(s, {0, 0, 20}, mesh::BodyKind::bone);
  mesh::Cushion cushion{.a = ground, .b = body, .point_mm = {0, 0, 20}};
  cushion.stiffness.diagonal() = diagonal;
  s.cushions.push_back(cushion);
  s.neighbours.push_back({body, ground});
  return s;
}

mesh::Vector6 six(double a, double b, double c, double d, double e, double f) {
  mesh::Vector6 v;
  v << a, b, c, d, e, f;
  return v;
}

struct Judged {
  core::StabilityOutcome outcome;
  Eigen::VectorXd q;
};

Judged judged(const core::ReducedModel& m, const Eigen::VectorXd& load) {
  core::EquilibriumWorkspace work;
  Eigen::VectorXd q = Eigen::VectorXd::Zero(m.dofs);
  REQUIRE(core::solve_equilibrium(m, load, {}, work, q));
  return {core::judge(m, load, q, {}, work), q};
}

}  // namespace

TEST_CASE("unit: what is held neither runs away nor floats") {
  const mesh::System s = tests::neck(4, 2);
  const core::ReducedModel m = core::reduce(s, tests::condensed(s));
  Eigen::VectorXd load = Eigen::VectorXd::Zero(m.dofs);
  load[m.dofs - 2] = 1500.0;
  const auto j = judged(m, load).outcome;
  CHECK_FALSE(j.runaway);
  CHECK(j.growth < 1e-3);
  CHECK(j.driven.empty());
  CHECK(j.floating.empty());
}

TEST_CASE("unit: a load along a free motion runs away, and the escape points along it") {
  const core::ReducedModel m = core::reduce(tied(six(100, 0, 100, 1e4, 1e4, 1e4)), {});
  Eigen::VectorXd load = Eigen::VectorXd::Zero(6);
  load[0] = 10.0;
  load[1] = 0.5;
  const auto j = judged(m, load).outcome;
  CHECK(j.runaway);
  CHECK(j.growth > 1.0);
  REQUIRE(j.driven.size() == 1);
  CHECK(j.floating.empty());
  CHECK(j.driven[0].shape[1] == Approx(1.0).epsilon(1e-6));
  CHECK(j.escape[1] == Approx(1.0).epsilon(1e-2));
}

TEST_CASE("unit: a free motion without work of the load floats") {
  const core::ReducedModel m = core::reduce(tied(six(100, 0, 100, 1e4, 1e4, 1e4)), {});
  Eigen::VectorXd load = Eigen::VectorXd::Zero(6);
  load[0] = 10.0;
  const auto j = judged(m, load).outcome;
  CHECK_FALSE(j.runaway);
  CHECK(j.driven.empty());
  REQUIRE(j.floating.size() == 1);
  CHECK(std::abs(j.floating[0].shape[1]) == Approx(1.0).epsilon(1e-6));
}

TEST_CASE("unit: of two free motions the one that the load drives is told from the one that floats") {
  // both translations across are free; the load pushes between them, so the driven motion is oblique
  const core::ReducedModel m = core::reduce(tied(six(0, 0, 100, 1e4, 1e4, 1e4)), {});
  Eigen::VectorXd load = Eigen::VectorXd::Zero(6);
  load.head<2>() << 0.3, 0.4;
  const auto j = judged(m, load).outcome;
  CHECK(j.runaway);
  REQUIRE(j.driven.size() == 1);
  REQUIRE(j.floating.size() == 1);
  CHECK(std::abs(j.driven[0].shape[0]) == Approx(0.6).epsilon(1e-6));
  CHECK(std::abs(j.driven[0].shape[1]) == Approx(0.8).epsilon(1e-6));
  CHECK(std::abs(j.driven[0].shape.head<2>().dot(j.floating[0].shape.head<2>())) < 1e-9);
}

TEST_CASE("unit: a one-sided stop holds a push towards it and lets go of a pull") {
  mesh::System s = tied(six(100, 100, 0, 1e4, 1e4, 1e4));
  s.strands.push_back({{{{0}, {0, 0, 0}}, {{1}, {0, 0, 20}}}, mesh::ToeLinear{0.5, 0.0, 200.0}, {}});
  const core::ReducedModel m = core::reduce(s, {});
  Eigen::VectorXd load = Eigen::VectorXd::Zero(6);
  load[2] = 10.0;
  CHECK_FALSE(judged(m, load).outcome.runaway);
  CHECK(judged(m, load).outcome.driven.empty());
  load[2] = -10.0;
  CHECK(judged(m, load).outcome.runaway);
  CHECK(judged(m, load).outcome.driven.size() == 1);
}

TEST_CASE("unit: slack that ends is lax with its travel, slack that does not is floating") {
  mesh::System s = tied(six(100, 100, 0, 1e4, 1e4, 1e4));
  s.strands.push_back({{{{0}, {0, 0, 0}}, {{1}, {0, 0, 20}}}, mesh::ToeLinear{0.5, 0.0, 200.0}, {}});
  core::EquilibriumWorkspace work;
  const auto probe = [&](const mesh::System& system) {
    const core::ReducedModel m = core::reduce(system, {});
    Eigen::MatrixXd k;
    core::tangent_at(m, Eigen::VectorXd::Zero(6), 0.0, k);
    const core::Modes modes = core::softest_modes(k, m.dof_scale, 1);
    CHECK(modes.softest[0].stiffness_N_per_mm < 1e-9);
    return core::probe_mode(m, modes.softest[0], 2.0, work);
  };
  CHECK_FALSE(probe(s).stiffens);  // stops one way only
  s.pads.push_back({.a = {{1}, {0, 0, 20}}, .b = {0}, .vertex_mm = {0, 0, 19.7}, .law = mesh::ToeLinear{0.3, 0.0, 400.0}});
  const core::LaxProbe both = probe(s);
  CHECK(both.stiffens);
  CHECK(both.travel == Approx(0.4).epsilon(1e-3));  // mean of 0.5 mm up and 0.3 mm down
}
