// SPDX-License-Identifier: MIT
#include <algorithm>
#include <catch2/catch.hpp>
#include <cstdlib>
#include <random>

#include "solver/core/beam.hpp"
#include "solver/core/equilibrium.hpp"
#include "solver/core/response.hpp"
#include "tests/unit/solver/small_systems.hpp"
#include "tests/unit/solver/taylor.hpp"

namespace core = opisthion::core;
namespace mesh = opisthion::mesh;
namespace tests = opisthion::tests;

#ifdef __has_feature  // clang's word for gcc's macros
#if __has_feature(address_sanitizer) || __has_feature(thread_sanitizer)
#define OPISTHION_SANITIZED
#endif
#endif
#if defined(__GLIBC__) && !defined(__SANITIZE_ADDRESS__) && !defined(__SANITIZE_THREAD__) && !defined(OPISTHION_SANITIZED)
#define OPISTHION_COUNTS_ALLOCATIONS
static long allocations = 0;
// Eigen asks malloc, the standard library operator new, which asks malloc: one counter sees both.
extern "C" void* __libc_malloc(std::size_t);
extern "C" void* malloc(std::size_t size) {
  ++allocations;
  return __libc_malloc(size);
}
#endif

namespace {

Eigen::VectorXd random_vector(Eigen::Index n, std::mt19937& random, double size) {
  std::uniform_real_distribution<double> d(-size, size);
  Eigen::VectorXd v(n);
  for (Eigen::Index i = 0; i < n; ++i) v[i] = d(random) * (i % 6 < 3 ? 1.0 : 0.05);
  return v;
}

Eigen::Matrix<double, 1, 1> one(double v) {
  return Eigen::Matrix<double, 1, 1>::Constant(v);
}

double solve_first(const core::ReducedModel& m, double force, Eigen::VectorXd q) {
  Eigen::VectorXd load = Eigen::VectorXd::Zero(m.dofs);
  load[0] = force;
  core::EquilibriumWorkspace work;
  REQUIRE(core::solve_equilibrium(m, load, {}, work, q));
  return q[0];
}

core::ReducedModel cycling_model() {
  core::ReducedModel m = tests::plain_model(Eigen::MatrixXd::Identity(2, 2));
  tests::add_law(m, Eigen::Vector2d(-2, -1), mesh::ToeLinear{1.0, 0.0, 20.0});
  tests::add_law(m, Eigen::Vector2d(1, 2), mesh::ToeLinear{0.0, 0.0, 20.0});
  tests::add_law(m, Eigen::Vector2d(-2, 0), mesh::ToeLinear{1.0, 0.0, 20.0});
  return m;
}

}  // namespace

TEST_CASE("unit: force and tangent of the whole model are derivatives of its energy, by slope") {
  const mesh::System s = tests::neck(3, 1);
  const core::ReducedModel m = core::reduce(s, tests::condensed(s));
  std::mt19937 random(7);
  const Eigen::VectorXd none = Eigen::VectorXd::Zero(m.dofs);
  for (int trial = 0; trial < 40; ++trial) {
    const Eigen::VectorXd q = random_vector(m.dofs, random, 2.0);
    Eigen::VectorXd d = random_vector(m.dofs, random, 1.0);
    // off the kinks: shorten the step until no law changes piece along it
    for (const core::Functional& f : m.functionals) {
      std::array<double, 8> at{};
      const int count = core::kinks(f.law, at);
      for (int i = 0; i < count; ++i) {
        const double room = std::abs(at[static_cast<std::size_t>(i)] - f.at(q));
        const double rate = std::abs(f.at(d));
        if (rate > 0.5 * room) d *= 0.5 * room / rate;
      }
    }
    const double order = tests::taylor_order([&](const Eigen::VectorXd& x) { return core::energy_at(m, x, 1.0); },
                                             [&](const Eigen::VectorXd& x) {
                                               Eigen::VectorXd r;
                                               core::residual_at(m, x, none, 1.0, r);
                                               return r;
                                             },
                                             [&](const Eigen::VectorXd& x) {
                                               Eigen::MatrixXd k;
                                               core::tangent_at(m, x, 1.0, k);
                                               return k;
                                             },
                                             q, d);
    // when every law under way is straight the model is exact and only rounding is left to measure
    Eigen::MatrixXd k;
    core::tangent_at(m, q, 1.0, k);
    Eigen::VectorXd r0, r1, r2;
    core::residual_at(m, q, none, 1.0, r0);
    core::residual_at(m, q + d, none, 1.0, r1);
    core::residual_at(m, q + 0.5 * d, none, 1.0, r2);
    const double e1 = (r1 - r0 - k * d).norm();
    const double e2 = (r2 - r0 - 0.5 * k * d).norm();
    if (e1 < 1e-11 * r1.norm()) continue;
    CHECK(std::log2(e1 / e2) == Approx(2.0).margin(0.05));
    if (std::abs(core::energy_at(m, q + d, 1.0)) < 1e6 * e1 * d.norm()) CHECK(order == Approx(3.0).margin(0.1));
  }
}

TEST_CASE("unit: a rigid motion of everything strains nothing") {
  mesh::System s = tests::neck(3, 2);
  s.bodies[0].fixed = false;
  const core::ReducedModel m = core::reduce(s, tests::condensed(s));
  Eigen::MatrixXd rigid(m.dofs, 6);
  for (int i = 0; i < 3; ++i)
    rigid.middleRows<6>(6 * i) = core::rigid_arm(s.bodies[static_cast<std::size_t>(i)].position_mm);
  CHECK((m.stiffness * rigid).norm() < 1e-13 * m.stiffness.norm() * rigid.norm());
  CHECK((m.regularisation * rigid).norm() < 1e-13 * m.regularisation.norm() * rigid.norm());
  for (const core::Functional& f : m.functionals)
    for (int i = 0; i < 6; ++i) CHECK(std::abs(f.at(rigid.col(i))) < 1e-13 * rigid.norm());
}

TEST_CASE("unit: work of one load along the motion of another is the same both ways") {
  // Maxwell-Betti, on a model whose laws are all straight
  mesh::System s = tests::neck(3, 2);
  s.strands.clear();
  s.pads.clear();
  s.rings.clear();
  for (auto& disc : s.axis_cushions) disc.laws[2] = disc.laws[4] = mesh::two_slopes(300.0, 300.0);
  const core::ReducedModel m = core::reduce(s, tests::condensed(s));
  std::mt19937 random(3);
  core::EquilibriumWorkspace work;
  for (int trial = 0; trial < 5; ++trial) {
    Eigen::VectorXd f = random_vector(m.dofs, random, 50.0);
    Eigen::VectorXd g = random_vector(m.dofs, random, 50.0);
    Eigen::VectorXd u = Eigen::VectorXd::Zero(m.dofs);
    Eigen::VectorXd v = u;
    const auto outcome = core::solve_equilibrium(m, f, {}, work, u);
    REQUIRE(outcome);
    REQUIRE(core::solve_equilibrium(m, g, {}, work, v));
    CHECK(g.dot(u) == Approx(f.dot(v)).epsilon(1e-11));
    CHECK(0.5 * f.dot(u) == Approx(outcome.energy_Nmm).epsilon(1e-12));  // Clapeyron
  }
}

TEST_CASE("unit: one spring and a stop, and two opposed wires, follow their closed forms") {
  core::ReducedModel stop = tests::plain_model(Eigen::MatrixXd::Constant(1, 1, 100.0));
  tests::add_law(stop, one(1.0), mesh::ToeLinear{0.5, 0.0, 400.0});
  const Eigen::VectorXd zero = Eigen::VectorXd::Zero(6);
  CHECK(solve_first(stop, 10.0, zero) == Approx(0.1).epsilon(1e-14));
  CHECK(solve_first(stop, 50.0, zero) == Approx(0.5).epsilon(1e-14));
  CHECK(solve_first(stop, 100.0, zero) == Approx(0.6).epsilon(1e-14));
  core::ReducedModel wires = tests::plain_model(Eigen::MatrixXd::Constant(1, 1, 1e-9));
  tests::add_law(wires, one(1.0), mesh::ToeLinear{-0.1, 0.0, 200.0});
  tests::add_law(wires, one(-1.0), mesh::ToeLinear{-0.1, 0.0, 200.0});
  CHECK(solve_first(wires, 40.0, zero) == Approx(0.1).epsilon(1e-9));
  CHECK(solve_first(wires, 60.0, zero) == Approx(0.2).epsilon(1e-9));
}

TEST_CASE("unit: models on which flipping of states cycles are solved from every start") {
  const core::ReducedModel m = cycling_model();
  Eigen::VectorXd load = Eigen::VectorXd::Zero(6);
  load[1] = 2.0;
  core::EquilibriumWorkspace work;
  std::mt19937 random(5);
  for (int trial = 0; trial < 50; ++trial) {
    Eigen::VectorXd q = trial == 0 ? Eigen::VectorXd::Zero(6) : random_vector(6, random, 3.0);
    const auto outcome = core::solve_equilibrium(m, load, {}, work, q);
    REQUIRE(outcome);
    CHECK(outcome.iterations <= 9);
    CHECK(q[0] == Approx(-0.5044826).epsilon(1e-6));
    CHECK(q[1] == Approx(0.2738186).epsilon(1e-6));
  }
  // Curtis, Han & Robinson (2015), a bound-constrained problem; the bounds as stiff stops (from memory, checked by its
  // solution)
  Eigen::Matrix3d h;
  h << 4, 5, -5, 5, 9, -5, -5, -5, 7;
  core::ReducedModel bounds = tests::plain_model(h);
  for (int i = 0; i < 3; ++i) tests::add_law(bounds, Eigen::Vector3d::Unit(i), mesh::ToeLinear{0.0, 0.0, 1e9});
  load.setZero();
  load.head<3>() << -2, -1, 3;
  for (int start = 0; start < 8; ++start) {
    Eigen::VectorXd q = Eigen::VectorXd::Zero(6);
    for (int i = 0; i < 3; ++i) q[i] = (start >> i & 1) ? 1.0 : -1.0;
    REQUIRE(core::solve_equilibrium(bounds, load, {}, work, q));
    CHECK(q[0] == Approx(-0.5).epsilon(1e-7));
    CHECK(std::abs(q[1]) < 1e-7);
    CHECK(std::abs(q[2]) < 1e-7);
  }
}

TEST_CASE("unit: unloaded laws without slack rest where they are") {
  core::ReducedModel m = tests::plain_model(Eigen::MatrixXd::Identity(3, 3) * 10.0);
  for (int i = 0; i < 3; ++i) {
    tests::add_law(m, Eigen::Vector3d::Unit(i), mesh::ToeLinear{0.0, 0.0, 300.0});
    tests::add_law(m, -Eigen::Vector3d::Unit(i), mesh::ToeLinear{0.0, 0.0, 300.0});
  }
  tests::add_law(m, Eigen::Vector3d(0, 0.6, 0.8), mesh::ToeLinear{0.0, 0.0, 300.0});
  core::EquilibriumWorkspace work;
  Eigen::VectorXd load = Eigen::VectorXd::Zero(6);
  load[0] = 3.0;
  for (const double dust : {0.0, 1e-17, -1e-17}) {
    Eigen::VectorXd q = Eigen::VectorXd::Constant(6, dust);
    const auto outcome = core::solve_equilibrium(m, load, {}, work, q);
    REQUIRE(outcome);
    CHECK(outcome.iterations <= 4);
    CHECK(q[0] == Approx(3.0 / 310.0).epsilon(1e-14));
    CHECK(std::abs(q[1]) < 1e-15);
  }
}

TEST_CASE("unit: the answer does not depend on order, start or load steps") {
  const mesh::System s = tests::neck(4, 1);
  core::ReducedModel m = core::reduce(s, tests::condensed(s));
  const mesh::BodyLoad loads[] = {
      {.at = {{3}, mesh::Vector3(5, 3, 50)}, .force_N = {10, -20, -15}, .moment_Nmm = {1500, 800, -1200}}};
  const Eigen::VectorXd load = core::load_vector(s, m, loads);
  core::EquilibriumWorkspace work;
  Eigen::VectorXd q = Eigen::VectorXd::Zero(m.dofs);
  REQUIRE(core::solve_equilibrium(m, load, {}, work, q));
  std::mt19937 random(11);
  for (int trial = 0; trial < 10; ++trial) {
    Eigen::VectorXd other = random_vector(m.dofs, random, 3.0);
    REQUIRE(core::solve_equilibrium(m, load, {}, work, other));
    CHECK((other - q).norm() < 1e-10 * q.norm());
    std::shuffle(m.functionals.begin(), m.functionals.end(), random);
  }
  Eigen::VectorXd stepped = Eigen::VectorXd::Zero(m.dofs);
  for (int step = 1; step <= 7; ++step) REQUIRE(core::solve_equilibrium(m, load * (step / 7.0), {}, work, stepped));
  CHECK((stepped - q).norm() < 1e-10 * q.norm());
}

TEST_CASE("unit: with straight laws the bits do not depend on the start") {
  mesh::System s = tests::neck(4, 1);
  for (auto& strand : s.strands) strand.law = mesh::ToeLinear{0.4, 0.0, 25.0};
  for (auto& ring : s.rings) ring.ligament.toe = 0.0;
  const core::ReducedModel m = core::reduce(s, tests::condensed(s));
  const mesh::BodyLoad loads[] = {
      {.at = {{3}, mesh::Vector3(5, 3, 50)}, .force_N = {10, -20, -15}, .moment_Nmm = {1500, 800, -1200}}};
  const Eigen::VectorXd load = core::load_vector(s, m, loads);
  core::EquilibriumWorkspace work;
  Eigen::VectorXd q = Eigen::VectorXd::Zero(m.dofs);
  REQUIRE(core::solve_equilibrium(m, load, {}, work, q));
  std::mt19937 random(13);
  for (int trial = 0; trial < 10; ++trial) {
    Eigen::VectorXd other = random_vector(m.dofs, random, 3.0);
    REQUIRE(core::solve_equilibrium(m, load, {}, work, other));
    CHECK(other == q);
  }
}

TEST_CASE("unit: nothing to hold the load is singular, pretension without load converges") {
  core::ReducedModel slack = tests::plain_model(Eigen::MatrixXd::Zero(1, 1));
  tests::add_law(slack, one(-1.0), mesh::ToeLinear{0.0, 0.0, 5.0});
  Eigen::VectorXd load = Eigen::VectorXd::Zero(6);
  load[0] = 1.0;
  core::EquilibriumWorkspace work;
  Eigen::VectorXd q = Eigen::VectorXd::Constant(6, 0.1);
  CHECK(core::solve_equilibrium(slack, load, {}, work, q).status == core::SolveStatus::singular);

  mesh::System s = tests::neck(3, 2);
  for (auto& strand : s.strands) strand.law = mesh::ToeLinear{-0.8, 0.3, 250.0};
  const core::ReducedModel taut = core::reduce(s, tests::condensed(s));
  q = Eigen::VectorXd::Zero(taut.dofs);
  const auto outcome = core::solve_equilibrium(taut, Eigen::VectorXd::Zero(taut.dofs), {}, work, q);
  CHECK(outcome.status == core::SolveStatus::converged);
  CHECK(q.norm() > 1e-3);
  CHECK(outcome.strand_share > 0.0);
}

TEST_CASE("unit: shares of energy are those of the sums") {
  const mesh::System s = tests::neck(3, 0);
  const core::ReducedModel m = core::reduce(s, {});
  const mesh::BodyLoad loads[] = {{.at = {{2}, mesh::Vector3(0, 0, 32)}, .moment_Nmm = {0, 1500, 0}}};
  core::EquilibriumWorkspace work;
  Eigen::VectorXd q = Eigen::VectorXd::Zero(m.dofs);
  const auto outcome = core::solve_equilibrium(m, core::load_vector(s, m, loads), {}, work, q);
  REQUIRE(outcome);
  CHECK(outcome.energy_Nmm == Approx(core::energy_at(m, q, 1.0)).epsilon(1e-12));
  const double without = core::energy_at(m, q, 0.0);
  CHECK(outcome.regularisation_share == Approx((outcome.energy_Nmm - without) / outcome.energy_Nmm).epsilon(1e-6));
  double strands = 0.0;
  for (const core::Functional& f : m.functionals)
    if (f.strand) strands += core::respond(f.law, f.at(q)).energy;
  CHECK(outcome.strand_share == Approx(strands / outcome.energy_Nmm).epsilon(1e-12));
  CHECK(outcome.strand_share > 0.01);
}

#ifdef OPISTHION_COUNTS_ALLOCATIONS
TEST_CASE("unit: a second solve of the same size allocates nothing") {
  const mesh::System s = tests::neck(5, 2);
  const core::ReducedModel m = core::reduce(s, tests::condensed(s));
  const mesh::BodyLoad loads[] = {
      {.at = {{4}, mesh::Vector3(5, 3, 60)}, .force_N = {10, -20, -15}, .moment_Nmm = {1500, 800, -1200}}};
  const Eigen::VectorXd load = core::load_vector(s, m, loads);
  core::EquilibriumWorkspace work;
  Eigen::VectorXd q = Eigen::VectorXd::Zero(m.dofs);
  long before = allocations;
  REQUIRE(core::solve_equilibrium(m, load, {}, work, q));
  CHECK(allocations > before);  // the counter counts
  q.setZero();
  before = allocations;
  const auto outcome = core::solve_equilibrium(m, load, {}, work, q);
  const long during = allocations - before;
  CHECK(during == 0);
  CHECK(outcome.iterations > 1);
}
#endif
