// SPDX-License-Identifier: MIT
// The built system as mechanics: rigid motion costs nothing, left mirrors right, whatever the construct.
#include <Eigen/Geometry>
#include <algorithm>
#include <catch2/catch.hpp>

#include "mesh/build/build.hpp"
#include "solver/core/equilibrium.hpp"
#include "tests/support/example.hpp"
#include "tests/unit/mesh/samples.hpp"

using namespace opisthion;
using models::AnchorKind;

namespace {

mesh::Mesh built(const models::Case& c, const models::Construct& construct) {
  auto mesh = mesh::build(c, construct, tests::library());
  if (!mesh)
    for (const auto& complaint : mesh.error()) UNSCOPED_INFO(complaint.text);
  REQUIRE(mesh);
  return std::move(*mesh);
}

std::vector<std::pair<models::Case, models::Construct>> everything() {
  std::vector<std::pair<models::Case, models::Construct>> all;
  for (const models::Case& c : {tests::c1_c2_dens_nonunion(), tests::c0_c3_intact()})
    for (const models::Construct& k : c.constructs) all.emplace_back(c, k);
  models::Case altered = tests::c0_c3_intact();
  altered.neck.joints = {{{models::Level::C0, models::Level::C1}, models::JointState::stiff},
                         {{models::Level::C2, models::Level::C3}, models::JointState::fused}};
  altered.neck.instabilities = {{.kind = models::InstabilityKind::transverse_ligament_rupture}};
  all.emplace_back(altered, tests::hybrid());
  return all;
}

/// Rotations in degrees about y, x, z of the first joint under a motion, all bodies kept.
Eigen::Vector3d answer(const mesh::Mesh& mesh, std::string_view motion) {
  const core::ReducedModel model = core::reduce_nothing(mesh.system);
  const auto found = std::find_if(mesh.program.cases.begin(), mesh.program.cases.end(),
                                  [&](const mesh::LoadCase& c) { return c.id == motion; });
  REQUIRE(found != mesh.program.cases.end());
  core::EquilibriumWorkspace work;
  Eigen::VectorXd q = Eigen::VectorXd::Zero(model.dofs);
  REQUIRE(core::solve_equilibrium(model, core::load_vector(mesh.system, model, found->loads), {}, work, q));
  Eigen::Vector3d turn;
  for (Eigen::Index i = 0; i < 3; ++i) {
    static constexpr std::string_view kWords[]{"flexion", "bending", "rotation"};
    const int at = mesh.find_probe(std::string("C1-C2/rotation/").append(kWords[static_cast<std::size_t>(i)]));
    REQUIRE(at >= 0);
    turn[i] = core::measure(mesh.system, model, mesh.probes[static_cast<std::size_t>(at)], q);
  }
  return turn;
}

}  // namespace

TEST_CASE("rigid motion of the whole built system makes no force and stretches nothing") {
  for (const auto& [c, construct] : everything()) {
    INFO(c.name << ", " << construct.name);
    mesh::Mesh mesh = built(c, construct);
    for (mesh::Body& body : mesh.system.bodies) body.fixed = false;
    const core::ReducedModel model = core::reduce_nothing(mesh.system);
    REQUIRE(model.dofs == 6 * static_cast<int>(mesh.system.bodies.size()));
    const Eigen::Vector3d slide(0.7, -1.1, 0.4);
    const Eigen::Vector3d turn(0.02, -0.03, 0.05);
    Eigen::VectorXd q(model.dofs);
    for (std::size_t i = 0; i < mesh.system.bodies.size(); ++i) {
      const int at = model.first_dof[i];
      q.segment<3>(at) = slide + turn.cross(mesh.system.bodies[i].position_mm);
      q.segment<3>(at + 3) = turn;
    }
    // Against the forces that the same stiffness answers to an arbitrary motion of that size.
    const double scale = model.stiffness.cwiseAbs().maxCoeff() * q.cwiseAbs().maxCoeff();
    CHECK((model.stiffness * q).cwiseAbs().maxCoeff() <= 1e-11 * scale);
    CHECK((model.regularisation * q).cwiseAbs().maxCoeff() < 1e-10);
    for (const core::Functional& f : model.functionals) {
      INFO(mesh.origins[f.item].name);
      CHECK(std::abs(f.at(q)) < 1e-12);
    }
  }
}

TEST_CASE("a symmetric construct answers left and right alike, mirrored") {
  for (const AnchorKind kind : {AnchorKind::pars, AnchorKind::pedicle}) {
    const mesh::Mesh mesh = built(tests::c1_c2_dens_nonunion(), tests::screw_rod(kind, kind));
    for (const auto& [left, right] :
         {std::pair{"left_bending", "right_bending"}, std::pair{"left_rotation", "right_rotation"}}) {
      const Eigen::Vector3d a = answer(mesh, left);
      const Eigen::Vector3d b = answer(mesh, right);
      // A mirror keeps flexion and turns bending and rotation around.
      CHECK((a - Eigen::Vector3d(b[0], -b[1], -b[2])).norm() < 1e-9 * a.norm());
    }
    CHECK(answer(mesh, "flexion").tail<2>().norm() < 1e-9);
  }
}

TEST_CASE("a construct on the right is the mirror image of the same construct on the left") {
  const models::Case c = tests::c1_c2_dens_nonunion();
  const mesh::Mesh left = built(c, tests::one_sided(AnchorKind::pars));
  models::Construct other{.name = "one-sided, right"};
  tests::add_side(other, AnchorKind::pars, models::Side::right);
  const mesh::Mesh right = built(c, other);
  REQUIRE(left.system.bodies.size() == right.system.bodies.size());
  for (std::size_t i = 0; i < left.system.bodies.size(); ++i)
    CHECK((models::mirrored(left.system.bodies[i].position_mm) - right.system.bodies[i].position_mm).norm() < 1e-12);
  for (const auto& [a, b] : {std::pair{"flexion", "flexion"}, std::pair{"extension", "extension"},
                             std::pair{"left_bending", "right_bending"}, std::pair{"left_rotation", "right_rotation"}}) {
    const Eigen::Vector3d x = answer(left, a);
    const Eigen::Vector3d y = answer(right, b);
    CHECK((x - Eigen::Vector3d(y[0], -y[1], -y[2])).norm() < 1e-8 * x.norm());
  }
}

TEST_CASE("every strand and pad of the intact neck has its mirror image with the same law") {
  const mesh::Mesh mesh = built(tests::c0_c3_intact(), {.name = "none"});
  for (const mesh::Strand& s : mesh.system.strands) {
    INFO(mesh.origins[s.item].name);
    const auto twin = std::find_if(mesh.system.strands.begin(), mesh.system.strands.end(), [&](const mesh::Strand& other) {
      return std::equal(s.path.begin(), s.path.end(), other.path.begin(), other.path.end(),
                        [](const auto& p, const auto& q) {
                          return p.body == q.body && (models::mirrored(p.point_mm) - q.point_mm).norm() < 1e-9;
                        });
    });
    REQUIRE(twin != mesh.system.strands.end());
    REQUIRE(twin->law.index() == s.law.index());
    if (const auto* law = std::get_if<mesh::ToeLinear>(&s.law)) {
      const auto& mirrored = std::get<mesh::ToeLinear>(twin->law);
      CHECK(mirrored.slack == Approx(law->slack));
      CHECK(mirrored.stiffness == Approx(law->stiffness));
    }
  }
  for (const mesh::Pad& p : mesh.system.pads)
    CHECK(std::count_if(mesh.system.pads.begin(), mesh.system.pads.end(), [&](const mesh::Pad& other) {
            return other.a.body == p.a.body && (models::mirrored(p.a.point_mm) - other.a.point_mm).norm() < 1e-9 &&
                   (models::mirrored(p.global_from_surface.col(2)) - other.global_from_surface.col(2)).norm() < 1e-9 &&
                   std::get<mesh::ToeLinear>(other.law).slack == std::get<mesh::ToeLinear>(p.law).slack;
          }) == 1);
}

TEST_CASE("an atlas pushed sideways on an intact axis is stopped by the dens once the interval beside it is used up") {
  models::Case c = tests::c1_c2_dens_nonunion();
  c.neck.instabilities.clear();
  constexpr double kPush_N = 50.0;
  const auto travel = [&](double gap_mm, double way) {
    models::ParameterTable table = tests::library();
    REQUIRE(table.change("joint.C1-C2.lateral_dens_gap", gap_mm));
    const auto mesh = mesh::build(c, {.name = "none"}, table);
    REQUIRE(mesh);
    const core::ReducedModel model = core::reduce_nothing(mesh->system);
    const mesh::Probe& sideways = mesh->probes[static_cast<std::size_t>(mesh->find_probe("C1-C2/translation/y"))];
    const std::vector<mesh::BodyLoad> push{{.at = sideways.moving, .force_N = way * kPush_N * mesh::Vector3::UnitY()}};
    core::EquilibriumWorkspace work;
    Eigen::VectorXd q = Eigen::VectorXd::Zero(model.dofs);
    REQUIRE(core::solve_equilibrium(model, core::load_vector(mesh->system, model, push), {}, work, q));
    return core::measure(mesh->system, model, sideways, q);
  };
  const double free = travel(50.0, 1.0);
  const double stopped = travel(3.5, 1.0);
  CAPTURE(free, stopped);
  CHECK(stopped > 3.5);                     // nothing else stops it before
  CHECK(stopped <= 3.5 + kPush_N / 500.0);  // gap, and the contact's own give under the whole push
  CHECK(free > stopped + 1.0);              // so it is the dens that holds
  CHECK(travel(3.5, -1.0) == Approx(-stopped));
  CHECK(travel(2.0, 1.0) <= 2.0 + kPush_N / 500.0);
}
