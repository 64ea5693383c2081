// SPDX-License-Identifier: MIT
// P8: how many ways a body hung by lines can move freely.
#include <catch2/catch.hpp>

#include "solver/core/modes.hpp"
#include "solver/core/stability.hpp"
#include "tests/verification/frame_model.hpp"

using namespace opisthion;
using namespace opisthion::verification;

namespace {

/// A body at (0, 0, 30) on six lines from the ground, k = 100: three crossed, three straight up. `slack` of each line.
System hung_body(const std::array<double, 6>& slack) {
  System s;
  const BodyId ground = add_bone(s, {0, 0, 0}, true);
  const BodyId body = add_bone(s, {0, 0, 30}, false);
  s.neighbours.push_back({body, ground});
  const Vector3 corner[] = {{10, 8, 0}, {-10, 8, 0}, {0, -12, 0}};
  for (int i = 0; i < 6; ++i) {
    const Vector3 from = corner[i % 3];
    const Vector3 to = (i < 3 ? corner[(i + 1) % 3] : corner[i - 3]) + Vector3(0, 0, 30);
    mesh::Strand strand;
    strand.path = {{ground, from}, {body, to}};
    // Two-sided where taut, so that the count of free motions is that of the geometry.
    strand.law = slack[static_cast<std::size_t>(i)] > 0.0
                     ? mesh::ScalarLaw(mesh::ToeLinear{.slack = slack[static_cast<std::size_t>(i)], .stiffness = 100.0})
                     : mesh::ScalarLaw(mesh::two_slopes(100.0, 100.0));
    s.strands.push_back(strand);
  }
  return s;
}
core::Modes modes_of(const System& s) {
  const core::ReducedModel m = core::reduce_nothing(s);
  REQUIRE(m.dofs == 6);
  Eigen::MatrixXd tangent;
  core::tangent_at(m, Eigen::VectorXd::Zero(6), 0.0, tangent);
  core::Modes modes = core::softest_modes(tangent, m.dof_scale, 6);
  REQUIRE(modes.converged);
  return modes;
}
int zeros(const core::Modes& m) {
  int n = 0;
  for (const core::Mode& mode : m.softest) n += std::abs(mode.stiffness_N_per_mm) / m.stiffest_N_per_mm < 1e-10 ? 1 : 0;
  return n;
}

}  // namespace

TEST_CASE("a body on six lines has the printed eigenvalues and no free motion") {
  const core::Modes m = modes_of(hung_body({}));
  REQUIRE(m.softest.size() >= 5);
  const double printed[] = {5.792692, 21.241713, 26.840796, 109.451311, 137.584198, 505.039839};
  for (std::size_t i = 0; i < m.softest.size(); ++i) CHECK_RELATIVE(m.softest[i].stiffness_N_per_mm, printed[i], 1e-7);
  CHECK_RELATIVE(m.stiffest_N_per_mm, printed[5], 1e-8);
  CHECK(zeros(m) == 0);
}

TEST_CASE("one slack line leaves one free motion, three crossed ones leave three") {
  const core::Modes one = modes_of(hung_body({0, 0, 0, 1, 0, 0}));
  CHECK(zeros(one) == 1);
  CHECK_RELATIVE(one.softest[1].stiffness_N_per_mm, 10.102167, 1e-7);
  const core::Modes three = modes_of(hung_body({1, 1, 1, 0, 0, 0}));
  CHECK(zeros(three) == 3);
  CHECK_RELATIVE(three.softest[3].stiffness_N_per_mm, 50.0, 1e-7);
  CHECK_RELATIVE(three.softest[4].stiffness_N_per_mm, 66.288488, 1e-7);
  CHECK_RELATIVE(three.stiffest_N_per_mm, 301.711512, 1e-8);
  // The free motions leave the three straight lines as long as they are.
  const System s = hung_body({1, 1, 1, 0, 0, 0});
  const core::ReducedModel m = core::reduce_nothing(s);
  for (std::size_t i = 0; i < 3; ++i) {
    Eigen::VectorXd shape = three.softest[i].shape;
    CHECK(shape.size() == 6);
    for (const core::Functional& f : m.functionals)
      if (std::holds_alternative<mesh::Polygon>(f.law)) CHECK(std::abs(f.at(shape)) < 1e-8);
    for (int j = 3; j < 6; ++j) shape(j) *= core::kRotationScale_mm;
    CHECK_RELATIVE(shape.norm(), 1.0, 1e-9);
  }
}

TEST_CASE("a load along a free motion drives it, a load across leaves it floating") {
  // On three straight lines (the crossed ones far from taut) nothing resists a push sideways; a pull up is held.
  const System s = hung_body({1e6, 1e6, 1e6, 0, 0, 0});
  const core::ReducedModel m = core::reduce_nothing(s);
  core::EquilibriumWorkspace work;
  const auto judged = [&](const Vector3& force) {
    Eigen::VectorXd q = Eigen::VectorXd::Zero(m.dofs);
    const mesh::BodyLoad load{.at = {.body = {1}, .point_mm = {0, 0, 30}}, .force_N = force};
    const Eigen::VectorXd f = core::load_vector(s, m, std::vector{load});
    const core::EquilibriumOutcome outcome = core::solve_equilibrium(m, f, {}, work, q);
    REQUIRE(outcome);
    return core::judge(m, f, q, {}, work);
  };
  const core::StabilityOutcome up = judged({0, 0, 60});
  CHECK(!up.runaway);
  CHECK(up.driven.empty());
  CHECK(up.floating.size() == 3);
  const core::StabilityOutcome sideways = judged({60, 0, 0});
  CHECK(sideways.runaway);
  CHECK(!sideways.driven.empty());
  CHECK(sideways.driven.size() + sideways.floating.size() == 3);
}
