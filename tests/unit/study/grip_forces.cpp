// SPDX-License-Identifier: MIT
// A wired rod by name: its wires' tension, what slides, how it escapes, and what a verdict makes of friction.
#include "solver/study/grip_forces.hpp"

#include <catch2/catch.hpp>

#include "solver/core/stability.hpp"
#include "solver/study/naming.hpp"
#include "solver/study/neutral.hpp"
#include "solver/study/verdict.hpp"

using namespace opisthion;

namespace {

constexpr double kTension_N = 40.0, kFriction = 0.5;

/// C2 held, a rod wired to its lamina (rod along z, lamina facing back), pushed along itself by the one load case.
study::Prepared wired_rod(double push_N) {
  study::Prepared out;
  mesh::System& system = out.mesh.system;
  const mesh::ItemId bone = out.mesh.origins.add({.kind = mesh::OriginKind::level, .name = "C2"});
  const mesh::ItemId rod = out.mesh.origins.add({.kind = mesh::OriginKind::rod, .name = "rod 'left'"});
  const mesh::ItemId wire = out.mesh.origins.add({.kind = mesh::OriginKind::wire, .name = "wire 'C2 left'"});
  const mesh::ItemId friction = out.mesh.origins.add({.kind = mesh::OriginKind::friction, .name = "sliding of rod 'left'"});
  system.bodies = {{.fixed = true, .port = true, .item = bone},
                   {.position_mm = {-3, 0, 0}, .kind = mesh::BodyKind::metal, .port = true, .item = rod}};
  for (const double y : {3.0, -3.0})
    system.strands.push_back({.path = {{{0}, {8, y, 0}}, {{1}, {-3, 0, 0}}},
                              .law = mesh::ToeLinear{.stiffness = 2000.0},
                              .tighten_N = kTension_N,
                              .item = wire});
  mesh::Pad pad;
  pad.a = {{1}, {-3, 0, 0}};
  pad.b = {0};
  pad.vertex_mm = pad.a.point_mm;
  pad.global_from_surface << 0, 0, -1, 1, 0, 0, 0, -1, 0;
  pad.law = mesh::ToeLinear{.stiffness = 5000.0};
  system.pads.push_back(pad);
  system.slips.push_back({.a = {{1}, {-3, 0, 0}},
                          .b = {0},
                          .direction = {0, 0, 1},
                          .stiffness = 400.0,
                          .cap_per_N = kFriction,
                          .normal = {{mesh::NormalForce::Of::strand, 0, 1.0}, {mesh::NormalForce::Of::strand, 1, 1.0}},
                          .item = friction});
  system.neighbours = {{.upper = {1}, .lower = {0}}};
  out.mesh.program.cases = {{.id = "head/push/+",
                             .kind = mesh::LoadKind::head,
                             .magnitude = push_N,
                             .loads = {{.at = {{1}, {-3, 0, 0}}, .force_N = {0, 0, push_N}, .moment_Nmm = {0, 0, 0}}}}};
  out.assembly = core::assemble(system, {}, {});
  out.model = std::move(out.assembly.model);
  return out;
}

study::Solved loaded(const study::Prepared& prepared, core::EquilibriumWorkspace& work) {
  const study::Neutral neutral = study::find_neutral(prepared, 1.0, work);
  REQUIRE(neutral.found);
  REQUIRE(neutral.caps_settled);
  const Eigen::VectorXd load = core::load_vector(prepared.mesh.system, prepared.model, prepared.mesh.program.cases[0].loads);
  study::Solved solved = study::solve_from(prepared, neutral.start, load, 1.0, work);
  REQUIRE(solved.outcome);
  return solved;
}

}  // namespace

TEST_CASE("what assembly tightened keeps its tension at rest, and a wire's strands are told as one") {
  const study::Prepared prepared = wired_rod(5.0);
  REQUIRE(prepared.assembly);
  core::EquilibriumWorkspace work;
  const study::Neutral neutral = study::find_neutral(prepared, 1.0, work);
  const auto tightened = study::tightened_items(prepared.mesh, study::model_of(prepared, neutral.with_caps), neutral.start);
  REQUIRE(tightened.size() == 1);
  CHECK(tightened[0].name == "wire 'C2 left'");
  CHECK(tightened[0].asked_N == kTension_N);
  CHECK(tightened[0].at_rest_N == Approx(kTension_N).epsilon(1e-9));
  const study::Solved solved = loaded(prepared, work);
  const core::ReducedModel& model = study::model_of(prepared, solved.with_caps);
  const auto wires = study::wire_tensions(prepared.mesh, model, solved.q);
  REQUIRE(wires.size() == 1);
  CHECK(wires[0].least_N == Approx(kTension_N).epsilon(1e-6));
  CHECK(wires[0].least_N <= wires[0].largest_N);
  CHECK(study::slipping(prepared.mesh, model, solved.q).empty());
  CHECK(!core::judge(model, Eigen::VectorXd::Zero(6), solved.q, {}, work).runaway);
}

TEST_CASE("above its caps the rod slides through its wires, and is named so") {
  const study::Prepared prepared = wired_rod(-1.1 * 2.0 * kTension_N * kFriction);
  core::EquilibriumWorkspace work;
  const study::Solved solved = loaded(prepared, work);
  const core::ReducedModel& model = study::model_of(prepared, solved.with_caps);
  CHECK(study::slipping(prepared.mesh, model, solved.q) == std::vector<std::string>{"sliding of rod 'left'"});
  const Eigen::VectorXd load = core::load_vector(prepared.mesh.system, model, prepared.mesh.program.cases[0].loads);
  const core::StabilityOutcome stability = core::judge(model, load, solved.q, {}, work);
  REQUIRE(stability.runaway);
  CHECK(study::describe(study::largest_relative_motion(prepared.mesh, model, stability.escape), study::Sense::one_way) ==
        "rod 'left' slides down through its wires on C2");
}

TEST_CASE("sliding friction, friction that does not settle and buckled assembly make a load approximate") {
  study::Evidence e;
  e.converged = true;
  CHECK(study::judge_load(e).status == study::Status::solved);
  e.slipping = "sliding of rod 'left'";
  CHECK(study::judge_load(e).status == study::Status::approximate);
  CHECK_THAT(study::judge_load(e).reason(), Catch::Contains("friction slides") && Catch::Contains("sliding of rod 'left'"));
  e.slipping.clear();
  e.caps_settled = false;
  e.cap_change = 0.02;
  CHECK(study::judge_load(e).status == study::Status::approximate);
  CHECK_THAT(study::judge_load(e).reason(), Catch::Contains("does not settle"));
  e.caps_settled = true;
  e.buckles = "C1 tilts on C2 forward and back";
  CHECK(study::judge_load(e).status == study::Status::approximate);
  CHECK_THAT(study::judge_load(e).reason(), Catch::Contains("buckle"));
}
