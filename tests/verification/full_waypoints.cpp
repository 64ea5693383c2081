// SPDX-License-Identifier: MIT
// What the way to a load must not leave behind: caps of friction that belong to another normal force, snaps that are none.
#include <catch2/catch.hpp>

#include <cmath>

#include "solver/core/full/path.hpp"
#include "tests/verification/full_models.hpp"

using namespace opisthion;
using namespace opisthion::verification;

namespace {

struct Slider {
  System system{};
  BodyId ground{}, block{};
};

/// A block whose turns are held; `stiffness` of its slides [N/mm].
Slider slider(const Vector3& stiffness) {
  Slider out;
  out.ground = add_bone(out.system, {0, 0, 0}, true);
  out.block = add_bone(out.system, {0, 0, 0}, false);
  Matrix6 k = Matrix6::Zero();
  k.diagonal() << stiffness, 1e6, 1e6, 1e6;
  out.system.cushions.push_back({.a = out.ground, .b = out.block, .stiffness = k});
  return out;
}

void add_strand(Slider& s, const mesh::Attachment& from, const mesh::Attachment& to, const mesh::ScalarLaw& law) {
  mesh::Strand strand;
  strand.path = {from, to};
  strand.law = law;
  s.system.strands.push_back(strand);
}

}  // namespace

TEST_CASE("friction that the same load presses and pulls sticks however roughly the way is followed") {
  // 100 N press and 10 N pull, friction 0.5: it sticks all the way, at 10 N over spring and bond. Closed form.
  constexpr double kSpring = 10.0, kBond = 1000.0;
  Slider s = slider(Vector3::Zero());
  for (const Vector3& far : {Vector3(0, -1e7, 0), Vector3(-1e7, 0, 0)})
    add_strand(s, {s.ground, far}, {s.block, {0, 0, 0}}, mesh::two_slopes(kSpring, kSpring));
  mesh::Pad pad;
  pad.a = {s.block, {0, 0, 0}};
  pad.b = s.ground;
  pad.law = mesh::ToeLinear{.stiffness = 1000.0};
  s.system.pads.push_back(pad);
  mesh::Slip slip;
  slip.a = {s.block, {0, 0, 0}};
  slip.b = s.ground;
  slip.direction = {0, 1, 0};
  slip.stiffness = kBond;
  slip.cap_per_N = 0.5;
  slip.normal = {{.of = mesh::NormalForce::Of::pad, .index = 0, .weight = 1.0}};
  s.system.slips.push_back(slip);
  const full::Model model = full::make_whole_model(s.system);
  const full::WorkspacePtr work = full::make_workspace(model);
  for (const double waypoint : {0.0, 1e-6})
    for (const int steps : {1, 2, 10}) {
      full::PathOptions options;
      options.steps = steps;
      options.waypoint_tolerance = waypoint;
      const full::PathOutcome path =
          full::follow(model, force_at(s.block, {0, 10, -100}), full::reference_state(model), options, *work);
      CAPTURE(waypoint, steps);
      REQUIRE(path.end == full::PathEnd::reached);
      CHECK(path.caps_settled);
      CHECK(pose(path.steps.back().state, s.block).position_mm.y() == Approx(10.0 / (kSpring + kBond)).epsilon(1e-5));
      CHECK(path.steps.back().state.slip[0] == 0.0);
    }
}

TEST_CASE("no snap is told that moved less than a snap moves, whatever was foretold") {
  // A detent, then a soft plateau that ends at a stop: the tangent before the stop foretells far more than comes.
  constexpr double kHalf = 100.0, kRise = 1.8, kApart = 17.55;
  constexpr double kSoft = 0.4 / 0.81;
  Slider s = slider({1e4, 0, 1e4});
  for (const double side : {-1.0, 1.0}) {
    mesh::Polygon law = mesh::two_slopes(kSoft * kHalf * kHalf, 0.0);
    law.at[0] = std::hypot(kHalf, kRise) - std::hypot(kHalf, kApart);
    add_strand(s, {s.block, {0, 0, 0}}, {s.ground, {side * kHalf, kApart, 0}}, law);
  }
  mesh::Polygon stop;
  stop.count = 2;
  stop.at = {17.80, 20.75};
  stop.value = {17.80, 17.815};
  stop.slope_below = 1.0;
  stop.slope_above = 100.0;
  add_strand(s, {s.ground, {0, -1e5, 0}}, {s.block, {0, 0, 0}}, stop);
  const full::Model model = full::make_whole_model(s.system);
  const full::WorkspacePtr work = full::make_workspace(model);
  full::PathOptions options;
  options.to = 24.0;
  options.steps = 4;
  const full::PathOutcome path =
      full::follow(model, force_at(s.block, {0, 1, 0}), full::reference_state(model), options, *work);
  REQUIRE(path.end == full::PathEnd::reached);
  REQUIRE_FALSE(path.snaps.empty());
  for (const full::Snap& snap : path.snaps) CHECK(snap.moved_mm > options.largest_snap_mm);
}
