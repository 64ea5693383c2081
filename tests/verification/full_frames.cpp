// SPDX-License-Identifier: MIT
// Frames that snap: the shallow toggle and the right-angled frame (verification.md B11). Their paths beyond the limit load
// need the load's motion prescribed; a load that grows must say where it stops or snaps.
#include <catch2/catch.hpp>

#include "solver/core/full/machine.hpp"
#include "tests/verification/full_models.hpp"

using namespace opisthion;
using namespace opisthion::verification;

namespace {

struct LoadedFrame {
  System system{};
  BodyId loaded{};
};

/// Williams, QJMAM 17 (1964) 451: both ends clamped, half span 12.943 in, EI = 9270 lb in^2, EA = 1.885e6 lb. n elements a
/// half.
LoadedFrame toggle(double rise, int n) {
  LoadedFrame f;
  const double half = 12.943;
  const BodyId left = add_body(f.system, {-half, 0, 0}, true);
  std::vector<Vector3> places;
  for (int i = 1; i <= 2 * n; ++i) {
    const double x = -half + half * i / n;
    places.push_back({x, rise * (1.0 - std::abs(x) / half), 0});
  }
  const std::vector<BodyId> nodes = add_chain(f.system, left, places, planar(1.885e6, 9270), Vector3::UnitY());
  f.system.bodies[static_cast<std::size_t>(nodes.back().value)].fixed = true;
  f.loaded = nodes[static_cast<std::size_t>(n)];
  return f;
}

/// Lee, Manuel & Rossow, 1968, as in Simo & Vu-Quoc 1986: two members of 120 at a right angle, hinged at their far ends,
/// load on the beam 24 from the corner. n elements a member, a multiple of 5.
LoadedFrame right_angle(int n) {
  LoadedFrame f;
  const mesh::Section s = planar(6 * 7.2e6, 2 * 7.2e6);
  const BodyId foot = add_body(f.system, {0, 0, 0}, false);
  std::vector<Vector3> places;
  for (int i = 1; i <= n; ++i) places.push_back({0, 120.0 * i / n, 0});
  const std::vector<BodyId> column = add_chain(f.system, foot, places, s, Vector3::UnitX());
  places.clear();
  for (int i = 1; i <= n; ++i) places.push_back({120.0 * i / n, 120, 0});
  const std::vector<BodyId> beam = add_chain(f.system, column.back(), places, s, Vector3::UnitY());
  for (const BodyId end : {foot, beam.back()}) add_hinge(f.system, end, 1e10);
  f.loaded = beam[static_cast<std::size_t>(n / 5)];
  return f;
}

full::ControlOutcome pushed(const full::Model& model, BodyId body, double to, int steps) {
  const full::WorkspacePtr work = full::make_workspace(model);
  full::ControlOptions options;
  options.solve = unlimited();
  options.to = to;
  options.steps = steps;
  full::ControlOutcome out =
      full::follow_controlled(model, force_at(body, {0, -1, 0}), full::reference_state(model), options, *work);
  CAPTURE(out.reached(), out.iterations, out.bisections, out.branches);
  REQUIRE(out.end == full::ControlEnd::reached);
  CHECK(out.branches == 0);
  return out;
}
double factor_at(const full::ControlOutcome& path, std::size_t step) {
  return path.steps[step].factor;
}

/// Extreme of a parabola through three equidistant values about the middle one.
double extreme(double before, double middle, double after) {
  const double slope = 0.5 * (after - before), bend = after - 2.0 * middle + before;
  return middle - 0.5 * slope * slope / bend;
}

}  // namespace

TEST_CASE("the shallow toggle follows the exact rod over its limit load and down to its least load") {
  // Exact planar extensible rod by shooting (verification.md B11): P at w = 0.1 .. 0.6, limit 33.8612 at w = 0.2316, least
  // 31.2636 at 0.3899. Elements whose chord alone carries strain are 6 % off at 4 a half and 1.6 % at 8; with their bow in
  // it 1e-3 and 1e-4.
  const double table[2][6] = {{25.2002, 33.4908, 32.8335, 31.2847, 36.0749, 53.2885},
                              {19.2204, 25.8227, 27.6555, 32.3600, 46.7215, 76.5718}};
  for (const int which : {0, 1}) {
    const double rise = which == 0 ? 0.386 : 0.32;
    const full::Model n4 = full::make_whole_model(toggle(rise, 4).system);
    const full::Model n8 = full::make_whole_model(toggle(rise, 8).system);
    const full::ControlOutcome a = pushed(n4, toggle(rise, 4).loaded, 0.6, 12);
    const full::ControlOutcome b = pushed(n8, toggle(rise, 8).loaded, 0.6, 12);
    for (std::size_t i = 0; i < 6; ++i) {
      const double exact = table[which][i];
      CAPTURE(rise, i, factor_at(a, 2 * i + 2), factor_at(b, 2 * i + 2));
      CHECK_RELATIVE(factor_at(a, 2 * i + 2), exact, 1e-3);
      CHECK_RELATIVE(factor_at(b, 2 * i + 2), exact, 2e-4);
    }
    if (which == 0) continue;
    for (std::size_t i = 1; i < b.steps.size(); ++i) {
      CHECK(factor_at(b, i) > factor_at(b, i - 1));  // no limit point
      CHECK(b.steps[i].outcome.positive);
    }
  }
}

TEST_CASE("the limit load and the least load of the shallow toggle") {
  double limit[2], least[2];
  int i = 0;
  for (const int n : {4, 8}) {
    const LoadedFrame f = toggle(0.386, n);
    const full::Model model = full::make_whole_model(f.system);
    const full::ControlOutcome path = pushed(model, f.loaded, 0.45, 45);
    std::size_t top = 1, bottom = 0;
    while (factor_at(path, top + 1) > factor_at(path, top)) ++top;
    bottom = top;
    while (factor_at(path, bottom + 1) < factor_at(path, bottom)) ++bottom;
    limit[i] = extreme(factor_at(path, top - 1), factor_at(path, top), factor_at(path, top + 1));
    least[i] = extreme(factor_at(path, bottom - 1), factor_at(path, bottom), factor_at(path, bottom + 1));
    CHECK(path.steps[top].travel == Approx(0.2316).margin(0.01));
    CHECK(path.steps[bottom].travel == Approx(0.3899).margin(0.01));
    // Between the two it would not stand under its load; held, it does.
    for (std::size_t k = top + 1; k + 1 < bottom; ++k) {
      CHECK_FALSE(path.steps[k].outcome.positive);
      CHECK(path.steps[k].stable);
    }
    ++i;
  }
  note_figure("toggle, limit load, 4 a half", limit[0], 33.8612, std::abs(limit[0] - 33.8612), 1e-3 * 33.8612);
  CHECK_RELATIVE(limit[0], 33.8612, 1e-3);
  CHECK_RELATIVE(least[0], 31.2636, 1e-3);
  CHECK_RELATIVE(limit[1], 33.8612, 1e-4);
  CHECK_RELATIVE(least[1], 31.2636, 1e-4);
}

TEST_CASE("the right-angled frame follows the exact rod to its limit load and past it") {
  // Exact extensible Euler-Bernoulli rod (verification.md B11); published 18532 with 10 quadratic elements.
  const double table[] = {9635.508, 13457.911, 15952.954, 17807.825, 18533.637};
  full::ControlOutcome paths[2];
  double limit[2];
  int i = 0;
  for (const int n : {5, 10}) {
    const LoadedFrame f = right_angle(n);
    const full::Model model = full::make_whole_model(f.system);
    paths[i] = pushed(model, f.loaded, 56.0, 28);
    const full::ControlOutcome& p = paths[i];
    std::size_t top = 1;
    while (top + 2 < p.steps.size() && factor_at(p, top + 1) > factor_at(p, top)) ++top;
    CHECK(p.steps[top].travel == Approx(48.735).margin(2.0));
    limit[i] = extreme(factor_at(p, top - 1), factor_at(p, top), factor_at(p, top + 1));
    ++i;
  }
  for (std::size_t k = 0; k < 5; ++k) {
    CHECK_RELATIVE(factor_at(paths[0], 5 * (k + 1)), table[k], 5e-4);
    CHECK_RELATIVE(factor_at(paths[1], 5 * (k + 1)), table[k], 5e-5);
  }
  CHECK_RELATIVE(limit[0], 18556.73, 5e-4);
  CHECK_RELATIVE(limit[1], 18556.73, 1e-4);  // of which 7e-5 is the parabola through three steps
}

TEST_CASE("a load that grows past a frame's limit load says that it snapped, and where") {
  struct Row {
    LoadedFrame frame;
    double limit, to, largest_snap_mm, moved_mm;
  };
  for (const Row& row :
       {Row{toggle(0.386, 8), 33.8612, 40.0, 0.05, 0.2}, Row{right_angle(10), 18556.73, 22000.0, 4.0, 20.0}}) {
    const full::Model model = full::make_whole_model(row.frame.system);
    const full::WorkspacePtr work = full::make_workspace(model);
    full::PathOptions options;
    options.solve = unlimited();
    options.solve.largest_step_mm = row.moved_mm;
    options.to = row.to;
    options.steps = 20;
    options.largest_snap_mm = row.largest_snap_mm;
    const full::PathOutcome path =
        full::follow(model, force_at(row.frame.loaded, {0, -1, 0}), full::reference_state(model), options, *work);
    CAPTURE(static_cast<int>(path.end), path.reached(), path.snaps.size(), path.iterations, path.bisections);
    if (path.end == full::PathEnd::reached) {
      REQUIRE(path.snaps.size() == 1);
      CHECK(path.snaps.front().factor == Approx(row.limit).epsilon(0.02));
      CHECK(path.snaps.front().moved_mm > row.moved_mm);
    } else {
      CHECK(path.end == full::PathEnd::limit_point);
      CHECK(path.reached() == Approx(row.limit).epsilon(0.02));
    }
  }
  // The lower toggle has no limit point, and no snap.
  const LoadedFrame low = toggle(0.32, 8);
  const full::Model model = full::make_whole_model(low.system);
  const full::WorkspacePtr work = full::make_workspace(model);
  full::PathOptions options;
  options.solve = unlimited();
  options.to = 40.0;
  options.steps = 20;
  options.largest_snap_mm = 0.05;
  const full::PathOutcome path =
      full::follow(model, force_at(low.loaded, {0, -1, 0}), full::reference_state(model), options, *work);
  CHECK(path.end == full::PathEnd::reached);
  CHECK(path.snaps.empty());
}

TEST_CASE("held by its motion, a mechanism shows that hardly any load balances it") {
  // A rigid bar on a frictionless pivot, tied to nothing but a neighbour by regularisation: 1 N mm/rad.
  System s;
  const BodyId ground = add_bone(s, {0, 0, 0}, true);
  const BodyId bar = add_bone(s, {0, 0, 0}, false);
  s.neighbours.push_back({bar, ground});
  Matrix6 pivot = Matrix6::Zero();
  pivot.diagonal() << 1e4, 1e4, 1e4, 1e6, 1e6, 0;
  s.cushions.push_back({.a = ground, .b = bar, .stiffness = pivot});
  const full::Model model = full::make_whole_model(s);
  const full::WorkspacePtr work = full::make_workspace(model);
  const double moment = 1500.0, turn = 0.6;
  const full::ControlOutcome path =
      full::follow_controlled(model, moment_at(bar, {0, 0, moment}, full::MomentKind::conservative),
                              full::reference_state(model), {.to = turn, .steps = 5}, *work);
  REQUIRE(path.end == full::ControlEnd::reached);
  CHECK_RELATIVE(path.steps.back().factor, turn / moment, 1e-6);
  CHECK_SMALL((pose(path.steps.back().state, bar).rotation - full::exp_rotation({0, 0, turn})).norm(), 1e-8);
  CHECK(path.largest_factor() < 1e-3);
}

TEST_CASE("held motion at the limit of a toggle behind a soft spring snaps, and goes on along the toggle's own path") {
  // The spring is softer than the toggle falls, so its far end comes no further at the limit load: held there, the toggle
  // snaps through. On both sides of the snap the load is the toggle's own at the apex's own travel.
  const double rise = 0.386, spring = 5.0;
  const int n = 4;
  LoadedFrame f = toggle(rise, n);
  const BodyId end = add_body(f.system, mesh::body(f.system, f.loaded).position_mm, false);
  Matrix6 k = Matrix6::Zero();
  k.diagonal() << 1e5, spring, 1e5, 1e5, 1e5, 1e5;
  f.system.cushions.push_back({.a = f.loaded, .b = end, .point_mm = mesh::body(f.system, end).position_mm, .stiffness = k});
  const full::Model model = full::make_whole_model(f.system);
  const full::WorkspacePtr work = full::make_workspace(model);
  const full::ControlOutcome path = full::follow_controlled(model, force_at(end, {0, -1, 0}), full::reference_state(model),
                                                            {.solve = unlimited(), .to = 12.0, .steps = 24}, *work);
  REQUIRE(path.end == full::ControlEnd::reached);
  const full::Model alone = full::make_whole_model(toggle(rise, n).system);
  double largest = 0.0, furthest_before = 0.0, nearest_behind = 1e9;
  for (const full::ControlledStep& step : path.steps) {
    if (step.travel == 0.0) continue;
    const double apex = rise - pose(step.state, f.loaded).position_mm.y();
    INFO("end " << step.travel << ", apex " << apex << ", load " << step.factor);
    CHECK(step.stable);
    CHECK_RELATIVE(step.travel - apex, step.factor / spring, 1e-6);
    const full::ControlOutcome own = pushed(alone, f.loaded, apex, 8);
    CHECK_RELATIVE(step.factor, own.steps.back().factor, 1e-6);
    if (step.factor < largest || nearest_behind < 1e9) nearest_behind = std::min(nearest_behind, apex);
    if (nearest_behind == 1e9) furthest_before = apex;
    largest = std::max(largest, step.factor);
  }
  // It leaves out what only a stiffer machine could hold.
  CHECK(nearest_behind - furthest_before > 0.1);
}

TEST_CASE("the energy of toggle and machine has its minimum where the held toggle balances, stable or not by itself") {
  const LoadedFrame f = toggle(0.386, 4);
  const full::Model model = full::make_whole_model(f.system);
  const full::WorkspacePtr work = full::make_workspace(model);
  const full::LoadPath load = force_at(f.loaded, {0, -1, 0});
  const full::ControlOutcome path = pushed(model, f.loaded, 0.6, 6);
  bool falling = false;
  for (const full::ControlledStep& step : path.steps) {
    if (step.travel == 0.0) continue;
    falling = falling || !step.outcome.positive;
    for (const double asked : {0.0, 0.8 * step.factor, 2.0 * step.factor}) {
      full::State state = full::reference_state(model);
      double factor = asked;
      full::SolveOutcome outcome;
      REQUIRE(full::minimise_held(model, load, {.target = step.travel, .give = 1e-3, .tolerance = 1e-11}, 1.0, unlimited(),
                                  *work, state, factor, outcome));
      CHECK_RELATIVE(factor, step.factor, 1e-7);
      CHECK_SMALL(apart_mm(state.poses, step.state.poses), 1e-6);
    }
  }
  CHECK(falling);
}
