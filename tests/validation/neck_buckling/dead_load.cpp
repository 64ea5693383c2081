// SPDX-License-Identifier: MIT
// A bare ligamentous neck under a dead weight. Nothing in it was fitted to any of this: README.md.
#include "tests/validation/neck_buckling/dead_load.hpp"

#include <cstdio>

using namespace opisthion;
using models::AxialLine;
using models::Level;
using tests::kHead;
using tests::Weighed;
using tests::Where;

namespace {

namespace full = core::full;

constexpr double kPublished_N = 40.0;  // Patwardhan et al. 2000, Spine 25:1548: collapses below about that (from memory)

/// What a path over a growing weight shows.
struct Collapse {
  double sideways_N = 0.0;  ///< the stiffness along the softest motion is gone
  double snap_N = 0.0;      ///< it jumps to another equilibrium
  double regularisation_share = 0.0;
  std::string mode{}, snap{};
};

/// By a path in steps of 0.25 N: the zero of the softest stiffness by the secant of the last two states in the midplane.
Collapse by_path(Weighed& neck) {
  Collapse out;
  const full::PathOutcome path = neck.path(40.0, 160);
  double before_N = 0.0, before = 0.0, last_N = 0.0, last = 0.0;
  for (const full::Step& step : path.steps) {
    if (neck.sideways_deg(step.state) > tests::kLeftMidplane_deg) break;
    const core::Mode mode = neck.softest(step.factor, step.state);
    before_N = last_N;
    before = last;
    last_N = step.factor;
    last = mode.stiffness_N_per_mm;
    out.mode = neck.words(mode.shape, study::Sense::both_ways);
    out.regularisation_share = neck.regularisation_share(step.state);
  }
  out.sideways_N = last_N + last * (last_N - before_N) / (before - last);
  if (!path.snaps.empty()) {
    out.snap_N = path.snaps.front().factor;
    out.snap = neck.words(path.snaps.front().motion, study::Sense::one_way);
  }
  return out;
}

}  // namespace

TEST_CASE("a bare neck from the skull to T1 loses its stability under the weight of a head, whatever the regularisation") {
  Weighed whole(Level::C0, Level::T1, kHead);
  Weighed tenth(Level::C0, Level::T1, kHead, 0.1);
  const Collapse found = by_path(whole);
  const Collapse at_tenth = by_path(tenth);
  const double fresh_N = tests::leaves_midplane_N(whole);
  const double fresh_tenth_N = tests::leaves_midplane_N(tenth);
  std::printf(
      "C0-T1 under a head's weight: sideways stiffness gone at %.2f N by the path, %.2f N by fresh solves (%.2f, %.2f at a "
      "tenth of the regularisation; published: collapses below about %.0f N)\n  softest motion: %s\n  snaps at %.2f N "
      "(%.2f): %s\n  regularisation holds %.1e of the energy\n",
      found.sideways_N, fresh_N, at_tenth.sideways_N, fresh_tenth_N, kPublished_N, found.mode.c_str(), found.snap_N,
      at_tenth.snap_N, found.snap.c_str(), found.regularisation_share);
  CHECK(found.sideways_N > study::kNeutralForce_N);
  CHECK(found.sideways_N < kPublished_N);
  CHECK(found.snap_N >= found.sideways_N);
  CHECK(found.snap_N < kPublished_N);
  CHECK(fresh_N == Approx(found.sideways_N).epsilon(0.02));
  CHECK(at_tenth.sideways_N == Approx(found.sideways_N).epsilon(0.02));
  CHECK(fresh_tenth_N == Approx(found.sideways_N).epsilon(0.02));
  CHECK(at_tenth.snap_N == Approx(found.snap_N).epsilon(0.02));
  CHECK(found.regularisation_share < 0.01);
}

TEST_CASE("a slack neck that flops onto its ligaments is not a neck that buckles: it stands between the two") {
  Weighed neck(Level::C0, Level::T1, kHead);
  const full::PathOutcome path = neck.path(20.0, 20);
  REQUIRE(path.end == full::PathEnd::reached);
  const double flop_deg = neck.flexion_deg(path.steps[2].state);
  const double at_20_deg = neck.flexion_deg(path.steps.back().state);
  std::printf(
      "C0-T1 under a head's weight: the slack is taken up within 2 N (%.1f deg forward); from there to 20 N it turns %.1f "
      "deg more\n",
      flop_deg, at_20_deg - flop_deg);
  CHECK(flop_deg > 5.0);
  CHECK(at_20_deg - flop_deg < flop_deg);
  CHECK(path.snaps.empty());
  for (std::size_t i = 2; i < path.steps.size(); ++i) {
    CHECK(path.steps[i].outcome.positive);
    CHECK(neck.softest(path.steps[i].factor, path.steps[i].state).stiffness_N_per_mm > 0.03);
    CHECK(neck.sideways_deg(path.steps[i].state) < tests::kLeftMidplane_deg);
  }
}

TEST_CASE("the load at which a bare neck folds, by where it is weighed") {
  struct Row {
    const char* name;
    Level top, bottom;
    Where where;
  };
  const Row rows[] = {{"C0-T1, condyles", Level::C0, Level::T1, {AxialLine::condyles, 0.0, 0.0}},
                      {"C0-T1, head", Level::C0, Level::T1, kHead},
                      {"C0-T1, head, 10 mm further forward", Level::C0, Level::T1, {AxialLine::condyles, 30.0, 40.0}},
                      {"C0-T1, head, 20 mm higher", Level::C0, Level::T1, {AxialLine::condyles, 20.0, 60.0}},
                      {"C0-C7, head", Level::C0, Level::C7, kHead},
                      {"C0-C4, head", Level::C0, Level::C4, kHead},
                      {"C2-T1, body of C2", Level::C2, Level::T1, {AxialLine::body, 0.0, 0.0}},
                      {"C2-T1, 30 mm above", Level::C2, Level::T1, {AxialLine::body, 0.0, 30.0}},
                      {"C2-T1, 60 mm above", Level::C2, Level::T1, {AxialLine::body, 0.0, 60.0}}};
  double head_N = 0.0, higher_N = 0.0;
  for (const Row& row : rows) {
    Weighed neck(row.top, row.bottom, row.where);
    const full::PathOutcome path = neck.path(120.0, 120);
    REQUIRE(path.steps.size() > 41);
    const std::string ends = tests::beyond_end(neck.specimen(), neck.figures(path.steps.back().state));
    std::printf("%-36s at 40 N %6.1f deg forward, %5.1f sideways; ", row.name, neck.flexion_deg(path.steps[40].state),
                neck.sideways_deg(path.steps[40].state));
    if (path.snaps.empty())
      std::printf("no snap up to %.0f N%s%s\n", path.reached(), ends.empty() ? "" : ", beyond its end: ", ends.c_str());
    else
      std::printf("snaps at %.1f N: %s\n", path.snaps.front().factor,
                  neck.words(path.snaps.front().motion, study::Sense::one_way).c_str());
    if (std::string_view(row.name) == "C0-T1, head")
      head_N = path.snaps.empty() ? path.reached() : path.snaps.front().factor;
    if (std::string_view(row.name) == "C0-T1, head, 20 mm higher")
      higher_N = path.snaps.empty() ? path.reached() : path.snaps.front().factor;
  }
  CHECK(higher_N < head_N);  // as a taller column
}

TEST_CASE("a neck from C2 to T1 turns far under 40 N and has no balance point left under a heavier weight") {
  // On a line that is not the neck's own a weight bends it from the first newton on: it folds, but no equilibrium is lost.
  // Stability is lost where a weight can be balanced on no line any more: moved forward and back again, it falls forward at
  // another place than it falls back.
  Weighed neck(Level::C2, Level::T1, {.line = AxialLine::body});
  const full::PathOutcome path = neck.path(40.0, 20);
  REQUIRE(path.end == full::PathEnd::reached);
  const double at_40_deg = neck.flexion_deg(path.steps.back().state);
  const auto falls = [](Weighed& on, double weight_N) {
    constexpr int kPlaces = 151;
    constexpr double kBack_mm = -30.0, kApart_mm = 0.2;
    std::vector<double> there(kPlaces);
    on.move_line(kBack_mm, 0.0);
    const full::PathOutcome start = on.path(weight_N, 20);
    REQUIRE(start.end == full::PathEnd::reached);
    full::State state = start.steps.back().state;
    bool settled = true;
    for (int i = 0; i < kPlaces; ++i) {
      on.move_line(kBack_mm + kApart_mm * i, 0.0);
      settled = settled && on.settle(weight_N, state);
      there[static_cast<std::size_t>(i)] = on.flexion_deg(state);
    }
    double most = 0.0;
    for (int i = kPlaces - 1; i >= 0; --i) {
      on.move_line(kBack_mm + kApart_mm * i, 0.0);
      settled = settled && on.settle(weight_N, state);
      most = std::max(most, std::abs(on.flexion_deg(state) - there[static_cast<std::size_t>(i)]));
    }
    REQUIRE(settled);
    return most > 1.0;
  };
  const auto critical_N = [&falls](double regularisation) {
    Weighed on(Level::C2, Level::T1, {.line = AxialLine::body}, regularisation);
    double stands_N = 60.0, falls_N = 100.0;
    REQUIRE_FALSE(falls(on, stands_N));
    REQUIRE(falls(on, falls_N));
    while (falls_N - stands_N > 1.0) {
      const double weight_N = 0.5 * (stands_N + falls_N);
      (falls(on, weight_N) ? falls_N : stands_N) = weight_N;
    }
    return 0.5 * (stands_N + falls_N);
  };
  const double whole_N = critical_N(1.0);
  const double tenth_N = critical_N(0.1);
  std::printf(
      "C2-T1 under a weight on the body of C2: %.1f deg forward at 40 N (published: collapses below about 40 N); no line "
      "balances more than %.1f N (%.1f at a tenth of the regularisation)\n",
      at_40_deg, whole_N, tenth_N);
  CHECK(at_40_deg > 10.0);
  CHECK(tenth_N == Approx(whole_N).epsilon(0.02));
}
