// SPDX-License-Identifier: MIT
// Beams turned far: roll-up, elastica, the bend out of its plane (verification.md B11, B12).
#include <catch2/catch.hpp>

#include "tests/verification/full_models.hpp"

using namespace opisthion;
using namespace opisthion::verification;
using full::MomentKind;

namespace {

constexpr double kPi = std::numbers::pi;
constexpr double kLength_mm = 100.0;
constexpr double kBending_Nmm2 = 1e6;
constexpr double kAxial_N = 1e4 * kBending_Nmm2 / (kLength_mm * kLength_mm);  // a rod 28 times as long as thick

full::State followed(const full::Model& model, const full::LoadPath& load, int steps, full::PathOutcome* whole = nullptr) {
  const full::WorkspacePtr work = full::make_workspace(model);
  full::PathOptions options;
  options.solve = unlimited();
  options.steps = steps;
  options.largest_snap_mm = 1e9;
  const full::PathOutcome path = full::follow(model, load, full::reference_state(model), options, *work);
  CAPTURE(path.reached(), path.iterations, path.bisections, path.branches);
  REQUIRE(path.end == full::PathEnd::reached);
  if (whole != nullptr) *whole = path;
  return path.steps.back().state;
}

}  // namespace

TEST_CASE("a cantilever rolls up into a circle under an end moment, through two full turns, with five elements") {
  // Simo & Vu-Quoc, CMAME 58 (1986) 79-116: x/L = sin t/t, y/L = (1 - cos t)/t, t = M L/EI. Corotational elements are exact
  // but for the chord of an element against its arc: ends that turn by s = t/n come closer by s^2/24 of the length, which is
  // short of the arc's chord by s^4/1920. The nodes lie on a regular polygon with those sides, so closure at 2 pi and 4 pi
  // is exact for any n. It needs no axial force, so EA does not matter.
  // The kind of moment: in its plane all three are one. Past half a turn it has to be one fixed in space, or one that
  // follows: that of the potential M . log R has no value at a full turn, where the axis of the rotation is any axis.
  for (const MomentKind kind : {MomentKind::fixed_axis, MomentKind::following})
    for (const double turn : {kPi, 2 * kPi, 4 * kPi}) {
      const Cantilever c = cantilever(planar(kAxial_N, kBending_Nmm2), kLength_mm, 5);
      const full::Model model = full::make_whole_model(c.system);
      full::PathOutcome path;
      const full::State state =
          followed(model, moment_at(c.tip(), {0, 0, turn * kBending_Nmm2 / kLength_mm}, kind), 8, &path);
      const full::Pose& tip = pose(state, c.tip());
      CAPTURE(turn, path.iterations, path.bisections);
      note_figure("roll-up, iterations", path.iterations, 48, 0, 1);
      const double half = turn / 10.0;  // of an element's turn
      // Polygon of five sides a at the angles (2 i + 1) half: length a sin(5 half)/sin(half) at the middle angle.
      const double side = kLength_mm / 5.0 * (1.0 - half * half / 6.0);
      const double chord = side * std::sin(5.0 * half) / std::sin(half);
      CHECK_SMALL((tip.position_mm - chord * Vector3(std::cos(5 * half), std::sin(5 * half), 0)).norm() / kLength_mm, 1e-9);
      const Vector3 circle = kLength_mm / turn * Vector3(std::sin(turn), 1.0 - std::cos(turn), 0);
      if (turn < 4.0) CHECK_SMALL((tip.position_mm - circle).norm() / kLength_mm, std::pow(2.0 * half, 4) / 1920.0);
      if (turn > 4.0) CHECK_SMALL(tip.position_mm.norm() / kLength_mm, 1e-9);
      CHECK_SMALL((tip.rotation - full::exp_rotation({0, 0, turn})).norm(), 1e-9);
    }
  // The moment of the potential, up to half a turn.
  const Cantilever c = cantilever(planar(kAxial_N, kBending_Nmm2), kLength_mm, 5);
  const full::Model model = full::make_whole_model(c.system);
  full::PathOutcome path;
  const full::State state = followed(
      model, moment_at(c.tip(), {0, 0, 0.99 * kPi * kBending_Nmm2 / kLength_mm}, MomentKind::conservative), 8, &path);
  CHECK(path.branches == 0);
  CHECK_SMALL((pose(state, c.tip()).rotation - full::exp_rotation({0, 0, 0.99 * kPi})).norm(), 1e-9);
}

TEST_CASE(
    "a cantilever under a dead force at its tip bends to the elastica, with an error as the fourth power of element "
    "length") {
  // Inextensible elastica by elliptic integrals (Mattiasson, IJNME 17 (1981) 145, from memory; re-computed independently).
  // Held to be inextensible by EA = 1e8 EI/L^2: with a strain that is one mean an element, bowing does not lock.
  struct Row {
    double load, w, u, slope;
  };
  const Row rows[] = {{0.5, 0.1621435757, 0.0159189625, 0.2445336471},
                      {1, 0.3017207738, 0.0564332363, 0.4613519497},
                      {2, 0.4934574804, 0.1606417208, 0.7817498316},
                      {5, 0.7137915236, 0.3876283607, 1.2153681176},
                      {10, 0.8106090249, 0.5549955978, 1.4302855388}};
  for (const Row& row : rows) {
    double w[3], u[3], slope[3];
    int i = 0;
    for (const int n : {4, 8, 16}) {
      const Cantilever c = cantilever(planar(1e8 * kBending_Nmm2 / (kLength_mm * kLength_mm), kBending_Nmm2), kLength_mm, n);
      const full::Model model = full::make_whole_model(c.system);
      const full::State state =
          followed(model, force_at(c.tip(), {0, row.load * kBending_Nmm2 / (kLength_mm * kLength_mm), 0}), 10);
      const full::Pose& tip = pose(state, c.tip());
      w[i] = tip.position_mm.y() / kLength_mm;
      u[i] = 1.0 - tip.position_mm.x() / kLength_mm;
      slope[i] = full::log_rotation(tip.rotation).z();
      ++i;
    }
    CAPTURE(row.load, w[0], w[1], w[2]);
    const double tolerance[] = {1e-3, 1e-4, 1e-5};
    for (int k = 0; k < 3; ++k) {
      CHECK_RELATIVE(w[k], row.w, tolerance[k]);
      CHECK_RELATIVE(slope[k], row.slope, tolerance[k]);
      // u is second order in w where the load is small: measured against w there.
      CHECK_SMALL(std::abs(u[k] - row.u) / row.w, tolerance[k]);
    }
    const double order = std::log2((w[0] - row.w) / (w[1] - row.w));
    note_figure("elastica, order from 4 to 8", order, 4, std::abs(order - 4), 0.15);
    CHECK(order == Approx(4.0).margin(0.15));
  }
}

TEST_CASE("a bend of 45 degrees, loaded across its plane, ends where the exact rod does") {
  // Bathe & Bolourchi, IJNME 14 (1979) 961-986; exact Cosserat rod by shooting, J = 0.140577, kappa = 5/6 (verification.md
  // B12). Tip: along the tangent at the root, in the plane towards the centre, across it.
  const double radius = 100.0, youngs = 1e7, shear = 5e6;
  mesh::Section s;
  s.axial_N = youngs;
  s.bending_y_Nmm2 = s.bending_z_Nmm2 = youngs / 12.0;
  s.torsional_Nmm2 = shear * 0.140577;
  s.shear_y_N = s.shear_z_N = shear * 5.0 / 6.0;
  struct Row {
    double force;
    Vector3 tip;
  };
  for (const Row& row : {Row{300, {58.535709, 22.112514, 40.480758}}, Row{450, {51.969424, 18.369163, 48.705349}},
                         Row{600, {46.891586, 15.557676, 53.607986}}}) {
    Vector3 at[2];
    int i = 0;
    for (const int n : {8, 16}) {
      System system;
      const BodyId root = add_body(system, {0, 0, 0}, true);
      std::vector<Vector3> places;
      for (int k = 1; k <= n; ++k) {
        const double angle = kPi / 4 * k / n;
        places.push_back(radius * Vector3(std::sin(angle), 1.0 - std::cos(angle), 0));
      }
      const std::vector<BodyId> nodes = add_chain(system, root, places, s, Vector3::UnitZ());
      const full::Model model = full::make_whole_model(system);
      const full::State state = followed(model, force_at(nodes.back(), {0, 0, row.force}), 12);
      at[i] = pose(state, nodes.back()).position_mm;
      CAPTURE(row.force, n, at[i].transpose());
      CHECK_SMALL((at[i] - row.tip).cwiseAbs().maxCoeff() / radius, n == 8 ? 1e-3 : 2e-4);
      ++i;
    }
    // What is left goes with the square: arcs that are straight elements at rest.
    CHECK_SMALL(((4.0 * at[1] - at[0]) / 3.0 - row.tip).cwiseAbs().maxCoeff() / radius, 2e-6);
  }
}
