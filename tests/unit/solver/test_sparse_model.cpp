// SPDX-License-Identifier: MIT
#include <catch2/catch.hpp>

#include "solver/core/sparse_model.hpp"
#include "tests/unit/solver/small_systems.hpp"

namespace core = opisthion::core;
namespace mesh = opisthion::mesh;
namespace tests = opisthion::tests;

TEST_CASE("unit: the sparse system is the dense one, entry by entry") {
  const mesh::System s = tests::neck(3, 2);
  const core::ReducedModel dense = core::reduce_nothing(s);
  const core::SparseModel sparse = core::sparse_model(s);
  CHECK(sparse.first_dof == dense.first_dof);
  CHECK((Eigen::MatrixXd(sparse.stiffness) - dense.stiffness).norm() < 1e-15 * dense.stiffness.norm());
  CHECK((Eigen::MatrixXd(sparse.regularisation) - dense.regularisation).norm() == 0.0);
  CHECK(sparse.functionals.size() == dense.functionals.size());
}

TEST_CASE("unit: the sparse solver and the condensed one find the same equilibrium, load after load") {
  const mesh::System s = tests::neck(4, 2);
  const core::ReducedModel small = core::reduce(s, tests::condensed(s));
  const core::SparseModel sparse = core::sparse_model(s);
  core::SparseSolver solver(sparse);
  core::EquilibriumWorkspace work;
  for (int axis = 0; axis < 6; ++axis) {
    mesh::BodyLoad load{.at = {{3}, mesh::Vector3(5, 3, 50)}};
    load.moment_Nmm[axis % 3] = axis < 3 ? 1500.0 : -1500.0;
    load.force_N[(axis + 1) % 3] = 5.0;
    Eigen::VectorXd q = Eigen::VectorXd::Zero(small.dofs);
    Eigen::VectorXd q_sparse = Eigen::VectorXd::Zero(sparse.dofs);
    const auto a = core::solve_equilibrium(small, core::load_vector(s, small, std::span(&load, 1)), {}, work, q);
    const auto b = solver.solve(core::load_vector(s, sparse, std::span(&load, 1)), {}, q_sparse);
    REQUIRE(a);
    REQUIRE(b);
    CHECK((q - q_sparse.head(small.dofs)).norm() < 1e-9 * q.norm());
    CHECK(a.energy_Nmm == Approx(b.energy_Nmm).epsilon(1e-9));
    CHECK(a.regularisation_share == Approx(b.regularisation_share).epsilon(1e-6));
  }
}
