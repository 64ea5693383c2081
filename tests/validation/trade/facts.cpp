// SPDX-License-Identifier: MIT
// Facts of the trade: every surgeon who has used these constructs knows them ("common practice" all), and the model must bring
// them out of its mechanics. Figures are small-displacement ones; what is compared is an order, never a range of motion.
#include <catch2/catch.hpp>
#include <cmath>
#include <cstdio>
#include <limits>
#include <string>

#include "models/quantity/units.hpp"
#include "solver/study/assess.hpp"
#include "solver/study/figures.hpp"
#include "solver/study/prepare.hpp"
#include "tests/support/example.hpp"

using namespace opisthion;
using models::Motion;

namespace {

const models::Construct& construct_of(const models::Case& neck, std::string_view name) {
  for (const models::Construct& construct : neck.constructs)
    if (construct.name == name) return construct;
  FAIL("no construct '" << name << "'");
  return neck.constructs.front();
}

constexpr double kRunsAway = std::numeric_limits<double>::infinity();

double rotation_deg(const study::ConstructResult& result, Motion motion) {
  for (const study::MotionResult& m : result.motions)
    if (m.motion == motion) {
      INFO(result.name << ", " << models::name(motion) << ": " << m.reason);
      REQUIRE(m.status != study::Status::no_answer);
      return m.status == study::Status::mechanism || !std::isfinite(m.rotation_deg) ? kRunsAway : m.rotation_deg;
    }
  FAIL("motion not run");
  return 0.0;
}

double travel_mm(const std::vector<study::ForceResult>& forces, std::string_view id) {
  for (const study::ForceResult& f : forces)
    if (f.id == id) {
      INFO(f.id << ": " << f.reason);
      REQUIRE(f.status != study::Status::no_answer);
      return f.status == study::Status::mechanism || !std::isfinite(f.travel_mm) ? kRunsAway : std::abs(f.travel_mm);
    }
  FAIL("force not run: " << id);
  return 0.0;
}

study::ConstructResult assessed(const models::Case& neck, const models::Construct& construct) {
  return study::assess_construct(neck, construct, tests::library(), {});
}

}  // namespace

TEST_CASE("wires hold no rod along its axis: with slack wires the skull settles as if they were not there") {
  const models::Case neck = tests::example("settling_to_c4.xml");
  models::Construct tight = construct_of(neck, "wired bent rods, unlinked");
  models::Construct slack = tight;
  for (models::Anchor& anchor : slack.anchors) anchor.tension_N = 0.0;
  const double held = travel_mm(assessed(neck, tight).axial, "axial/C0/-");
  const double settled = travel_mm(assessed(neck, slack).axial, "axial/C0/-");
  const double bare = travel_mm(assessed(neck, {.name = "no metal"}).axial, "axial/C0/-");
  std::printf("settling under 50 N: tight wires %.2f, slack wires %.2f, no metal %.2f mm\n", held, settled, bare);
  CHECK(settled > held);
}

TEST_CASE("spinous wires hold flexion and leave extension alone") {
  const models::Case neck = tests::example("subaxial_c3_to_c6.xml");
  const auto bare = assessed(neck, construct_of(neck, "nothing but the neck"));
  const auto wired = assessed(neck, construct_of(neck, "spinous wires C3 to C6"));
  const double flexion = rotation_deg(wired, Motion::flexion) / rotation_deg(bare, Motion::flexion);
  const double extension = rotation_deg(wired, Motion::extension) / rotation_deg(bare, Motion::extension);
  const double turn = rotation_deg(wired, Motion::left_rotation) / rotation_deg(bare, Motion::left_rotation);
  std::printf("spinous wires, share of the unwired neck: flexion %.2f, extension %.2f, rotation %.2f\n", flexion, extension, turn);
  CHECK(flexion < 0.7);
  CHECK(extension > 0.9);
  CHECK(flexion < turn);
}

TEST_CASE("a midline wired graft resists forward translation of C1 better than backward") {
  const models::Case neck = tests::example("old_dens_fracture.xml");
  const auto graft = assessed(neck, construct_of(neck, "midline wired graft"));
  const double forward = travel_mm(graft.shear, "shear/C1/+");
  const double backward = travel_mm(graft.shear, "shear/C1/-");
  std::printf("midline wired graft, 50 N: forward %.2f mm, backward %.2f mm\n", forward, backward);
  CHECK(backward > forward);
}

TEST_CASE("one wired level is a hinge: it leaves more flexion than two") {
  const models::Case neck = tests::example("settling_to_c4.xml");
  models::Construct several = construct_of(neck, "wired bent rods, cross-linked");
  models::Construct one = several;
  std::erase_if(one.anchors, [](const models::Anchor& a) { return a.level == models::Level::C3 || a.level == models::Level::C1 ||
                                                                  a.level == models::Level::C2; });
  for (models::Rod& rod : one.rods)
    std::erase_if(rod.through, [&](const models::Through& stop) { return one.find_anchor(stop.anchor) == nullptr; });
  const double hinge = rotation_deg(assessed(neck, one), Motion::flexion);
  const double held = rotation_deg(assessed(neck, several), Motion::flexion);
  std::printf("flexion, one wired level below the skull %.1f deg, four %.1f deg\n", hinge, held);
  CHECK(hinge > held);
}
