// SPDX-License-Identifier: MIT
// Coulomb's closed forms where the normal force itself depends on the load; caps that settle; no cost without friction.
#include <catch2/catch.hpp>

#include "solver/core/assemble.hpp"
#include "solver/core/friction.hpp"
#include "solver/core/stability.hpp"
#include "tests/verification/frame_model.hpp"

using namespace opisthion;
using namespace opisthion::verification;

namespace {

/// A block on a plane (z up), held down by nothing: one pad, four slips 45 deg apart as system.hpp says.
struct Block {
  System system{};
  BodyId ground{}, block{};
};
Block block_on_plane(double mu, bool isotropic) {
  Block b;
  b.ground = add_bone(b.system, {0, 0, 0}, true);
  b.block = add_bone(b.system, {0, 0, 0}, false);
  b.system.neighbours.push_back({b.block, b.ground});
  mesh::Pad pad;
  pad.a = {b.block, {0, 0, 0}};
  pad.b = b.ground;
  pad.law = mesh::ToeLinear{.slack = 0.0, .toe = 0.0, .stiffness = 1000.0};
  b.system.pads.push_back(pad);
  const int count = isotropic ? 4 : 1;
  for (int i = 0; i < count; ++i) {
    const double angle = i * M_PI / 4;
    b.system.slips.push_back({.a = {b.block, {0, 0, 0}},
                              .b = b.ground,
                              .direction = {std::cos(angle), std::sin(angle), 0},
                              .turning = false,
                              .stiffness = isotropic ? 250.0 : 500.0,
                              .cap_per_N = isotropic ? mu / 2.514 : mu,
                              .normal = {{mesh::NormalForce::Of::pad, 0, 1.0}}});
  }
  return b;
}

struct Answer {
  core::EquilibriumOutcome outcome{};
  bool slides = false;
  Eigen::VectorXd q{};
  std::vector<int> at_cap{};
};
Answer pushed(const System& s, BodyId on, const Vector3& force) {
  core::ReducedModel model = core::reduce_nothing(s);
  core::EquilibriumWorkspace work;
  const Eigen::VectorXd f = core::load_vector(s, model, std::vector{load_at(s, on, force, {0, 0, 0})});
  Answer out{.q = Eigen::VectorXd::Zero(model.dofs)};
  out.outcome = core::solve_with_friction(model, f, {}, work, out.q);
  REQUIRE(out.outcome);
  const core::StabilityOutcome stability = core::judge(model, f, out.q, {}, work);
  out.slides = stability.runaway || !stability.driven.empty();
  out.at_cap = core::sliding(model, out.q);
  return out;
}

}  // namespace

TEST_CASE("a block pushed at less than the friction angle stays for any force, at more it slides for any") {
  for (const double mu : {0.1, 0.3, 0.7}) {
    const Block b = block_on_plane(mu, false);
    for (const double size : {0.5, 10.0, 1000.0})
      for (const double share : {0.5, 0.99, 1.01, 2.0}) {
        const double angle = std::atan(mu * share);
        const Answer a = pushed(b.system, b.block, {size * std::sin(angle), 0, -size * std::cos(angle)});
        CAPTURE(mu, size, share);
        CHECK(a.outcome.caps_settled);
        CHECK(a.slides == (share > 1.0));
        CHECK(a.at_cap.size() == (share > 1.0 ? 1U : 0U));
        if (share < 1.0) CHECK_RELATIVE(a.q[0], size * std::sin(angle) / 500.0, 1e-5);
      }
  }
}

TEST_CASE("four slips resist alike in every direction, within four per cent") {
  const double mu = 0.4, normal = 100.0;
  const Block b = block_on_plane(mu, true);
  double least = 1e9, most = 0.0;
  for (int i = 0; i < 24; ++i) {
    const double angle = i * M_PI / 24;
    double low = 0.5 * mu * normal, high = 1.5 * mu * normal;
    for (int k = 0; k < 14; ++k) {
      const double middle = 0.5 * (low + high);
      (pushed(b.system, b.block, {middle * std::cos(angle), middle * std::sin(angle), -normal}).slides ? high : low) =
          middle;
    }
    least = std::min(least, low / (mu * normal));
    most = std::max(most, low / (mu * normal));
  }
  CHECK(least > 0.96);
  CHECK(most < 1.04 + 1e-3);
  note_figure("isotropy of four slips, least", least, 1, 1 - least, 0.04);
  note_figure("isotropy of four slips, most", most, 1, most - 1, 0.041);
}

TEST_CASE("a wedge driven in presses on its faces as Coulomb says, though its caps follow that pressure") {
  // A block between two planes inclined by alpha to the vertical plane of symmetry, pressed down by F: each face gives
  // N sin(alpha) + T cos(alpha) = F/2. It is driven in by F; the faces' normals depend on T, so the caps must settle.
  // N = F/2 / (sin alpha + mu cos alpha) while it slides in (Coulomb).
  for (const double mu : {0.2, 0.6})
    for (const double alpha : {0.3, 0.8}) {
      System s;
      const BodyId ground = add_bone(s, {0, 0, 0}, true);
      const BodyId wedge = add_bone(s, {0, 0, 0}, false);
      s.neighbours.push_back({wedge, ground});
      for (const double side : {1.0, -1.0}) {
        const Vector3 normal(-side * std::cos(alpha), 0, std::sin(alpha));  // from the plane to the wedge
        const Vector3 along(-side * std::sin(alpha), 0, -std::cos(alpha));
        Matrix3 frame;
        frame << along, normal.cross(along), normal;
        const int index = static_cast<int>(s.pads.size());
        mesh::Pad pad;
        pad.a = {wedge, {0, 0, 0}};
        pad.b = ground;
        pad.global_from_surface = frame;
        pad.law = mesh::ToeLinear{.slack = 0.0, .toe = 0.0, .stiffness = 2000.0};
        s.pads.push_back(pad);
        s.slips.push_back({.a = {wedge, {0, 0, 0}},
                           .b = ground,
                           .direction = along,
                           .turning = false,
                           .stiffness = 1e6,
                           .cap_per_N = mu,
                           .normal = {{mesh::NormalForce::Of::pad, index, 1.0}}});
      }
      const Answer a = pushed(s, wedge, {0, 0, -100});
      CAPTURE(mu, alpha, a.outcome.friction_rounds, a.outcome.cap_change);
      CHECK(a.outcome.caps_settled);
      const core::ReducedModel m = core::reduce_nothing(s);
      const double n = core::respond(m.functionals[0].law, m.functionals[0].at(a.q)).force;
      CHECK(a.at_cap.size() == 2);
      CHECK_RELATIVE(n, 50.0 / (std::sin(alpha) + mu * std::cos(alpha)), 1e-5);
      note_figure("wedge: rounds until the caps settle", a.outcome.friction_rounds, 0, 0, 1);
    }
}

TEST_CASE("without friction the solve is the plain one, to the bit") {
  System s = block_on_plane(0.3, false).system;
  s.slips.clear();
  core::ReducedModel model = core::reduce_nothing(s);
  core::EquilibriumWorkspace work;
  const Eigen::VectorXd f = core::load_vector(s, model, std::vector{load_at(s, {1}, {0.01, 0, -30}, {5, 0, 0})});
  Eigen::VectorXd q = Eigen::VectorXd::Zero(6), r = q;
  const core::EquilibriumOutcome a = core::solve_with_friction(model, f, {}, work, q);
  const core::EquilibriumOutcome b = core::solve_equilibrium(model, f, {}, work, r);
  REQUIRE(a);
  REQUIRE(b);
  CHECK(q == r);
  CHECK(a.iterations == b.iterations);
  CHECK(a.friction_rounds == 1);
}

TEST_CASE("beyond its cap friction adds no stiffness at all") {
  const core::Friction friction{.functional = 0, .stiffness = 300.0, .cap_per_N = 0.5, .anchor = 1.7, .normal = {}};
  const mesh::ScalarLaw law = core::friction_law(friction, 12.0);
  const auto at = [&](double e) { return core::respond(law, 1.7 + e); };
  CHECK_RELATIVE(at(0.01).force, 3.0, 1e-12);
  CHECK_RELATIVE(at(0.01).stiffness, 300.0, 1e-12);
  for (const double e : {0.0401, 5.0}) {
    CHECK(at(e).force == 12.0);
    CHECK(at(e).stiffness == 0.0);
    CHECK(at(-e).force == -12.0);
    CHECK(at(-e).stiffness == 0.0);
  }
  for (const double e : {-3.0, 0.0, 3.0}) CHECK(core::respond(core::friction_law(friction, 0.0), e).force == 0.0);
}
