// SPDX-License-Identifier: MIT
#include "solver/study/naming.hpp"

#include <catch2/catch.hpp>

using namespace opisthion::study;

namespace {
// Global frame: x anterior, y left, z superior; +x turns to the right, +y lowers the chin, +z turns to the left
// (models/README.md).
RelativeMotion c1(const Eigen::Vector3d& slide_mm, const Eigen::Vector3d& turn_rad) {
  return {.upper = "C1", .lower = "C2", .slide_mm = slide_mm, .turn_rad = turn_rad};
}
}  // namespace

TEST_CASE("a turn about one axis is named by that axis") {
  CHECK(describe(c1({0, 0, 0}, {0, 0, 0.1}), Sense::both_ways) == "C1 turns on C2 about the vertical axis");
  CHECK(describe(c1({0, 0, 0}, {0, 0.1, 0}), Sense::both_ways) == "C1 tilts on C2 forward and back");
  CHECK(describe(c1({0, 0, 0}, {0.1, 0, 0}), Sense::both_ways) == "C1 tilts on C2 from side to side");
}

TEST_CASE("an escape is named one way, left as left") {
  CHECK(describe(c1({1, 0, 0}, {0, 0, 0}), Sense::one_way) == "C1 slides forward on C2");
  CHECK(describe(c1({-1, 0, 0}, {0, 0, 0}), Sense::one_way) == "C1 slides back on C2");
  CHECK(describe(c1({0, 1, 0}, {0, 0, 0}), Sense::one_way) == "C1 slides to the left on C2");
  CHECK(describe(c1({0, 0, 0}, {0.1, 0, 0}), Sense::one_way) == "C1 tilts on C2 to the right");
  CHECK(describe(c1({0, 0, 0}, {0, 0, 0.1}), Sense::one_way) == "C1 turns on C2 to the left about the vertical axis");
}

TEST_CASE("a motion of both kinds is named by both, and the dens fragment has an article") {
  RelativeMotion both = c1({2, 0, 0}, {0, 0.1, 0});
  CHECK(describe(both, Sense::both_ways) == "C1 tilts forward and back and slides forward and back on C2");
  both.upper = "dens fragment";
  both.slide_mm.setZero();
  CHECK(describe(both, Sense::both_ways) == "the dens fragment tilts on C2 forward and back");
}

TEST_CASE("a soft motion reads in N m/deg where it turns and in N/mm where it slides") {
  // Unit length with rotations scaled by 20 mm: a pure turn of 1/20 rad, a pure slide of 1 mm.
  const SoftMotion turn = soft_motion(c1({0, 0, 0}, {0, 0, 0.05}), 10.0);
  CHECK(turn.unit == "N m/deg");
  CHECK(turn.stiffness == Approx(10.0 * 20.0 * 20.0 / 1000.0 * 3.14159265358979 / 180.0));
  const SoftMotion slide = soft_motion(c1({1, 0, 0}, {0, 0, 0}), 10.0);
  CHECK(slide.unit == "N/mm");
  CHECK(slide.stiffness == Approx(10.0));
}

TEST_CASE("two equally soft modes are named as a pair, once") {
  using namespace opisthion;
  mesh::Mesh mesh;
  const mesh::ItemId c2 = mesh.origins.add({.kind = mesh::OriginKind::level, .name = "C2"});
  const mesh::ItemId upper = mesh.origins.add({.kind = mesh::OriginKind::level, .name = "C1"});
  mesh.system.bodies = {{.fixed = true, .item = c2}, {.position_mm = {0, 0, 10}, .item = upper}};
  mesh.system.neighbours = {{.upper = {1}, .lower = {0}}};
  core::ReducedModel model;
  model.first_dof = {-1, 0};
  model.dofs = 6;
  const auto mode = [](int dof, double size, double stiffness) {
    core::Mode out{.stiffness_N_per_mm = stiffness, .shape = Eigen::VectorXd::Zero(6)};
    out.shape[dof] = size;
    return out;
  };
  const auto pair = soft_motions(mesh, model, {mode(0, 1.0, 5.0), mode(1, 1.0, 5.01), mode(5, 0.05, 50.0)});
  REQUIRE(pair.size() == 2);
  CHECK(pair[0].what == "C1 slides forward and back and sideways on C2 (a pair: any mixture is as soft)");
  CHECK(pair[1].what == "C1 turns on C2 about the vertical axis");
  const auto apart = soft_motions(mesh, model, {mode(0, 1.0, 5.0), mode(1, 1.0, 6.0)});
  REQUIRE(apart.size() == 2);
  CHECK(apart[0].what == "C1 slides forward and back on C2");
}

TEST_CASE("a body that floats in several ways is told once") {
  const RelativeMotion slides = c1({1, 0, 0}, {0, 0, 0});
  const RelativeMotion turns = c1({0, 0, 0}, {0, 0, 0.1});
  CHECK(floating_words({slides}) == std::vector<std::string>{"C1 slides forward and back on C2"});
  CHECK(floating_words({slides, turns}) == std::vector<std::string>{"C1 floats on C2: 2 free motions"});
}
