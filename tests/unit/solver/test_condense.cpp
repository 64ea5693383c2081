// SPDX-License-Identifier: MIT
#include <Eigen/Cholesky>
#include <catch2/catch.hpp>

#include "solver/core/beam.hpp"
#include "solver/core/equilibrium.hpp"
#include "tests/unit/solver/small_systems.hpp"

namespace core = opisthion::core;
namespace mesh = opisthion::mesh;
namespace tests = opisthion::tests;

namespace {

/// Largest entry of a - b against sqrt(b_ii b_jj).
double difference(const Eigen::MatrixXd& a, const Eigen::MatrixXd& b) {
  double worst = 0.0;
  for (Eigen::Index i = 0; i < a.rows(); ++i)
    for (Eigen::Index j = 0; j < a.cols(); ++j)
      worst = std::max(worst, std::abs(a(i, j) - b(i, j)) / std::sqrt(b(i, i) * b(j, j)));
  return worst;
}

Eigen::MatrixXd rigid_motions(const mesh::System& s, const std::vector<mesh::BodyId>& bodies) {
  Eigen::MatrixXd r(6 * static_cast<int>(bodies.size()), 6);
  for (std::size_t i = 0; i < bodies.size(); ++i)
    r.middleRows<6>(6 * static_cast<int>(i)) = core::rigid_arm(mesh::body(s, bodies[i]).position_mm);
  return r;
}

}  // namespace

TEST_CASE("unit: condensation is the Schur complement of the whole") {
  // second method: dense Schur complement by Eigen's LDLT on the assembled matrix
  for (const int elements : {1, 4, 13}) {
    mesh::System s = tests::neck(3, 1, elements);
    s.bodies[0].fixed = false;
    const auto components = mesh::find_components(s);
    REQUIRE(components.size() == 1);
    const auto outcome = core::condense(s, components[0]);
    REQUIRE(outcome.regular);
    const core::CondensedComponent& c = outcome.component;
    const core::ReducedModel full = core::reduce_nothing(s);
    const int ports = 18;
    const int rest = full.dofs - ports;
    const Eigen::MatrixXd kpp = full.stiffness.topLeftCorner(ports, ports);
    const Eigen::MatrixXd kpi = full.stiffness.topRightCorner(ports, rest);
    const Eigen::MatrixXd recovery =
        -full.stiffness.bottomRightCorner(rest, rest).ldlt().solve(Eigen::MatrixXd(kpi.transpose()));
    const Eigen::MatrixXd schur = kpp + kpi * recovery;
    CHECK(difference(c.stiffness, schur) < 1e-10);
    CHECK((c.recovery - recovery).cwiseAbs().maxCoeff() < 1e-9 * recovery.cwiseAbs().maxCoeff());
    CHECK((c.stiffness - c.stiffness.transpose()).norm() == 0.0);
    const Eigen::MatrixXd rigid = rigid_motions(s, c.ports);
    CHECK((c.stiffness * rigid).norm() < 1e-13 * kpp.norm() * rigid.norm());
    CHECK((c.recovery * rigid - rigid_motions(s, c.interior)).norm() < 1e-9 * rigid_motions(s, c.interior).norm());
    const auto lean = core::condense(s, components[0], core::Recovery::leave_out);
    CHECK((lean.component.stiffness - c.stiffness).norm() == 0.0);
    CHECK(lean.component.recovery.size() == 0);
  }
}

TEST_CASE("unit: a rod of eight elements condenses to the beam of one") {
  mesh::System s;
  const mesh::Vector3 axis = mesh::Vector3(1, 2, 2) / 3.0;
  std::vector<mesh::BodyId> nodes;
  for (int i = 0; i <= 8; ++i) nodes.push_back(tests::add_body(s, axis * (40.0 * i / 8), mesh::BodyKind::metal));
  for (std::size_t i = 0; i < 8; ++i) tests::add_beam(s, nodes[i], nodes[i + 1], 5.5);
  s.bodies[0].port = s.bodies[8].port = true;
  const auto outcome = core::condense(s, mesh::find_components(s).at(0));
  REQUIRE(outcome.regular);
  mesh::System one;
  tests::add_beam(one, tests::add_body(one, mesh::Vector3::Zero(), mesh::BodyKind::metal),
                  tests::add_body(one, axis * 40.0, mesh::BodyKind::metal), 5.5);
  CHECK(difference(outcome.component.stiffness, core::beam_stiffness_global(one, one.beams[0])) < 1e-12);
}

TEST_CASE("unit: metal that nothing holds is reported as loose") {
  mesh::System alone;
  const auto a = tests::add_body(alone, {0, 0, 0}, mesh::BodyKind::metal);
  const auto b = tests::add_body(alone, {0, 0, 9}, mesh::BodyKind::metal);
  const auto c = tests::add_body(alone, {0, 0, 20}, mesh::BodyKind::metal);
  tests::add_beam(alone, a, b, 3.5);
  tests::add_beam(alone, b, c, 3.5);
  const auto outcome = core::condense(alone, mesh::find_components(alone).at(0));
  CHECK_FALSE(outcome.regular);
  CHECK(outcome.loose.valid());

  mesh::System hinged;  // held by a lock that cannot turn about the rod's axis
  const auto bone = tests::add_body(hinged, {0, 0, 0}, mesh::BodyKind::bone);
  const auto p = tests::add_body(hinged, {5, 0, 0}, mesh::BodyKind::metal);
  const auto q = tests::add_body(hinged, {15, 0, 0}, mesh::BodyKind::metal);
  tests::add_beam(hinged, p, q, 3.5);
  mesh::Cushion lock{.a = bone, .b = p, .point_mm = {5, 0, 0}};
  lock.stiffness.diagonal() << 1e4, 1e4, 1e4, 0.0, 1e5, 1e5;
  hinged.cushions.push_back(lock);
  CHECK_FALSE(core::condense(hinged, mesh::find_components(hinged).at(0)).regular);
  hinged.cushions[0].stiffness(3, 3) = 1.0;
  CHECK(core::condense(hinged, mesh::find_components(hinged).at(0)).regular);
}

TEST_CASE("unit: condensed and full model give the same motion, dof by dof") {
  const mesh::System s = tests::neck(4, 2);
  const core::ReducedModel small = core::reduce(s, tests::condensed(s));
  const core::ReducedModel full = core::reduce_nothing(s);
  CHECK(small.dofs == 18);
  const mesh::BodyLoad loads[] = {
      {.at = {{3}, mesh::Vector3(5, 3, 50)}, .force_N = {4, -7, 11}, .moment_Nmm = {900, 1200, -700}}};
  core::EquilibriumWorkspace work;
  Eigen::VectorXd q = Eigen::VectorXd::Zero(small.dofs);
  Eigen::VectorXd q_full = Eigen::VectorXd::Zero(full.dofs);
  const auto a = core::solve_equilibrium(small, core::load_vector(s, small, loads), {}, work, q);
  const auto b = core::solve_equilibrium(full, core::load_vector(s, full, loads), {}, work, q_full);
  REQUIRE(a);
  REQUIRE(b);
  for (int i = 0; i < 18; ++i) {
    const double scale = i % 6 < 3 ? 1.0 : 20.0;
    CHECK(std::abs(q[i] - q_full[i]) * scale < 1e-10 * 20.0 * q.norm());
  }
  CHECK(a.energy_Nmm == Approx(b.energy_Nmm).epsilon(1e-10));
  CHECK(a.strand_share == Approx(b.strand_share).epsilon(1e-8));
}

TEST_CASE("unit: separate sides add up") {
  // K = joints + left + right, each component condensed on its own
  const mesh::System s = tests::neck(3, 2);
  const auto parts = tests::condensed(s);
  const core::ReducedModel both = core::reduce(s, parts);
  const core::ReducedModel left = core::reduce(s, std::span(parts).first(1));
  const core::ReducedModel right = core::reduce(s, std::span(parts).last(1));
  CHECK(difference(left.stiffness + right.stiffness, both.stiffness) < 1e-15);
}
