// SPDX-License-Identifier: MIT
// Slip, its reduction and the head position: where the system stands, and what that strains.
#include <Eigen/Geometry>
#include <catch2/catch.hpp>
#include <cmath>

#include "mesh/build/law_change.hpp"
#include "mesh/build/neck_pose.hpp"
#include "solver/core/response.hpp"
#include "tests/unit/mesh/neck_trials.hpp"
#include "tests/unit/mesh/samples.hpp"

using namespace opisthion;
using models::JointId;
using models::JointState;
using models::Level;

namespace {

models::Case slipped(models::Case c, JointId joint, double slip_mm, double reduced_mm,
                     JointState state = JointState::intact) {
  c.neck.joints.push_back({.joint = joint, .state = state, .slip_mm = slip_mm, .reduced_mm = reduced_mm});
  return c;
}

constexpr JointId kC1C2{Level::C1, Level::C2};
constexpr JointId kC4C5{Level::C4, Level::C5};

mesh::BodyId body_of(const mesh::Mesh& m, std::string_view name) {
  for (std::size_t i = 0; i < m.system.bodies.size(); ++i)
    if (m.origins[m.system.bodies[i].item].name == name) return {static_cast<int>(i)};
  FAIL("no such body");
  return {};
}
Eigen::Vector3d place(const mesh::Mesh& m, std::string_view name) {
  return mesh::body(m.system, body_of(m, name)).position_mm;
}

/// All that the laws pull and press with in the reference pose [N, N mm].
double force_at_reference(const tests::Trial& trial) {
  Eigen::VectorXd residual;
  core::residual_at(trial.model(), Eigen::VectorXd::Zero(trial.model().dofs), Eigen::VectorXd::Zero(trial.model().dofs), 0.0,
                    residual);
  return residual.norm();
}

}  // namespace

TEST_CASE("a neck in the library's posture has no pose, and a slip of nothing changes no number") {
  const models::ParameterReader number(tests::library());
  CHECK_FALSE(mesh::neck_pose(tests::bare_neck(Level::C0, Level::T3).neck, number).has_value());
  const models::Case plain = tests::bare_neck(Level::C0, Level::T3);
  const models::Case zero = slipped(plain, kC4C5, 0.0, 0.0);
  CHECK_FALSE(mesh::neck_pose(zero.neck, number).has_value());
  const mesh::Mesh a = tests::built(plain);
  const mesh::Mesh b = tests::built(zero);
  CHECK(a.parameters_read == b.parameters_read);
  REQUIRE(a.system.strands.size() == b.system.strands.size());
  for (std::size_t i = 0; i < a.system.strands.size(); ++i)
    for (std::size_t k = 0; k < a.system.strands[i].path.size(); ++k)
      CHECK(a.system.strands[i].path[k].point_mm == b.system.strands[i].path[k].point_mm);
  for (std::size_t i = 0; i < a.system.bodies.size(); ++i)
    CHECK(a.system.bodies[i].position_mm == b.system.bodies[i].position_mm);
}

TEST_CASE("a slip moves its upper level and all above it forward, and has become a place of rest") {
  const models::Case plain = tests::bare_neck(Level::C2, Level::C7);
  const mesh::Mesh before = tests::built(plain);
  const tests::Trial trial(slipped(plain, kC4C5, 3.0, 0.0));
  const mesh::Mesh& after = trial.mesh();
  const Eigen::Vector3d moved = place(after, "C4") - place(before, "C4");
  CHECK(moved.norm() == Approx(3.0));
  CHECK(moved.x() > 2.8);  // along the end plate, which leans by some 10 deg
  CHECK((place(after, "C2") - place(before, "C2") - moved).norm() < 1e-12);
  CHECK(place(after, "C5") == place(before, "C5"));
  CHECK(force_at_reference(trial) < 1e-9);
  CHECK(trial.solve(std::vector<mesh::BodyLoad>{}).norm() < 1e-9);
}

TEST_CASE("a slip below C2 narrows the canal between the upper lamina and the lower body by its length") {
  const auto rooms = [](double slip_mm) {
    const mesh::Mesh m = tests::built(slipped(tests::bare_neck(Level::C4, Level::C5), kC4C5, slip_mm, 0.0));
    const auto room = [&](const char* id) {
      return m.probes[static_cast<std::size_t>(m.find_probe(id))].value_at_reference;
    };
    return std::pair{room("cord_room/C4-C5/lamina_to_body"), room("cord_room/C4-C5/body_to_lamina")};
  };
  const auto [lamina, body] = rooms(0.0);
  CHECK(lamina > 12.0);
  CHECK(lamina < 20.0);  // the library's canal is 15 mm deep at every level
  CHECK(body > 12.0);
  CHECK(rooms(3.0).first - lamina == Approx(-3.0));
  CHECK(rooms(3.0).second - body == Approx(3.0));
}

TEST_CASE("a reduced slip springs back towards the slip, the more the more was reduced") {
  double last = 0.0;
  for (const double reduced : {1.0, 2.0, 3.0}) {
    const tests::Trial trial(slipped(tests::bare_neck(Level::C4, Level::C5), kC4C5, 3.0, reduced));
    CHECK(place(trial.mesh(), "C4").x() < place(tests::built(tests::bare_neck(Level::C4, Level::C5)), "C4").x() + 3.0);
    const Eigen::VectorXd q = trial.solve(std::vector<mesh::BodyLoad>{});
    const double back = trial.read("C4-C5/translation/x", q);
    INFO("reduced by " << reduced << " mm: springs forward by " << back << " mm without hardware");
    CHECK(force_at_reference(trial) > 10.0);
    CHECK(back > last);
    CHECK(back == Approx(reduced).epsilon(0.35));  // back to rest, but for the small kinematics of turned strands
    last = back;
  }
}

TEST_CASE("a fused joint keeps its slip: nothing reduces it, nothing strains it") {
  const tests::Trial trial(slipped(tests::bare_neck(Level::C4, Level::C5), kC4C5, 3.0, 3.0, JointState::fused));
  const Eigen::Vector3d moved =
      place(trial.mesh(), "C4") - place(tests::built(tests::bare_neck(Level::C4, Level::C5)), "C4");
  CHECK(moved.norm() == Approx(3.0));
  CHECK(trial.mesh().system.cushions.size() == 1);
  CHECK(force_at_reference(trial) < 1e-9);
}

TEST_CASE("a forward slip of C1 opens the interval before the dens and narrows the cord's room, and the ring knows it") {
  const models::Case plain = tests::bare_neck(Level::C1, Level::C2);
  const mesh::Mesh before = tests::built(plain);
  const tests::Trial trial(slipped(plain, kC1C2, 5.0, 0.0));
  const mesh::Mesh& after = trial.mesh();
  const auto at_rest = [](const mesh::Mesh& m, std::string_view id) {
    return m.probes[static_cast<std::size_t>(m.find_probe(id))].value_at_reference;
  };
  // The ring's own forward leans with the dens by some 17 deg.
  const double opened = at_rest(after, "atlas_dens_interval") - at_rest(before, "atlas_dens_interval");
  CHECK(opened == Approx(5.0 * std::cos(models::to_rad(17.5))).epsilon(0.02));
  CHECK(at_rest(after, "cord_room/arch_to_C2") - at_rest(before, "cord_room/arch_to_C2") == Approx(-5.0));
  CHECK(after.system.rings[0].arch.slack - before.system.rings[0].arch.slack == Approx(opened));
  CHECK(after.system.rings[0].ligament.slack == before.system.rings[0].ligament.slack);  // it has lengthened with the slip
  CHECK(force_at_reference(trial) < 1e-9);

  const tests::Trial reduced(slipped(plain, kC1C2, 5.0, 5.0));
  const mesh::Ring& ring = reduced.mesh().system.rings[0];
  CHECK(ring.arch.slack == Approx(before.system.rings[0].arch.slack).margin(1e-9));
  CHECK(ring.ligament.slack - before.system.rings[0].ligament.slack == Approx(opened * ring.ligament_gain));
  CHECK(at_rest(reduced.mesh(), "atlas_dens_interval") == Approx(at_rest(before, "atlas_dens_interval")));
}

TEST_CASE("a loose dens goes forward with C1 while the transverse ligament holds it, and its scar pulls when reduced") {
  models::Case c = tests::bare_neck(Level::C1, Level::C2);
  c.neck.instabilities = {{.kind = models::InstabilityKind::dens_nonunion}};
  const mesh::Mesh before = tests::built(c);
  const mesh::Mesh after = tests::built(slipped(c, kC1C2, 4.0, 0.0));
  CHECK((place(after, "dens fragment") - place(before, "dens fragment") - Eigen::Vector3d(4, 0, 0)).norm() < 1e-12);
  CHECK(after.system.rings[0].arch.slack == Approx(before.system.rings[0].arch.slack));
  CHECK(after.system.cushions.size() == 1);

  const tests::Trial reduced(slipped(c, kC1C2, 4.0, 4.0));
  CHECK(reduced.mesh().system.cushions.empty());
  REQUIRE(reduced.mesh().system.axis_cushions.size() == 1);
  // Shear of the scar: 27 N/mm over 4 mm, seen across the leaning dens.
  const Eigen::VectorXd q = Eigen::VectorXd::Zero(reduced.model().dofs);
  double scar_N = 0.0;
  for (const core::Functional& f : reduced.model().functionals)
    if (reduced.mesh().origins[f.item].name == "fibrous tissue at the dens base")
      scar_N = std::max(scar_N, std::abs(core::respond(f.law, f.at(q)).force));
  const double shear = models::ParameterReader(tests::library()).scalar("fibrous.dens_base.shear");
  CHECK(scar_N == Approx(shear * 4.0 * std::cos(models::to_rad(17.5))).epsilon(0.02));

  c.neck.instabilities.push_back({.kind = models::InstabilityKind::transverse_ligament_rupture});
  const mesh::Mesh torn = tests::built(slipped(c, kC1C2, 4.0, 0.0));
  CHECK(place(torn, "dens fragment") == place(before, "dens fragment"));
}

TEST_CASE("reduction shifts a strand's law by exactly what reduction shortens it") {
  const models::Case plain = tests::bare_neck(Level::C4, Level::C5);
  const mesh::Mesh rest = tests::built(slipped(plain, kC4C5, 3.0, 0.0));
  const mesh::Mesh held = tests::built(slipped(plain, kC4C5, 3.0, 2.0));
  REQUIRE(rest.system.strands.size() == held.system.strands.size());
  const auto length = [](const mesh::Strand& s) { return (s.path[0].point_mm - s.path[1].point_mm).norm(); };
  for (std::size_t i = 0; i < rest.system.strands.size(); ++i) {
    const mesh::Strand& a = rest.system.strands[i];
    const mesh::Strand& b = held.system.strands[i];
    // The same true length gives the same force, wherever the reference pose is.
    for (const double longer : {0.0, 1.5, 4.0})
      CHECK(core::respond(b.law, length(a) + longer - length(b)).force ==
            Approx(core::respond(a.law, longer).force).margin(1e-9));
  }
}

TEST_CASE("the head as fixed turns on C1 by the case's angle and strains the soft tissue, which turns it back") {
  models::Case c = tests::bare_neck(Level::C0, Level::C3);
  const mesh::Mesh before = tests::built(c);
  const double angle = models::to_rad(8.0);
  c.neck.head_flexion_rad = angle;
  const models::ParameterReader number(tests::library());
  const auto pose = mesh::neck_pose(c.neck, number);
  REQUIRE(pose);
  const Eigen::AngleAxisd of_c0(pose->built[1].linear().transpose() * pose->built[0].linear());
  CHECK(of_c0.angle() == Approx(angle));
  CHECK((of_c0.axis() - Eigen::Vector3d::UnitY()).norm() < 1e-9);
  CHECK(Eigen::AngleAxisd(pose->built[1].linear()).angle() == Approx(number.scalar("pose.head_flexion.C1_share") * angle));
  CHECK(pose->built[2].matrix() == Eigen::Matrix4d::Identity());
  for (const auto& rest : pose->rest) CHECK(rest.matrix() == Eigen::Matrix4d::Identity());

  const tests::Trial trial(c);
  CHECK((place(trial.mesh(), "C0") - place(before, "C0")).norm() > 1.0);
  CHECK(force_at_reference(trial) > 1.0);
  const Eigen::VectorXd q = trial.solve(std::vector<mesh::BodyLoad>{});
  const double back = models::to_deg(trial.read("overall/rotation/flexion", q));
  INFO("without hardware the head turns back by " << -back << " of 12 deg");
  CHECK(back < -0.5);
}

TEST_CASE("metal goes on where the bones stand, and holds what was reduced") {
  models::Case c = tests::c1_c2_dens_nonunion();
  const models::Construct construct = c.constructs.front();
  const auto built_with = [&](double slip_mm, double reduced_mm, const models::Construct& metal) {
    auto m = mesh::build(slipped(c, kC1C2, slip_mm, reduced_mm), metal, tests::library());
    REQUIRE(m);
    return std::move(*m);
  };
  const auto springs_forward_mm = [](const mesh::Mesh& m) {
    const core::ReducedModel model = core::reduce_nothing(m.system);
    core::EquilibriumWorkspace work;
    Eigen::VectorXd q = Eigen::VectorXd::Zero(model.dofs);
    const Eigen::VectorXd none = Eigen::VectorXd::Zero(model.dofs);
    REQUIRE(core::solve_equilibrium(model, none, {}, work, q).status == core::SolveStatus::converged);
    return core::measure(m.system, model, m.probes[static_cast<std::size_t>(m.find_probe("c1_slip"))], q);
  };
  const mesh::Mesh straight = built_with(0.0, 0.0, construct);
  const mesh::Mesh forward = built_with(4.0, 0.0, construct);
  REQUIRE(straight.system.bodies.size() == forward.system.bodies.size());
  for (const mesh::Beam& beam : forward.system.beams) {
    if (!beam.bone.valid()) continue;  // free spans and rods fit themselves to the screws
    const bool with_c1 = forward.origins[mesh::body(forward.system, beam.bone).item].name == "C1";
    const Eigen::Vector3d by =
        mesh::body(forward.system, beam.a).position_mm - mesh::body(straight.system, beam.a).position_mm;
    CHECK((by - Eigen::Vector3d(with_c1 ? 4.0 : 0.0, 0, 0)).norm() < 1e-9);
  }
  CHECK(std::abs(springs_forward_mm(forward)) < 1e-9);
  const double bare = springs_forward_mm(built_with(4.0, 4.0, {.name = "none"}));
  const double held = springs_forward_mm(built_with(4.0, 4.0, construct));
  INFO("4 mm reduced: springs forward by " << bare << " mm bare, " << held << " mm held by screws and rods");
  CHECK(bare > 0.5);
  CHECK(held > 0.0);
  CHECK(held < 0.5 * bare);
}

TEST_CASE("head flexion and extension strain both sides alike") {
  for (const double degrees : {6.0, -6.0}) {
    models::Case c = tests::bare_neck(Level::C0, Level::C3);
    c.neck.head_flexion_rad = models::to_rad(degrees);
    const tests::Trial trial(c);
    const Eigen::VectorXd q = trial.solve(std::vector<mesh::BodyLoad>{});
    CHECK(std::abs(trial.read("overall/rotation/bending", q)) < 1e-9);
    CHECK(std::abs(trial.read("overall/rotation/rotation", q)) < 1e-9);
  }
}

TEST_CASE("laws moved and scaled answer as they should") {
  const mesh::ScalarLaw toe = mesh::ToeLinear{.slack = 0.5, .toe = 1.0, .stiffness = 10.0};
  mesh::Polygon corners;
  corners.count = 2;
  corners.at = {0.0, 1.0};
  corners.value = {0.0, 5.0};
  corners.slope_above = 8.0;
  const mesh::ScalarLaw polygon = corners;
  for (const mesh::ScalarLaw& law : {toe, polygon})
    for (const double e : {-0.5, 0.3, 0.9, 2.5}) {
      CHECK(core::respond(mesh::moved(law, 0.7), e + 0.7).force == Approx(core::respond(law, e).force).margin(1e-12));
      CHECK(core::respond(mesh::scaled(law, 0.3), e).force == Approx(0.3 * core::respond(law, e).force).margin(1e-12));
    }
}
