// SPDX-License-Identifier: MIT
// A rod under wires as mesh builds it, on two levels that nothing else joins: when it slides, and that what presses it on
// neither rolls it over nor rocks it off.
#include <Eigen/Geometry>
#include <catch2/catch.hpp>

#include "mesh/build/build.hpp"
#include "models/xml/native/embedded_library.hpp"
#include "solver/core/assemble.hpp"
#include "solver/core/friction.hpp"
#include "solver/core/stability.hpp"

using namespace opisthion;
using mesh::Vector3;
using mesh::Vector6;
using models::AnchorKind;
using models::Level;
using models::Side;

namespace {

const models::ParameterTable& library() {
  static const models::EmbeddedLibrary embedded = models::read_embedded_library();
  REQUIRE(embedded.findings.empty());
  return embedded.table;
}

/// Two rods under a wire a level, C3 to C6. C3 is one with C4 and C5 with C6 (on a wire alone a level could rock), and
/// nothing of the neck is left between the two pairs.
mesh::Mesh wired_levels(double tension_N, bool cross_linked) {
  models::Case c;
  c.neck.upper = Level::C3;
  c.neck.lower = Level::C6;
  c.bench.top = Level::C3;
  c.bench.bottom = Level::C6;
  models::Construct construct{.name = "wired"};
  for (const Side side : {Side::left, Side::right}) {
    models::Rod rod{.name = std::string(name(side)), .metal = models::Metal::stainless_steel};
    for (const Level level : {Level::C3, Level::C4, Level::C5, Level::C6}) {
      models::Anchor wire{.name = std::string(name(level)).append(" ").append(name(side)),
                          .kind = AnchorKind::sublaminar_wire,
                          .level = level,
                          .side = side};
      wire.tension_N = tension_N;
      rod.through.push_back({.anchor = wire.name});
      construct.anchors.push_back(wire);
    }
    construct.rods.push_back(rod);
  }
  if (cross_linked) construct.cross_links = {{.name = "link", .from = "left", .to = "right", .at = {Level::C4, Level::C5}}};
  auto built = mesh::build(c, construct, library(), {.rod_elements_per_span = 2});
  REQUIRE(built);
  mesh::Mesh m = std::move(*built);
  mesh::System& s = m.system;
  // The joint goes: laws and cushions between the two bones. Indices of friction's feeds move with it.
  const auto kind = [&](mesh::ItemId item) { return m.origins[item].kind; };
  const auto wired = [&](mesh::ItemId item) { return kind(item) == mesh::OriginKind::wire; };
  std::vector<int> strand_at(s.strands.size(), -1), pad_at(s.pads.size(), -1);
  std::vector<mesh::Strand> strands;
  std::vector<mesh::Pad> pads;
  for (std::size_t i = 0; i < s.strands.size(); ++i)
    if (wired(s.strands[i].item)) strand_at[i] = static_cast<int>(strands.size()), strands.push_back(s.strands[i]);
  for (std::size_t i = 0; i < s.pads.size(); ++i)
    if (wired(s.pads[i].item)) pad_at[i] = static_cast<int>(pads.size()), pads.push_back(s.pads[i]);
  s.strands = strands;
  s.pads = pads;
  s.rings.clear();
  s.axis_cushions.clear();
  for (const mesh::Cushion& cushion : s.cushions) REQUIRE(mesh::body(s, cushion.b).kind == mesh::BodyKind::metal);
  for (mesh::Slip& slip : s.slips)
    for (mesh::NormalForce& n : slip.normal) {
      n.index = (n.of == mesh::NormalForce::Of::strand ? strand_at : pad_at)[static_cast<std::size_t>(n.index)];
      REQUIRE(n.index >= 0);
    }
  REQUIRE(s.strands.size() == 8);
  REQUIRE(s.pads.size() == 8);
  std::vector<mesh::BodyId> bones;
  for (std::size_t i = 0; i < s.bodies.size(); ++i)
    if (s.bodies[i].kind == mesh::BodyKind::bone) bones.push_back({static_cast<int>(i)});
  REQUIRE(bones.size() == 4);
  for (const std::size_t i : {0U, 2U}) {
    mesh::Cushion one;
    one.a = bones[i];
    one.b = bones[i + 1];
    one.point_mm = mesh::body(s, one.a).position_mm;
    one.stiffness.diagonal() << 1e5, 1e5, 1e5, 1e7, 1e7, 1e7;
    s.cushions.push_back(one);
  }
  return m;
}

std::vector<core::CondensedComponent> condensed(const mesh::Mesh& m) {
  std::vector<core::CondensedComponent> parts;
  for (const mesh::Component& component : m.components) {
    core::CondenseOutcome part = core::condense(m.system, component);
    REQUIRE(part.regular);
    parts.push_back(std::move(part.component));
  }
  return parts;
}

/// Where the upper pair's wires hold the rods, in the middle, and the mean axis of the rods there, up.
struct Grip {
  Vector3 middle_mm = Vector3::Zero();
  Vector3 axis = Vector3::Zero();
};
Grip upper_grip(const mesh::Mesh& m) {
  Grip grip;
  int count = 0;
  for (const mesh::Slip& slip : m.system.slips) {
    const bool upper = slip.b == m.top || slip.b.value == m.top.value + 1;
    if (!upper || m.origins[slip.item].name.find("along itself") == std::string::npos) continue;
    grip.middle_mm += slip.a.point_mm;
    grip.axis += slip.direction.z() > 0.0 ? slip.direction : Vector3(-slip.direction);
    ++count;
  }
  REQUIRE(count == 4);
  return {grip.middle_mm / count, grip.axis.normalized()};
}

/// Whether C3 and C4, pushed along their rods in the middle between them, slide away from C5 and C6.
bool slides(const mesh::Mesh& m, const core::Assembly& assembly, double force_N) {
  mesh::BodyLoad load;
  const Grip grip = upper_grip(m);
  load.at = {m.top, grip.middle_mm};
  load.force_N = force_N * grip.axis;
  core::ReducedModel model = assembly.model;
  core::EquilibriumWorkspace work;
  const Eigen::VectorXd f = core::load_vector(m.system, model, std::vector{load});
  Eigen::VectorXd q = assembly.q;
  const core::EquilibriumOutcome outcome = core::solve_with_friction(model, f, {}, work, q);
  if (!outcome) return true;
  const core::StabilityOutcome stability = core::judge(model, f, q, {}, work);
  return stability.runaway || !stability.driven.empty();
}

double threshold(double tension_N, bool cross_linked) {
  const mesh::Mesh m = wired_levels(tension_N, cross_linked);
  const std::vector<core::CondensedComponent> parts = condensed(m);
  const core::Assembly assembly = core::assemble(m.system, m.components, parts);
  REQUIRE(assembly);
  REQUIRE(!assembly.buckles);
  double holds = 0.0, gives = 2000.0;
  for (int i = 0; i < 40; ++i) {
    const double middle = 0.5 * (holds + gives);
    (slides(m, assembly, middle) ? gives : holds) = middle;
  }
  return holds;
}

}  // namespace

TEST_CASE("wired levels without a joint slide on their rods at a load that is as their wires' tension") {
  // F = 2 T (mu_wire-rod + mu_rod-bone) a wire, four wires on the pair that slides.
  const models::ParameterReader number(library());
  const double both = number.scalar("friction.wire_on_rod") + number.scalar("friction.metal_on_bone");
  const double at_60 = threshold(60.0, false), at_120 = threshold(120.0, false);
  CAPTURE(at_60, at_120, both);
  CHECK(at_120 / at_60 == Approx(2.0).epsilon(0.001));
  CHECK(at_60 == Approx(4.0 * 2.0 * 60.0 * both).epsilon(0.005));
  CHECK(threshold(0.0, false) < 1e-3);
  // The rods splay a little, so that joined ones wedge as they slide: 2.3 % more. Parallel ones: see wires.cpp.
  CHECK(threshold(60.0, true) == Approx(at_60).epsilon(0.03));
}

TEST_CASE("what a wire presses a round rod on with neither rolls it over nor rocks it off") {
  // Tension T in both legs and 2 T in the pad, in balance. A round rod on a bed stays its radius off it whichever way it
  // rolls or rocks, and the loop hangs on the bone: no work, so no stiffness. Only sideways the legs, 2 T/L, draw it back.
  const mesh::Mesh m = wired_levels(100.0, false);
  const mesh::System& s = m.system;
  for (std::size_t i = 0; i < s.strands.size(); ++i) {
    const mesh::Strand& strand = s.strands[i];
    const mesh::BodyId rod = strand.path[1].body, bone = strand.path[0].body;
    const mesh::Pad& pad = s.pads[i];
    REQUIRE(pad.a.body == rod);
    REQUIRE(pad.b == bone);
    core::BlockList blocks;
    core::add_strand_prestress(strand, core::slides_of(s, static_cast<int>(i)), s, 100.0, blocks);
    core::add_pad_prestress(pad, s, 200.0, blocks);
    const auto stiffness = [&](const Vector3& slide, const Vector3& turn, const Vector3& about) {
      Vector6 motion;
      motion << slide + turn.cross(mesh::body(s, rod).position_mm - about), turn;
      double sum = 0.0;
      for (const core::BlockEntry& b : blocks)
        if (b.row == rod && b.column == rod) sum += motion.dot(b.block * motion);
      return sum;
    };
    const Vector3 outward = pad.global_from_surface.col(2), axis = pad.global_from_surface.col(0);
    const Vector3 sideways = outward.cross(axis);
    const Vector3 middle = 0.5 * (strand.path[1].point_mm + strand.path[2].point_mm);
    const double leg = (strand.path[1].point_mm - strand.path[0].point_mm).norm();
    CHECK(std::abs(stiffness(Vector3::Zero(), axis, middle)) < 1e-9);      // rolls in place
    CHECK(std::abs(stiffness(Vector3::Zero(), sideways, middle)) < 1e-9);  // rocks
    CHECK(std::abs(stiffness(Vector3::Zero(), outward, middle)) < 1e-9);   // yaws
    CHECK(std::abs(stiffness(axis, Vector3::Zero(), middle)) < 1e-9);      // slides along itself
    CHECK(stiffness(sideways, Vector3::Zero(), middle) == Approx(2.0 * 100.0 / leg));
  }
}
