// SPDX-License-Identifier: MIT
// Buckling and sway from the tangent in finite rotation, by the product's Spectra (verification.md B10; DESIGN 4.5), and the
// trap of blocks that stand between plates: they are no pinned struts.
#include <Eigen/Cholesky>
#include <catch2/catch.hpp>

#include "mesh/system/component.hpp"
#include "solver/core/condense.hpp"
#include "solver/core/full/standing.hpp"
#include "tests/verification/full_models.hpp"

using namespace opisthion;
using namespace opisthion::verification;
using full::MomentKind;

namespace {

constexpr double kPi = std::numbers::pi;
constexpr double kLength_mm = 100.0;

/// A chain along x with no end held yet.
struct Column {
  System system{};
  std::vector<BodyId> nodes{};
  double axial_N = 0.0;
};
Column column(const mesh::Section& section, double length, int n) {
  Column c;
  const BodyId first = add_body(c.system, {0, 0, 0}, false);
  std::vector<Vector3> places;
  for (int i = 1; i <= n; ++i) places.push_back({length * i / n, 0, 0});
  c.nodes = add_chain(c.system, first, places, section, Vector3::UnitY());
  c.axial_N = section.axial_N;
  return c;
}

/// Straight and shortened by a dead thrust at its far end: an equilibrium, stable or not.
full::State compressed(const full::Model& model, const Column& c, double thrust_N) {
  full::State state = full::reference_state(model);
  for (full::Pose& pose : state.poses) pose.position_mm *= 1.0 - thrust_N / c.axial_N;
  return state;
}

enum class End { free, pinned, clamped };

/// Thrust at which the softest motion in the x-y plane has no stiffness left.
double buckles_at(const mesh::Section& section, int n, End first, End last, double guess_N) {
  const Column c = column(section, kLength_mm, n);
  const full::Model model = full::make_whole_model(c.system);
  const full::WorkspacePtr work = full::make_workspace(model);
  std::vector<int> held{unknown(model, c.nodes.front(), 0)};
  for (const BodyId node : c.nodes)
    for (const int out_of_plane : {2, 3, 4}) held.push_back(unknown(model, node, out_of_plane));
  const auto end = [&](BodyId node, End kind) {
    if (kind != End::free) held.push_back(unknown(model, node, 1));
    if (kind == End::clamped) held.push_back(unknown(model, node, 5));
  };
  end(c.nodes.front(), first);
  end(c.nodes.back(), last);
  const std::vector<int> keep = all_but(model, held);
  const full::LoadPath load = force_at(c.nodes.back(), {-1, 0, 0});
  return passes_zero([&](double thrust) { return softest(model, load, thrust, keep, *work, compressed(model, c, thrust)); },
                     0.5 * guess_N, 1.5 * guess_N);
}

/// Thin strip along x, deep in y, without shear: EI_z so large that it does not bend before it tips.
mesh::Section strip(double weak_Nmm2, double torsional_Nmm2) {
  mesh::Section s;
  s.axial_N = 1e6 * weak_Nmm2;
  s.bending_y_Nmm2 = weak_Nmm2;
  s.bending_z_Nmm2 = 1e7 * weak_Nmm2;
  s.torsional_Nmm2 = torsional_Nmm2;
  s.shear_y_N = s.shear_z_N = 1.0;
  return reference::without_shear(s);
}

/// Load at which a strip tips over sideways, in units of sqrt(EI_y GJ)/L^2 (force) or /L (moment).
double tips_at(const full::LoadPath& load, const Column& c, const std::vector<int>& held, double unit, double low,
               double high) {
  const full::Model model = full::make_whole_model(c.system);
  const full::WorkspacePtr work = full::make_workspace(model);
  std::vector<int> planar = held;
  for (const BodyId node : c.nodes)
    for (const int out_of_plane : {2, 3, 4}) planar.push_back(unknown(model, node, out_of_plane));
  const std::vector<int> in_plane = all_but(model, planar), keep = all_but(model, held);
  return passes_zero(
             [&](double factor) {
               full::State state = full::reference_state(model);
               balance(model, load, factor, in_plane, *work, state, 4);
               return softest(model, load, factor, keep, *work, state);
             },
             low * unit, high * unit) /
         unit;
}

std::vector<int> every(const full::Model& model, BodyId node) {
  std::vector<int> out;
  for (int i = 0; i < 6; ++i) out.push_back(unknown(model, node, i));
  return out;
}

/// Stiffness of one unknown with the others kept free: 1 over its flexibility.
double stiffness_of(const Eigen::MatrixXd& k, int unknown) {
  return 1.0 / k.inverse()(unknown, unknown);
}

}  // namespace

TEST_CASE("columns buckle at the loads of Euler and Engesser when their tangent loses its stiffness") {
  // Closed forms of B10 for the rod of 5.5 mm, inextensible: shortening before buckling would raise them by 2 P/EA. Without
  // shear B10 prints what a Hermite geometric stiffness overestimates, (kh)^4/720 with k the wave number: 5e-4 with four
  // elements a half-wave. With shear (Engesser P_E/(1 + P_E/kGA)) the shear force, which follows the deflection's slope, is
  // constant over an element: (kh)^2/12 of the share P/kGA comes to that (derived here; 7.8e-4 and 1.6e-3 in all).
  mesh::Section s = reference::rod_55();
  s.axial_N *= 1e6;
  struct Row {
    const char* name;
    End first, last;
    double euler_N, engesser_N, half_waves;
  };
  for (const Row& row : {Row{"pinned", End::pinned, End::pinned, 4876.55455629, 4849.28799973, 1},
                         Row{"clamped, free", End::clamped, End::free, 1219.13863907, 1217.42730277, 0.5},
                         Row{"clamped", End::clamped, End::clamped, 19506.21822515, 19077.15053196, 2}}) {
    CAPTURE(row.name);
    CHECK_RELATIVE(row.euler_N / (1.0 + row.euler_N / s.shear_y_N), row.engesser_N, 1e-9);
    double at[3];
    int i = 0;
    for (const int per_half_wave : {4, 8, 16}) {
      const int n = static_cast<int>(per_half_wave * row.half_waves);
      at[i] = buckles_at(s, n, row.first, row.last, row.engesser_N);
      const double kh = kPi / per_half_wave;
      const double over = std::pow(kh, 4) / 720.0 + kh * kh / 12.0 * row.euler_N / s.shear_y_N;
      CAPTURE(n, at[i], over);
      CHECK_RELATIVE(at[i], row.engesser_N * (1.0 + over), 0.1 * over);
      ++i;
    }
    CHECK_RELATIVE(extrapolated(at[1], at[2]), row.engesser_N, 1e-5);
  }
  const mesh::Section e = [] {
    mesh::Section rod = reference::without_shear(reference::rod_55());
    rod.axial_N *= 1e6;
    return rod;
  }();
  struct Printed {
    const char* name;
    End first, last;
    double euler_N;
    int n;
    double ratio;
  };
  for (const Printed& row : {Printed{"pinned", End::pinned, End::pinned, 4876.55455629, 1, 1.2158542},
                             Printed{"pinned", End::pinned, End::pinned, 4876.55455629, 2, 1.0075223},
                             Printed{"pinned", End::pinned, End::pinned, 4876.55455629, 4, 1.0005121},
                             Printed{"pinned", End::pinned, End::pinned, 4876.55455629, 8, 1.0000328},
                             Printed{"clamped, pinned", End::clamped, End::pinned, 9976.20424642, 4, 1.0020546},
                             Printed{"clamped, pinned", End::clamped, End::pinned, 9976.20424642, 8, 1.0001357},
                             Printed{"clamped", End::clamped, End::clamped, 19506.21822515, 4, 1.0075223}}) {
    const double ratio = buckles_at(e, row.n, row.first, row.last, row.euler_N) / row.euler_N;
    CAPTURE(row.name, row.n, ratio);
    note_figure("column against Euler's load", ratio, row.ratio, std::abs(ratio - row.ratio), 1e-6);
    CHECK_RELATIVE(ratio, row.ratio, 1e-6);
  }
}

TEST_CASE("a thin strip that is loaded at its end, or bent by moments, tips over sideways where theory says") {
  // Timoshenko & Gere, Theory of Elastic Stability (from memory, re-derived in B10): end load 4.0125993436 sqrt(EI_y
  // GJ)/L^2, simply supported under uniform moment pi sqrt(EI_y GJ)/L.
  const double weak = 2e5, torsional = 1.5e5;
  const double unit_N = std::sqrt(weak * torsional) / (kLength_mm * kLength_mm);
  const double unit_Nmm = unit_N * kLength_mm;
  const mesh::Section s = strip(weak, torsional);
  double at[2];
  int i = 0;
  for (const int n : {8, 16}) {
    const Column c = column(s, kLength_mm, n);
    const full::Model model = full::make_whole_model(c.system);
    at[i++] = tips_at(force_at(c.nodes.back(), {0, -1, 0}), c, every(model, c.nodes.front()), unit_N, 2.5, 5.5);
  }
  CAPTURE(at[0], at[1]);
  CHECK_RELATIVE(at[1], 4.0125993436, 1e-2);
  CHECK_RELATIVE(extrapolated(at[0], at[1]), 4.0125993436, 1e-3);

  // Uniform moment, ends free to turn in both planes and held in twist: what sets the kinds of moment apart is -[M]x/2 on
  // the end's rotations about x and y, of which the first is held. So it does not matter which kind.
  for (const MomentKind kind : {MomentKind::conservative, MomentKind::fixed_axis, MomentKind::following}) {
    i = 0;
    for (const int n : {8, 16}) {
      const Column c = column(s, kLength_mm, n);
      const full::Model model = full::make_whole_model(c.system);
      std::vector<int> held;
      for (const BodyId end : {c.nodes.front(), c.nodes.back()})
        for (const int k : {1, 2, 3}) held.push_back(unknown(model, end, k));
      held.push_back(unknown(model, c.nodes.front(), 0));
      full::LoadPath load = moment_at(c.nodes.back(), {0, 0, 1}, kind);
      load.growing.moments.push_back({.body = c.nodes.front(), .moment_Nmm = {0, 0, -1}, .kind = kind});
      at[i++] = tips_at(load, c, held, unit_Nmm, 2.0, 5.0);
    }
    CAPTURE(static_cast<int>(kind), at[0], at[1]);
    CHECK_RELATIVE(at[1], kPi, 1e-2);
    CHECK_RELATIVE(extrapolated(at[0], at[1]), kPi, 1e-3);
  }
}

TEST_CASE("the sway of a rod under axial load falls as theory says, and condensed nearly so") {
  // One rod of 3.5 mm titanium, 100 mm, both ends held against turning, one free to sway, 150 N along it. Beam-column theory
  // with shear (Engesser: Q = kGA (w' - theta) = S + P w', EI theta'' = -Q, theta = 0 at both ends) gives for the sway S/w
  //   1/stiffness = a L ((tan h/h - 1)/P + 1/kGA),  a = 1/(1 - P/kGA),  h = (L/2) sqrt(a P/EI)
  // and L^3/12EI + L/kGA unloaded: 0.8145 of it is left (derived here). DESIGN 4.5 prints 0.815.
  const mesh::Section s = reference::rod_35();
  const double thrust = 150.0;
  const double ei = s.bending_z_Nmm2, kga = s.shear_y_N;
  const double a = 1.0 / (1.0 - thrust / kga);
  const double h = 0.5 * kLength_mm * std::sqrt(a * thrust / ei);
  const double theory = (std::pow(kLength_mm, 3) / (12.0 * ei) + kLength_mm / kga) /
                        (a * kLength_mm * ((std::tan(h) / h - 1.0) / thrust + 1.0 / kga));
  CHECK(theory == Approx(0.815).margin(0.001));

  const auto ratio = [&](const full::Model& model, const Column& c) {
    const full::WorkspacePtr work = full::make_workspace(model);
    std::vector<int> held = every(model, c.nodes.front());
    for (const int k : {3, 4, 5}) held.push_back(unknown(model, c.nodes.back(), k));
    const std::vector<int> keep = all_but(model, held);
    int sway = -1;
    for (std::size_t i = 0; i < keep.size(); ++i)
      if (keep[i] == unknown(model, c.nodes.back(), 1)) sway = static_cast<int>(i);
    double at[2];
    for (const int loaded : {0, 1}) {
      full::State state = full::reference_state(model);
      const full::LoadPath load = force_at(c.nodes.back(), {-1, 0, 0});
      CHECK(balance(model, load, loaded * thrust, keep, *work, state) < 1e-6);
      Eigen::MatrixXd k;
      full::tangent_at(model, load, loaded * thrust, 1.0, state, *work, k);
      at[loaded] = stiffness_of(k(keep, keep), sway);
    }
    return at[1] / at[0];
  };
  double whole[2];
  int i = 0;
  for (const int n : {8, 16}) {
    const Column c = column(s, kLength_mm, n);
    whole[i++] = ratio(full::make_whole_model(c.system), c);
  }
  CAPTURE(whole[0], whole[1]);
  CHECK_RELATIVE(whole[0], theory, 5e-4);  // of which 3e-4 is that the rod is shortened by 150 N
  CHECK_RELATIVE(extrapolated(whole[0], whole[1]), theory, 5e-4);

  // Condensed to its ends, in the gauge frame: positions are in the fit, so the P-delta of the chord is there, 0.847 with a
  // gauge length of 10 mm (DESIGN 4.5) and about that with 0.15 of the ports' rms distance, 7.5 mm.
  Column c = column(s, kLength_mm, 8);
  for (const BodyId end : {c.nodes.front(), c.nodes.back()})
    c.system.bodies[static_cast<std::size_t>(end.value)].port = true;
  const std::vector<mesh::Component> components = mesh::find_components(c.system);
  std::vector<core::CondensedComponent> parts;
  for (const mesh::Component& component : components) parts.push_back(core::condense(c.system, component).component);
  full::Model condensed = full::make_model(c.system, components, parts);
  REQUIRE(condensed.components == 1);
  const double own = ratio(condensed, c);
  for (full::GaugePort& port : condensed.linear.front().ports) port.rotation_weight_mm2 = 100.0;
  const double ten = ratio(condensed, c);
  note_figure("sway under 150 N, theory", theory, 0.815, std::abs(theory - 0.815), 2e-3);
  note_figure("sway under 150 N, 8 beams", whole[0], theory, std::abs(whole[0] - theory), 5e-4);
  note_figure("sway under 150 N, gauge as built", own, 0.847, std::abs(own - 0.847), 5e-3);
  note_figure("sway under 150 N, gauge of 10 mm", ten, 0.847, std::abs(ten - 0.847), 2e-3);
  CHECK(ten == Approx(0.847).margin(0.002));
  CHECK(own == Approx(0.847).margin(0.005));
}

namespace {

/// A block between two plates, four pads on each, pressed together by their laws; the upper plate only shears on a spring.
struct Sandwich {
  System system{};
  BodyId lower{}, upper{}, block{};
};
constexpr double kShear_N_per_mm = 5.0;
constexpr double kHeight_mm = 10.0;
Sandwich sandwich(double thrust_N, double friction) {
  Sandwich w;
  System& s = w.system;
  w.lower = add_bone(s, {0, 0, 0}, true);
  w.upper = add_bone(s, {0, 0, kHeight_mm}, false);
  w.block = add_bone(s, {0, 0, 0.5 * kHeight_mm}, false);
  s.neighbours.push_back({w.block, w.lower});
  Matrix6 shear = Matrix6::Zero();
  shear.diagonal() << kShear_N_per_mm, kShear_N_per_mm, 0, 0, 0, 1e5;
  s.cushions.push_back({.a = w.lower, .b = w.upper, .point_mm = {0, 0, 0.5 * kHeight_mm}, .stiffness = shear});
  for (const bool top : {false, true})
    for (const double x : {-4.0, 4.0})
      for (const double y : {-4.0, 4.0}) {
        mesh::Pad pad;
        const Vector3 at(x, y, top ? kHeight_mm : 0.0);
        pad.a = {w.block, at};
        pad.b = top ? w.upper : w.lower;
        pad.vertex_mm = at;
        pad.global_from_surface = top ? Matrix3(Vector3(1, -1, -1).asDiagonal()) : Matrix3(Matrix3::Identity());
        pad.law = mesh::ToeLinear{.slack = -thrust_N / 4.0 / 2000.0, .toe = 0.0, .stiffness = 2000.0};
        const int index = static_cast<int>(s.pads.size());
        s.pads.push_back(pad);
        if (friction <= 0.0) continue;
        for (const Vector3& along : {Vector3(1, 0, 0), Vector3(0, 1, 0)})
          s.slips.push_back({.a = pad.a,
                             .b = pad.b,
                             .direction = along,
                             .stiffness = 300.0,
                             .cap_per_N = friction,
                             .normal = {{mesh::NormalForce::Of::pad, index, 1.0}}});
      }
  return w;
}

}  // namespace

TEST_CASE("a block pressed between two plates does not buckle like a pinned strut, with friction or without") {
  // Two pinned struts of half the height each would take N/(h/2) each off the shear stiffness of the stack: with 200 N on
  // 10 mm that is more than there is. A block that stands on faces is none: flat faces slide without work, so the upper
  // plate, kept level, has the shear spring's stiffness whatever the thrust, and with friction that of the slips in series
  // besides. (Not kept level, a block without friction is squeezed out like a pip: that is no strut, and friction ends it.)
  for (const double thrust : {1.0, 200.0, 800.0})
    for (const double mu : {0.0, 0.4}) {
      const Sandwich w = sandwich(thrust, mu);
      const full::Model model = full::make_whole_model(w.system);
      const full::WorkspacePtr work = full::make_workspace(model);
      full::LoadPath load;
      load.constant.forces.push_back({.body = w.upper, .force_N = {0, 0, -thrust}});
      full::State state = full::reference_state(model);
      std::vector<int> level;
      for (const int i : {3, 4, 5}) level.push_back(unknown(model, w.upper, i));
      const std::vector<int> keep = all_but(model, level);
      CAPTURE(thrust, mu);
      if (mu == 0.0) {
        CHECK(balance(model, load, 0.0, keep, *work, state) < 1e-9);
      } else {
        const full::SolveOutcome outcome = full::solve(model, load, 0.0, {}, *work, state);
        CAPTURE(outcome.residual, outcome.iterations);
        REQUIRE(outcome);
        CHECK(outcome.positive);
        CHECK(outcome.branches == 0);
      }
      CHECK(softest(model, load, 0.0, keep, *work, state) > 0.0);
      Eigen::MatrixXd k;
      full::tangent_at(model, load, 0.0, 1.0, state, *work, k);
      for (const int way : {0, 1}) {
        int at = -1;
        for (std::size_t i = 0; i < keep.size(); ++i)
          if (keep[i] == unknown(model, w.upper, way)) at = static_cast<int>(i);
        const double lateral = stiffness_of(k(keep, keep), at);
        if (mu == 0.0) {
          CHECK_RELATIVE(lateral, kShear_N_per_mm, 1e-3);  // regularisation alone holds the block
        } else {
          // Eight slips of 300 N/mm in two faces in series, the block's rocking on its pads besides.
          CHECK(lateral > kShear_N_per_mm + 400.0);
          CHECK(lateral < kShear_N_per_mm + 600.0 + 1e-6);
        }
      }
    }
}

TEST_CASE(
    "a column under a thrust that follows its end bends out at no load, under one that keeps its direction at Euler's") {
  // Beck's column: no equilibrium beside the straight one at any thrust (it flutters at 20.05 EI/L^2, where inertia comes
  // in: Beck, ZAMP 3 (1952) 225, from memory), although the symmetric part of the tangent loses its definiteness. The
  // following thrust is the dead one and what its turning with the end adds: [F]x on the end's place by its rotation.
  const double bending = 2e5;
  const mesh::Section s = planar(1e4 * bending / (kLength_mm * kLength_mm), bending);
  const Column c = column(s, kLength_mm, 12);
  const full::Model model = full::make_whole_model(c.system);
  const full::WorkspacePtr work = full::make_workspace(model);
  std::vector<int> held;
  for (int k = 0; k < 6; ++k) held.push_back(unknown(model, c.nodes.front(), k));
  const std::vector<int> keep = all_but(model, held);
  std::vector<double> scale;
  for (const int i : keep) scale.push_back(model.dof_scale[static_cast<std::size_t>(i)]);
  const int tip = unknown(model, c.nodes.back(), 0);
  const double unit_N = bending / (kLength_mm * kLength_mm);
  const auto tangent = [&](double thrust_N, bool follows) -> Eigen::MatrixXd {
    Eigen::MatrixXd k;
    full::tangent_at(model, force_at(c.nodes.back(), {-1, 0, 0}), thrust_N, 1.0, compressed(model, c, thrust_N), *work, k);
    if (follows) k.block<3, 3>(tip, tip + 3) += full::cross_matrix(Vector3(-thrust_N, 0, 0));
    return k(keep, keep);
  };
  const auto standing = [&](double factor, bool follows) {
    return full::standing_of(tangent(factor * unit_N, follows), scale).standing;
  };
  const double euler = kPi * kPi / 4.0;
  CHECK(standing(0.999 * euler, false) == full::Standing::stands);
  CHECK(standing(1.001 * euler, false) == full::Standing::diverges);
  bool symmetric_part_lost = false;
  for (double factor = 1.0; factor < 60.0; factor += 1.0) {
    const Eigen::MatrixXd k = tangent(factor * unit_N, true);
    const Eigen::MatrixXd symmetric = 0.5 * (k + k.transpose());
    symmetric_part_lost = symmetric_part_lost || Eigen::LLT<Eigen::MatrixXd>(symmetric).info() != Eigen::Success;
    INFO(factor << " EI/L^2");
    CHECK(full::standing_of(k, scale).standing != full::Standing::diverges);
  }
  CHECK(symmetric_part_lost);
}
