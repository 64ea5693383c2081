// SPDX-License-Identifier: MIT
// Every construct of the shipped cases, through mesh, solved twice: condensed and reduced, and with every node of its metal
// as an unknown.
#include <Eigen/Cholesky>
#include <catch2/catch.hpp>
#include <map>
#include <vector>

#include "mesh/build/build.hpp"
#include "solver/core/assemble.hpp"
#include "solver/core/beam.hpp"
#include "solver/core/condense.hpp"
#include "solver/core/friction.hpp"
#include "solver/core/sparse_model.hpp"
#include "tests/support/example.hpp"

using namespace opisthion;

namespace {

double scaled(const mesh::Vector6& motion) {
  return motion.head<3>().norm() + core::kRotationScale_mm * motion.tail<3>().norm();
}

struct Apart {
  double largest_mm = 0.0;
  double difference_mm = 0.0;
  double relative() const { return difference_mm / std::max(largest_mm, 1e-3); }
};

/// Largest difference over the bodies that both know, and the largest motion among them.
template <typename Whole>
Apart compare(const mesh::System& system, const core::ReducedModel& small, const Eigen::VectorXd& q, const Whole& whole,
              const Eigen::VectorXd& p) {
  Apart out;
  for (std::size_t i = 0; i < system.bodies.size(); ++i) {
    if (small.first_dof[i] < 0 || whole.first_dof[i] < 0) continue;
    const mesh::Vector6 a = q.segment<6>(small.first_dof[i]);
    const mesh::Vector6 b = p.segment<6>(whole.first_dof[i]);
    out.largest_mm = std::max(out.largest_mm, scaled(b));
    out.difference_mm = std::max(out.difference_mm, scaled(a - b));
  }
  return out;
}

// Where little but regularisation holds a motion (0.001 N/mm), the residual that a solve stops at is worth a thousand times
// as much travel: those loads, and rest, are compared less closely. Reached: see the last INFO.
constexpr double kAgree = 1e-10;
constexpr double kAgreeWhereLax = 1e-5;
constexpr double kLax = 0.08;  // share of the loads, at most

}  // namespace

TEST_CASE("every shipped construct moves alike condensed and with all of its nodes, wires and plates and cross-links too") {
  int loads_compared = 0, constructs = 0, assembled = 0, without_equilibrium = 0, lax = 0;
  double worst_pose = 0.0, worst_load = 0.0;
  for (const char* file : {"c1_screw_toggle.xml", "cervicothoracic_c5_to_t2.xml", "old_dens_fracture.xml",
                           "one_side_only.xml", "rods_c4_to_t3.xml", "settling_to_c2.xml", "settling_to_c4.xml",
                           "skull_to_c3.xml", "subaxial_c3_to_c6.xml", "torn_transverse_ligament.xml"}) {
    const models::Case the_case = tests::example(file);
    for (const models::Construct& construct : the_case.constructs) {
      CAPTURE(file, construct.name);
      // Two elements a span: what is compared is the elimination, not the mesh.
      const auto built = mesh::build(the_case, construct, tests::library(), {.rod_elements_per_span = 2});
      REQUIRE(built);
      const mesh::System& system = built->system;
      std::vector<core::CondensedComponent> parts;
      for (const mesh::Component& component : built->components) {
        core::CondenseOutcome part = core::condense(system, component);
        REQUIRE(part.regular);
        parts.push_back(std::move(part.component));
      }
      ++constructs;
      core::Assembly small = core::assemble(system, built->components, parts);
      const core::Assembly whole = core::assemble_whole(system, built->components);
      REQUIRE(small.status == whole.status);
      REQUIRE(small.buckles == whole.buckles);
      CHECK(small.friction_held == whole.friction_held);
      REQUIRE(static_cast<bool>(small));
      if (small.status == core::AssemblyStatus::assembled) {
        ++assembled;
        const Apart rest = compare(system, small.model, small.q, whole.model, whole.q);
        CAPTURE(rest.largest_mm, rest.difference_mm);
        CHECK(rest.relative() < kAgreeWhereLax);
        worst_pose = std::max(worst_pose, rest.relative());
      }
      core::SparseModel sparse = core::sparse_model(whole.model);
      core::SparseSolver solver(sparse);
      core::EquilibriumWorkspace work;
      for (const mesh::LoadCase& load_case : built->program.cases) {
        CAPTURE(load_case.id);
        Eigen::VectorXd q = small.q, p = whole.q;
        const auto by_small =
            core::solve_with_friction(small.model, core::load_vector(system, small.model, load_case.loads), {}, work, q);
        const auto by_sparse =
            core::solve_with_friction(sparse, solver, core::load_vector(system, sparse, load_case.loads), {}, p);
        REQUIRE(static_cast<bool>(by_small) == static_cast<bool>(by_sparse));
        if (!by_small) {  // a branch of the assembled state: both say so
          ++without_equilibrium;
          continue;
        }
        CHECK(by_small.caps_settled == by_sparse.caps_settled);
        const Apart moved = compare(system, small.model, q, sparse, p);
        CAPTURE(moved.largest_mm, moved.difference_mm);
        CHECK(moved.relative() < kAgreeWhereLax);
        lax += moved.relative() < kAgree ? 0 : 1;
        worst_load = std::max(worst_load, moved.relative());
        ++loads_compared;
      }
    }
  }
  INFO("worst pose " << worst_pose << ", worst load " << worst_load << ", of " << loads_compared << " loads on "
                     << constructs << " constructs, " << assembled << " of them assembled; without equilibrium "
                     << without_equilibrium << ", above 1e-10 " << lax);
  CHECK(constructs > 20);
  CHECK(assembled > 5);
  CHECK(loads_compared > 200);
  CHECK(lax < kLax * loads_compared);
  CHECK(without_equilibrium < loads_compared / 10);
}

namespace {

/// The component's stiffness on its ports by dense elimination of every other node, rotations scaled by 20 mm.
Eigen::MatrixXd eliminated(const mesh::System& system, const mesh::Component& component) {
  std::map<int, int> place;
  for (const auto* group : {&component.ports, &component.interior})
    for (const mesh::BodyId id : *group) place.emplace(id.value, static_cast<int>(6 * place.size()));
  using Long = Eigen::Matrix<long double, Eigen::Dynamic, Eigen::Dynamic>;
  Long whole = Long::Zero(static_cast<Eigen::Index>(6 * place.size()), static_cast<Eigen::Index>(6 * place.size()));
  const auto add = [&](const std::vector<mesh::BodyId>& bodies, const Eigen::MatrixXd& block) {
    for (std::size_t i = 0; i < bodies.size(); ++i)
      for (std::size_t j = 0; j < bodies.size(); ++j)
        whole.block(place.at(bodies[i].value), place.at(bodies[j].value), 6, 6) +=
            block.block<6, 6>(static_cast<Eigen::Index>(6 * i), static_cast<Eigen::Index>(6 * j)).cast<long double>();
  };
  for (const int b : component.beams) {
    const mesh::Beam& beam = system.beams[static_cast<std::size_t>(b)];
    std::vector<mesh::BodyId> bodies{beam.a, beam.b};
    if (beam.bone.valid()) bodies.push_back(beam.bone);
    add(bodies, core::beam_stiffness_global(system, beam));
  }
  for (const int c : component.cushions) {
    const mesh::Cushion& cushion = system.cushions[static_cast<std::size_t>(c)];
    add({cushion.a, cushion.b}, core::cushion_stiffness_global(system, cushion));
  }
  const auto kept = static_cast<Eigen::Index>(6 * component.ports.size());
  const Eigen::Index gone = whole.rows() - kept;
  const Long inner = whole.bottomRightCorner(gone, gone);
  const Long across = whole.bottomLeftCorner(gone, kept);
  const Long left = whole.topLeftCorner(kept, kept) - across.transpose() * inner.ldlt().solve(across);
  return left.cast<double>();
}

}  // namespace

TEST_CASE("components with a plate or a cross-link condense to what dense elimination leaves on their ports") {
  // The method of the check: Guyan's static condensation, done a second way in long double.
  int looked_at = 0;
  for (const char* file : {"settling_to_c2.xml", "settling_to_c4.xml", "subaxial_c3_to_c6.xml"}) {
    const models::Case neck = tests::example(file);
    for (const models::Construct& construct : neck.constructs) {
      if (construct.plates.empty() && construct.cross_links.empty()) continue;
      const auto built = mesh::build(neck, construct, tests::library());
      REQUIRE(built);
      for (const mesh::Component& component : built->components) {
        const core::CondenseOutcome outcome = core::condense(built->system, component);
        REQUIRE(outcome.regular);
        REQUIRE(outcome.component.ports == component.ports);
        Eigen::VectorXd scale(6 * static_cast<Eigen::Index>(component.ports.size()));
        for (Eigen::Index i = 0; i < scale.size(); ++i) scale[i] = i % 6 < 3 ? 1.0 : 1.0 / core::kRotationScale_mm;
        const Eigen::MatrixXd one = scale.asDiagonal() * outcome.component.stiffness * scale.asDiagonal();
        const Eigen::MatrixXd other = scale.asDiagonal() * eliminated(built->system, component) * scale.asDiagonal();
        INFO(file << ", " << construct.name << ", " << component.ports.size() << " ports");
        CHECK((one - other).cwiseAbs().maxCoeff() < 1e-10 * other.cwiseAbs().maxCoeff());
        ++looked_at;
      }
    }
  }
  CHECK(looked_at >= 10);
}
