// SPDX-License-Identifier: MIT
// The follower load: its path turns no joint, stated guides stay, and what it cannot reach it tells.
#include <catch2/catch.hpp>

#include <array>
#include <cmath>
#include <cstdio>

#include "models/case/neck_alone.hpp"
#include "models/quantity/units.hpp"
#include "solver/study/full/follower.hpp"
#include "solver/study/full/run.hpp"
#include "tests/support/example.hpp"

using namespace opisthion;
using models::Level;
using study::Specimen;

namespace {

namespace full = core::full;

models::Case neck(Level top, Level bottom, double follower_N, std::vector<models::FollowerGuide> guides = {}) {
  models::Case out{.name = "a neck of a test"};
  out.neck.upper = top;
  out.neck.lower = bottom;
  out.bench.top = top;
  out.bench.bottom = bottom;
  if (follower_N > 0.0) out.bench.follower = models::FollowerLoad{.force_N = follower_N, .guides = std::move(guides)};
  return out;
}

Specimen specimen_of(const models::Case& the_case) {
  auto made = study::make_specimen(the_case, models::bare_construct(models::kIntactRow), tests::library(), {});
  if (!made) FAIL(made.error().reason);
  return std::move(*made);
}

}  // namespace

TEST_CASE("on every intact neck the follower load turns no joint by more than half a degree") {
  // The half degree is that of the bench (DESIGN 5), where the path is sought the same way.
  struct Span {
    Level top, bottom;
  };
  for (const Span span : {Span{Level::C0, Level::C2}, Span{Level::C1, Level::C2}, Span{Level::C0, Level::C4},
                          Span{Level::C2, Level::T1}, Span{Level::C3, Level::C7}, Span{Level::C0, Level::T3}})
    for (const double force_N : {50.0, 100.0, 150.0}) {
      const Specimen specimen = specimen_of(neck(span.top, span.bottom, force_N));
      INFO(models::name(span.top) << " to " << models::name(span.bottom) << ", " << force_N
                                  << " N: " << specimen.follower.largest_turn_deg() << " deg");
      CHECK(specimen.follower.asked);
      CHECK(specimen.follower.turn_deg.size() == specimen.mesh.joints.size());
      CHECK(specimen.follower.forward_mm.size() == specimen.mesh.joints.size() + 1);
      CHECK(specimen.follower.largest_turn_deg() < study::kMostFollowerTurn_deg);
      for (const double forward_mm : specimen.follower.forward_mm) CHECK(std::abs(forward_mm) < 10.0);
      // It stands there without regularisation but for a hundredth, which keeps what nothing holds from being 0 by 0.
      const full::WorkspacePtr work = full::make_workspace(specimen.model);
      full::State again = specimen.start;
      const full::SolveOutcome outcome = full::solve(specimen.model, {}, 0.0, {.regularisation = 0.01}, *work, again);
      CHECK(outcome);
      CHECK(outcome.positive);
    }
}

TEST_CASE("the cable pulls with the force asked, whatever the neck does") {
  const Specimen specimen = specimen_of(neck(Level::C2, Level::C7, 100.0));
  const full::WorkspacePtr work = full::make_workspace(specimen.model);
  const std::size_t cable = specimen.mesh.system.strands.size() - 1;
  CHECK(full::energy_by_part(specimen.model, specimen.start, *work).law_force[cable] == Approx(100.0));
  for (const mesh::LoadCase& load_case : specimen.mesh.program.cases) {
    full::State state = specimen.start;
    REQUIRE(full::solve(specimen.model, study::load_path(specimen, load_case), 1.0, {}, *work, state));
    CHECK(full::energy_by_part(specimen.model, state, *work).law_force[cable] == Approx(100.0));
  }
}

TEST_CASE("without a follower load there is no cable and nothing is sought") {
  const Specimen bare = specimen_of(neck(Level::C2, Level::C7, 0.0));
  const Specimen cabled = specimen_of(neck(Level::C2, Level::C7, 100.0));
  CHECK_FALSE(bare.follower.asked);
  CHECK(bare.follower.forward_mm.empty());
  CHECK(bare.mesh.system.strands.size() + 1 == cabled.mesh.system.strands.size());
}

TEST_CASE("a stated guide stays where it is stated, and others make up for it") {
  const Specimen free = specimen_of(neck(Level::C2, Level::C7, 100.0));
  const Specimen stated = specimen_of(neck(Level::C2, Level::C7, 100.0, {{.level = Level::C4, .forward_mm = -3.0}}));
  const std::size_t c4 = 2;
  CHECK(stated.follower.forward_mm[c4] == 0.0);  // counted from where it is stated
  const Eigen::Vector3d apart =
      stated.mesh.system.strands.back().path[c4].point_mm - stated.mesh.program.follower.guides[c4].point_mm;
  CHECK(apart.norm() == 0.0);
  CHECK(std::abs(free.follower.forward_mm[c4]) > 0.1);
  CHECK(stated.follower.largest_turn_deg() < study::kMostFollowerTurn_deg);
}

TEST_CASE("guides that are all stated in front of the neck flex it, and the residual is told") {
  std::vector<models::FollowerGuide> ahead;
  for (const Level level : {Level::C4, Level::C5, Level::C6}) ahead.push_back({.level = level, .forward_mm = 10.0});
  const Specimen specimen = specimen_of(neck(Level::C4, Level::C6, 100.0, ahead));
  CHECK(specimen.follower.largest_turn_deg() > study::kMostFollowerTurn_deg);
  const study::FullFigures turned = study::read_full_figures(specimen.mesh, specimen.start.poses, specimen.assembled.poses);
  double largest = 0.0;
  for (const study::PoseFigures& joint : turned.joints) {
    CHECK(joint.cardan_rad.x() > 0.0);
    largest = std::max(largest, models::to_deg(joint.vector_rad.norm()));
  }
  CHECK(specimen.follower.largest_turn_deg() == Approx(largest));
}

TEST_CASE("a follower load keeps the symmetry of a symmetric neck") {
  const Specimen specimen = specimen_of(neck(Level::C0, Level::C7, 100.0));
  const full::WorkspacePtr work = full::make_workspace(specimen.model);
  std::array<double, 2> turned{};
  for (const mesh::LoadCase& load_case : specimen.mesh.program.cases) {
    if (load_case.id != "left_rotation" && load_case.id != "right_rotation") continue;
    const study::FullRun run = study::run_load(specimen, load_case, 10, study::Look::closely, *work);
    INFO(run.verdict.reason());
    CHECK(run.verdict.status == study::Status::solved);
    turned[load_case.id == "left_rotation" ? 0 : 1] = run.figures.overall.cardan_rad.z();
  }
  CHECK(turned[0] > 0.1);
  CHECK(turned[0] == Approx(-turned[1]).epsilon(1e-6));
}

TEST_CASE(
    "constructs of screws and rods on both sides take a follower load, and a path that is not found at once is found as "
    "the load grows") {
  for (const char* file :
       {"skull_to_c3.xml", "subaxial_c3_to_c6.xml", "cervicothoracic_c5_to_t2.xml", "rods_c4_to_t3.xml"}) {
    models::Case the_case = tests::example(file);
    the_case.bench.follower = models::FollowerLoad{.force_N = 150.0};
    for (const models::Construct& construct : the_case.constructs) {
      const auto made = study::make_specimen(the_case, construct, tests::library(), {});
      INFO(file << ", " << construct.name << ": "
                << (made ? std::to_string(made->follower.largest_turn_deg()) : made.error().reason));
      REQUIRE(made);
      CHECK(made->follower.largest_turn_deg() < study::kMostFollowerTurn_deg);
    }
  }
}

TEST_CASE("a neck that no path holds is a mechanism under a follower load") {
  // C7's body, lamina and facets are gone: nothing is left between C6 and T1 that could be pressed on.
  models::Case the_case = models::injured_case(tests::example("rods_c4_to_t3.xml"));
  the_case.bench.follower = models::FollowerLoad{.force_N = 100.0};
  const auto made = study::make_specimen(the_case, the_case.constructs.front(), tests::library(), {});
  REQUIRE_FALSE(made);
  CHECK(made.error().status == study::Status::mechanism);
  CHECK_THAT(made.error().reason, Catch::Matchers::Contains("follower load of 100 N"));
  // How far it came, and which way it escapes.
  CHECK_THAT(made.error().reason, Catch::Matchers::Contains(" at all: C7"));
}
