// SPDX-License-Identifier: MIT
#include <Eigen/Eigenvalues>
#include <catch2/catch.hpp>

#include "solver/core/beam.hpp"
#include "solver/core/equilibrium.hpp"
#include "solver/core/modes.hpp"
#include "tests/unit/solver/small_systems.hpp"

namespace core = opisthion::core;
namespace mesh = opisthion::mesh;
namespace tests = opisthion::tests;

namespace {

Eigen::MatrixXd scaled(const Eigen::MatrixXd& k, const std::vector<double>& scale) {
  const Eigen::Map<const Eigen::VectorXd> s(scale.data(), static_cast<Eigen::Index>(scale.size()));
  return s.cwiseInverse().asDiagonal() * k * s.cwiseInverse().asDiagonal();
}

void check_against_dense(const Eigen::MatrixXd& k, const std::vector<double>& scale, int count) {
  const Eigen::MatrixXd s = scaled(k, scale);
  const Eigen::SelfAdjointEigenSolver<Eigen::MatrixXd> dense(s);
  const core::Modes modes = core::softest_modes(k, scale, count);
  REQUIRE(modes.converged);
  REQUIRE(static_cast<int>(modes.softest.size()) == std::min<int>(count, static_cast<int>(k.rows())));
  const double largest = dense.eigenvalues().maxCoeff();
  CHECK(modes.stiffest_N_per_mm == Approx(largest).epsilon(1e-6));
  const Eigen::Map<const Eigen::VectorXd> d(scale.data(), k.rows());
  for (std::size_t i = 0; i < modes.softest.size(); ++i) {
    const core::Mode& mode = modes.softest[i];
    CHECK(mode.stiffness_N_per_mm ==
          Approx(dense.eigenvalues()[static_cast<Eigen::Index>(i)]).epsilon(1e-9).margin(1e-13 * largest));
    const Eigen::VectorXd v = mode.shape.cwiseProduct(d);
    CHECK(v.norm() == Approx(1.0).epsilon(1e-12));
    CHECK((s * v - mode.stiffness_N_per_mm * v).norm() < 1e-8 * std::abs(mode.stiffness_N_per_mm) + 1e-11 * largest);
    CHECK(v.maxCoeff() >= (1.0 - 1e-9) * v.cwiseAbs().maxCoeff());
    for (std::size_t j = 0; j < i; ++j) CHECK(std::abs(modes.softest[j].shape.cwiseProduct(d).dot(v)) < 1e-8);
  }
}

core::ReducedModel tie_model(const std::vector<int>& left_out) {
  // verification P8: a body hung by six axial springs of 100 N/mm
  mesh::System s;
  const auto ground = tests::add_body(s, {0, 0, 0}, mesh::BodyKind::bone, true);
  const auto body = tests::add_body(s, {0, 0, 30}, mesh::BodyKind::bone);
  const mesh::Vector3 p[3] = {{10, 8, 0}, {-10, 8, 0}, {0, -12, 0}};
  const mesh::Vector3 up(0, 0, 30);
  for (int i = 0; i < 6; ++i) {
    if (std::find(left_out.begin(), left_out.end(), i + 1) != left_out.end()) continue;
    const mesh::Vector3 low = p[i % 3];
    const mesh::Vector3 high = (i < 3 ? p[(i + 1) % 3] : p[i - 3]) + up;
    s.strands.push_back({{{ground, low}, {body, high}}, mesh::two_slopes(100, 100), {}});
  }
  return core::reduce(s, {});
}

}  // namespace

TEST_CASE("unit: softest modes are those of a dense eigen-solver") {
  for (const int levels : {2, 3, 5}) {
    mesh::System s = tests::neck(levels, 1);
    const core::ReducedModel m = core::reduce(s, tests::condensed(s));
    Eigen::MatrixXd k;
    core::tangent_at(m, Eigen::VectorXd::Constant(m.dofs, 0.01), 0.0, k);
    for (const int count : {1, 3, 6, m.dofs - 1, m.dofs, m.dofs + 5}) check_against_dense(k, m.dof_scale, count);
  }
}

TEST_CASE("unit: a free model has six zero modes and no more") {
  mesh::System s = tests::neck(4, 2);
  s.bodies[0].fixed = false;
  const core::ReducedModel m = core::reduce(s, tests::condensed(s));
  const core::Modes modes = core::softest_modes(m.stiffness, m.dof_scale, 8);
  REQUIRE(modes.converged);
  for (std::size_t i = 0; i < 6; ++i) CHECK(std::abs(modes.softest[i].stiffness_N_per_mm) < 1e-12 * modes.stiffest_N_per_mm);
  CHECK(modes.softest[6].stiffness_N_per_mm > 1e-9 * modes.stiffest_N_per_mm);
}

TEST_CASE("unit: multiple eigenvalues are all found, an empty matrix has only zeros") {
  const std::vector<double> ones(12, 1.0);
  Eigen::VectorXd d(12);
  d << 5, 5, 5, 1, 1, 1, 1, 9, 9, 2, 2, 2;
  const core::Modes modes = core::softest_modes(Eigen::MatrixXd(d.asDiagonal()), ones, 8);
  REQUIRE(modes.converged);
  const double expected[] = {1, 1, 1, 1, 2, 2, 2, 5};
  for (std::size_t i = 0; i < 8; ++i) CHECK(modes.softest[i].stiffness_N_per_mm == Approx(expected[i]).epsilon(1e-12));
  const core::Modes none = core::softest_modes(Eigen::MatrixXd::Zero(6, 6), std::vector<double>(6, 1.0), 6);
  REQUIRE(none.softest.size() == 6);
  CHECK(none.softest[5].stiffness_N_per_mm == 0.0);
}

TEST_CASE("unit: a body hung by six ties has the modes of the reference, with none, one or three of them slack") {
  // independent script behind the verification problem P8
  const auto values = [](const std::vector<int>& left_out) {
    const core::ReducedModel m = tie_model(left_out);
    Eigen::MatrixXd k;
    core::tangent_at(m, Eigen::VectorXd::Zero(m.dofs), 0.0, k);
    std::vector<double> out;
    for (const core::Mode& mode : core::softest_modes(k, m.dof_scale, 6).softest) out.push_back(mode.stiffness_N_per_mm);
    REQUIRE(out.size() == 6);
    return out;
  };
  const double all[] = {5.792692, 21.241713, 26.840796, 109.451311, 137.584198, 505.039839};
  for (std::size_t i = 0; i < 6; ++i) CHECK(values({})[i] == Approx(all[i]).epsilon(1e-6));
  CHECK(std::abs(values({4})[0]) < 1e-10 * 505.0);
  CHECK(values({4})[1] == Approx(10.102167).epsilon(1e-6));
  const double three[] = {50.0, 66.288488, 301.711512};
  for (std::size_t i = 0; i < 3; ++i) {
    CHECK(std::abs(values({1, 2, 3})[i]) < 1e-10 * 505.0);
    CHECK(values({1, 2, 3})[i + 3] == Approx(three[i]).epsilon(1e-6));
  }
}

TEST_CASE("unit: modes are the same bits twice") {
  const mesh::System s = tests::neck(5, 2);
  const core::ReducedModel m = core::reduce(s, tests::condensed(s));
  const core::Modes a = core::softest_modes(m.stiffness, m.dof_scale, 5);
  const core::Modes b = core::softest_modes(m.stiffness, m.dof_scale, 5);
  for (std::size_t i = 0; i < 5; ++i) CHECK(a.softest[i].shape == b.softest[i].shape);
}
