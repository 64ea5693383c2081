// SPDX-License-Identifier: MIT
// Every grip at every level it is put in, and the metal that joins grips.
#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <random>
#include <set>

#include "mesh/build/hardware.hpp"
#include "mesh/build/lamina.hpp"
#include "mesh/build/section.hpp"
#include "mesh/build/wired_rod.hpp"
#include "models/hardware/occiput_surface.hpp"
#include "solver/core/condense.hpp"
#include "tests/support/example.hpp"
#include "tests/unit/mesh/metal_samples.hpp"

using namespace opisthion;
using mesh::BuildComplaint;
using mesh::OriginKind;
using mesh::Vector3;
using models::Anchor;
using models::AnchorKind;
using models::AnchorState;
using models::Level;
using models::Side;
using tests::built;
using tests::complaints;

namespace {

std::vector<Anchor> every_grip(Side side) {
  std::vector<Anchor> all;
  for (int k = 0; k < models::kAnchorKindCount; ++k)
    for (int l = 0; l < models::kLevelCount; ++l) {
      const auto kind = static_cast<AnchorKind>(k);
      const auto level = static_cast<Level>(l);
      if (models::sits_at(kind, level)) all.push_back(tests::anchor(kind, level, side));
    }
  return all;
}

/// The metal's linear part on the bones, its other ports condensed away as well: six rows a bone, in the order of `bones`.
struct OnBones {
  std::vector<mesh::BodyId> bones{};
  Eigen::MatrixXd stiffness{};
};
OnBones on_bones(mesh::System system) {
  for (mesh::Body& b : system.bodies) b.port = b.kind == mesh::BodyKind::bone;
  std::set<mesh::BodyId> bones;
  std::vector<core::CondensedComponent> parts;
  for (const mesh::Component& component : mesh::find_components(system)) {
    const core::CondenseOutcome outcome = core::condense(system, component);
    REQUIRE(outcome.regular);
    parts.push_back(outcome.component);
    bones.insert(component.ports.begin(), component.ports.end());
  }
  OnBones all{.bones = {bones.begin(), bones.end()}};
  const auto n = static_cast<Eigen::Index>(6 * bones.size());
  all.stiffness = Eigen::MatrixXd::Zero(n, n);
  const auto place = [&](mesh::BodyId id) {
    return 6 * (std::find(all.bones.begin(), all.bones.end(), id) - all.bones.begin());
  };
  for (const core::CondensedComponent& part : parts)
    for (std::size_t i = 0; i < part.ports.size(); ++i)
      for (std::size_t j = 0; j < part.ports.size(); ++j)
        all.stiffness.block<6, 6>(place(part.ports[i]), place(part.ports[j])) +=
            part.stiffness.block<6, 6>(6 * static_cast<Eigen::Index>(i), 6 * static_cast<Eigen::Index>(j));
  return all;
}

/// y of translations and x, z of rotations change their sign in the midsagittal plane.
mesh::Vector6 mirror() {
  mesh::Vector6 m;
  m << 1, -1, 1, -1, 1, -1;
  return m;
}

/// Rotations at 20 mm, so that all entries are of one kind.
Eigen::VectorXd scales(Eigen::Index n) {
  Eigen::VectorXd s(n);
  for (Eigen::Index i = 0; i < n; ++i) s[i] = i % 6 < 3 ? 1.0 : 1.0 / 20.0;
  return s;
}

double mirror_error(const OnBones& left, const OnBones& right) {
  REQUIRE(left.bones == right.bones);
  const Eigen::Index n = left.stiffness.rows();
  const Eigen::VectorXd s = scales(n);
  const Eigen::VectorXd m = mirror().replicate(n / 6, 1);
  const Eigen::MatrixXd a = s.asDiagonal() * left.stiffness * s.asDiagonal();
  const Eigen::MatrixXd b = s.cwiseProduct(m).asDiagonal() * right.stiffness * s.cwiseProduct(m).asDiagonal();
  return (a - b).norm() / std::max(1.0, a.norm());  // nothing to resist with: 1 N/mm
}

/// The worst force on any bone when all bones move as one, against that of the stiffest entry (or of a lock, 50000 N/mm,
/// where metal hangs on one bone and resists nothing) under the same motion.
double rigid_error(const mesh::System& system, const OnBones& part) {
  double worst = 0.0;
  for (int k = 0; k < 6; ++k) {
    const Vector3 unit = Vector3::Unit(k % 3);
    const tests::Motions q =
        k < 3 ? tests::rigid(system, unit, Vector3::Zero()) : tests::rigid(system, Vector3::Zero(), unit);
    Eigen::VectorXd at_bones(part.stiffness.rows());
    for (std::size_t i = 0; i < part.bones.size(); ++i)
      at_bones.segment<6>(6 * static_cast<Eigen::Index>(i)) = q[static_cast<std::size_t>(part.bones[i].value)];
    const Eigen::VectorXd s = scales(at_bones.size());
    const double stiffest = std::max(50000.0, (s.asDiagonal() * part.stiffness).cwiseAbs().rowwise().sum().maxCoeff());
    const double reference = stiffest * at_bones.cwiseAbs().maxCoeff();
    worst = std::max(worst, s.cwiseProduct(part.stiffness * at_bones).cwiseAbs().maxCoeff() / reference);
  }
  return worst;
}

/// The laws that the metal brought along: those beyond what the bare neck has.
struct Laws {
  std::vector<mesh::Strand> strands{};
  std::vector<mesh::Pad> pads{};
  std::vector<mesh::Slip> slips{};
};
Laws laws_of_metal(const models::Case& c, const mesh::Mesh& m) {
  const mesh::System bare = built(c, {.name = "none"}).system;
  const auto beyond = [](const auto& all, std::size_t from) {
    return std::decay_t<decltype(all)>(all.begin() + static_cast<std::ptrdiff_t>(from), all.end());
  };
  return {beyond(m.system.strands, bare.strands.size()), beyond(m.system.pads, bare.pads.size()), m.system.slips};
}

std::vector<double> strains(const mesh::System& s, const Laws& laws, const tests::Motions& q) {
  std::vector<double> all;
  for (const mesh::Strand& strand : laws.strands) all.push_back(tests::elongation(s, strand, q));
  for (const mesh::Pad& pad : laws.pads) all.push_back(tests::closing(s, pad, q));
  for (const mesh::Slip& slip : laws.slips) all.push_back(tests::sliding(s, slip, q));
  return all;
}

double largest(const std::vector<double>& values) {
  double most = 0.0;
  for (const double v : values) most = std::max(most, std::abs(v));
  return most;
}

/// Every law of the metal on the right sees of a motion what its twin on the left sees of the mirrored one.
double law_mirror_error(const models::Case& c, const mesh::Mesh& left, const mesh::Mesh& right) {
  REQUIRE(left.system.bodies.size() == right.system.bodies.size());
  std::mt19937 random(7);  // numbers straight from the engine: equal everywhere
  tests::Motions q, mirrored;
  for (std::size_t b = 0; b < left.system.bodies.size(); ++b) {
    mesh::Vector6 one;
    for (int i = 0; i < 6; ++i) one[i] = (static_cast<double>(random()) / 4294967296.0 - 0.5) * (i < 3 ? 1.0 : 0.05);
    q.push_back(one);
    mirrored.push_back(one.cwiseProduct(mirror()));
  }
  const Laws on_left = laws_of_metal(c, left);
  const Laws on_right = laws_of_metal(c, right);
  std::vector<double> a = strains(left.system, on_left, q);
  std::vector<double> b = strains(right.system, on_right, mirrored);
  REQUIRE(a.size() == b.size());
  // The middle direction of an isotropic set may change place with its mirror image, and a slip has no sense.
  for (double& v : a) v = std::abs(v);
  for (double& v : b) v = std::abs(v);
  std::sort(a.begin(), a.end());
  std::sort(b.begin(), b.end());
  double worst = 0.0;
  for (std::size_t i = 0; i < a.size(); ++i) worst = std::max(worst, std::abs(a[i] - b[i]));
  return worst;
}

int count(const mesh::Mesh& m, OriginKind kind) {
  int n = 0;
  for (std::size_t i = 0; i < m.system.bodies.size(); ++i) n += m.origins[m.system.bodies[i].item].kind == kind ? 1 : 0;
  return n;
}

}  // namespace

TEST_CASE("every grip builds at every level it sits at, passes rigid motion, and is the mirror image of its twin") {
  int grips = 0;
  for (const Anchor& left : every_grip(Side::left)) {
    CAPTURE(left.name);
    const auto twin = tests::anchor(left.kind, left.level, Side::right);
    const auto sample = tests::minimal(left);
    const mesh::Mesh m = built(sample);
    const mesh::Mesh other = built(tests::minimal(twin));
    const OnBones linear = on_bones(m.system);
    CHECK(linear.bones.size() >= 1);
    CHECK(rigid_error(m.system, linear) < 1e-8);
    const Laws laws = laws_of_metal(sample.first, m);
    for (int k = 0; k < 3; ++k) {
      CHECK(largest(strains(m.system, laws, tests::rigid(m.system, Vector3::Unit(k), Vector3::Zero()))) < 1e-8);
      // Arms of up to 150 mm: 1e-8 of that.
      CHECK(largest(strains(m.system, laws, tests::rigid(m.system, Vector3::Zero(), Vector3::Unit(k)))) < 1e-6);
    }
    ++grips;
    if (left.kind == AnchorKind::laminar) continue;  // the two cross at different heights
    CHECK(mirror_error(linear, on_bones(other.system)) < 1e-9);
    if (left.kind != AnchorKind::keel) CHECK(law_mirror_error(sample.first, m, other) < 1e-9);
  }
  CHECK(grips == 44);
}

TEST_CASE("a loose screw stands in a worn hole with play, its bed softer by the library's loss") {
  const auto at = [](AnchorState state) {
    Anchor screw = tests::anchor(AnchorKind::pars, Level::C2, Side::left);
    screw.state = state;
    models::Construct construct = tests::one_sided(AnchorKind::pars);
    construct.anchors[1] = screw;
    return built(tests::two_levels(Level::C1, Level::C2), construct);
  };
  const auto beds = [](const mesh::Mesh& m) {
    std::vector<mesh::Foundation> all;
    for (const mesh::Beam& b : m.system.beams)
      if (b.bone.valid() && m.origins[b.item].name.find("C2") == 0) all.push_back(b.foundation);
    return all;
  };
  const mesh::Mesh sound = at(AnchorState::sound);
  const mesh::Mesh loose = at(AnchorState::loose);
  REQUIRE(count(loose, OriginKind::worn_hole) == 1);
  CHECK(count(sound, OriginKind::worn_hole) == 0);
  for (std::size_t i = 0; i < beds(sound).size(); ++i) {
    CHECK(beds(loose)[i].lateral_MPa == Approx(0.6 * beds(sound)[i].lateral_MPa));
    CHECK(beds(loose)[i].axial_MPa == Approx(0.6 * beds(sound)[i].axial_MPa));
  }
  // Sideways: nothing within 0.3 mm, the wall beyond.
  for (const mesh::AxisCushion& play : loose.system.axis_cushions) {
    if (loose.origins[play.item].kind != OriginKind::worn_hole) continue;
    const auto& sideways = std::get<mesh::Polygon>(play.laws[1]);
    CHECK(sideways.count == 2);
    CHECK(sideways.at[0] == Approx(-0.3));
    CHECK(sideways.at[1] == Approx(0.3));
    CHECK(sideways.value[0] == 0.0);
    CHECK(sideways.value[1] == 0.0);
    CHECK(sideways.slope_above == Approx(20000.0));
    // Along the screw's axis it is held: the thread is still in its groove. Tilted, it touches at both mouths.
    const models::Anchor pars = tests::anchor(AnchorKind::pars, Level::C2, Side::left);
    const models::ParameterReader number(tests::library());
    const models::Trajectory path = models::trajectory(pars, tests::two_levels(Level::C1, Level::C2).neck, number);
    CHECK((play.global_from_cushion.col(0) - path.into_bone).norm() < 1e-9);
    double embedded = 0.0;
    for (const models::AnchorLayer& layer : path.layers) embedded += layer.length_mm;
    const auto& tilt = std::get<mesh::Polygon>(play.laws[4]);
    CHECK(tilt.at[1] == Approx(0.3 / (0.5 * embedded)));
    CHECK(tilt.slope_above == Approx(20000.0 * 0.25 * embedded * embedded));
  }
  // The worn hole still counts as its bone: the construct holds C1 to C2, so it was built.
  CHECK(loose.components.size() == 1);
  const mesh::Mesh stripped = at(AnchorState::stripped);
  for (std::size_t i = 0; i < beds(sound).size(); ++i) {
    CHECK(beds(stripped)[i].axial_MPa == Approx(0.1 * beds(sound)[i].axial_MPa));
    CHECK(beds(stripped)[i].lateral_MPa == Approx(0.7 * beds(sound)[i].lateral_MPa));
    CHECK(beds(stripped)[i].torsional_N == Approx(0.1 * beds(sound)[i].torsional_N));
  }
}

TEST_CASE("a lag screw glides in the near bone and its head presses out of it with the lag") {
  Anchor screw = tests::anchor(AnchorKind::transarticular, Level::C2, Side::left);
  screw.lag_N = 150.0;
  const mesh::Mesh m = built(tests::minimal(screw));
  REQUIRE(laws_of_metal(tests::minimal(screw).first, m).pads.size() == 1);
  const mesh::Pad& head = m.system.pads.back();
  CHECK(head.tighten_N == 150.0);
  CHECK(m.origins[mesh::body(m.system, head.b).item].name == "C2");
  const models::ParameterReader number(tests::library());
  const auto path = models::trajectory(screw, {}, number);
  CHECK(head.global_from_surface.col(2).dot(path.into_bone) == Approx(-1.0));
  CHECK(mesh::body(m.system, head.a.body).port);
  for (const mesh::Beam& b : m.system.beams) {
    if (!b.bone.valid()) continue;
    const bool near = m.origins[mesh::body(m.system, b.bone).item].name == "C2";
    CHECK((b.foundation.axial_MPa == 0.0) == near);
    CHECK(b.foundation.lateral_MPa > 0.0);
  }
}

TEST_CASE("a wire on a rod is one loop of equal tension that pulls only, and lets the rod turn and slide but for friction") {
  Anchor wire = tests::anchor(AnchorKind::sublaminar_wire, Level::C3, Side::left);
  wire.tension_N = 80.0;
  const auto sample = tests::minimal(wire);
  const mesh::Mesh m = built(sample);
  const Laws laws = laws_of_metal(sample.first, m);
  REQUIRE(laws.strands.size() == 1);
  REQUIRE(laws.pads.size() == 1);
  REQUIRE(laws.slips.size() == 3);
  const mesh::Strand& loop = laws.strands[0];
  CHECK(loop.tighten_N == 80.0);
  const auto& law = std::get<mesh::ToeLinear>(loop.law);
  CHECK(law.toe == 0.0);
  CHECK(law.slack == 0.0);
  REQUIRE(loop.path.size() == 4);
  const mesh::BodyId rod = loop.path[1].body;
  const mesh::BodyId bone = loop.path[0].body;
  CHECK(loop.path[2].body == rod);
  CHECK(loop.path[3].body == bone);
  CHECK(mesh::body(m.system, rod).port);
  const auto alone = [&](const Vector3& slide, const Vector3& turn) {
    tests::Motions q(m.system.bodies.size(), mesh::Vector6::Zero());
    q[static_cast<std::size_t>(rod.value)] << slide, turn;
    return q;
  };
  const mesh::Slip& along = laws.slips[0];
  const Vector3 axis = along.direction;
  const Vector3 out = laws.pads[0].global_from_surface.col(2);
  const Vector3 up_the_legs = (loop.path[1].point_mm - loop.path[0].point_mm).normalized();
  CHECK(std::abs(up_the_legs.dot(axis)) < 1e-12);  // in the plane across the rod
  CHECK((up_the_legs - out).norm() < 1e-12);       // it pulls straight down on what it lies on
  // Lifting the rod by 1 mm takes 2 mm of wire; pressing it down gives wire back: the strand goes slack.
  CHECK(tests::elongation(m.system, loop, alone(up_the_legs, Vector3::Zero())) == Approx(2.0));
  CHECK(tests::elongation(m.system, loop, alone(-up_the_legs, Vector3::Zero())) == Approx(-2.0));
  CHECK(tests::closing(m.system, laws.pads[0], alone(-out, Vector3::Zero())) == Approx(1.0));
  CHECK(std::abs(tests::elongation(m.system, loop, alone(axis, Vector3::Zero()))) < 1e-9);
  CHECK(std::abs(tests::elongation(m.system, loop, alone(Vector3::Zero(), axis))) < 1e-9);
  // F = 2 T (mu_wire-rod + mu_rod-bone): 80 N and 0.3 + 0.3 give 96 N.
  REQUIRE(along.normal.size() == 1);
  CHECK(along.normal[0].of == mesh::NormalForce::Of::strand);
  CHECK(along.cap_per_N * along.normal[0].weight * 80.0 == Approx(96.0));
  // Sideways it rubs on the bone alone, which presses with 2 T.
  REQUIRE(laws.slips[1].normal.size() == 1);
  CHECK(laws.slips[1].normal[0].of == mesh::NormalForce::Of::pad);
  CHECK(laws.slips[1].cap_per_N * laws.slips[1].normal[0].weight == Approx(0.3));
  CHECK(std::abs(laws.slips[1].direction.dot(axis)) + std::abs(laws.slips[1].direction.dot(out)) < 1e-12);
  CHECK(laws.slips[2].turning);
  CHECK(laws.slips[2].cap_per_N * 2.0 * 80.0 == Approx(2.0 * 80.0 * 0.3 * 1.75));
  // C3 of verification.md: two legs of a doubled wire of 1 mm, 25 mm long, steel of 193 GPa: k = 2 EA/L = 24253.095286 N/mm.
  // Here k is per elongation of the whole loop of 50 mm, a quarter of that.
  const models::Case c = sample.first;
  const models::ParameterReader number(tests::library());
  mesh::Assembly assembly(c, number);
  CHECK(4.0 * mesh::strand_stiffness(assembly, 1.0, 50.0, 0.0) == Approx(24253.095286));
  // It passes in front of the lamina.
  CHECK((loop.path[1].point_mm - loop.path[0].point_mm).norm() ==
        Approx(1.75 + mesh::lamina(assembly, Level::C3, Side::left).thickness_mm));
}

TEST_CASE("a rod under an occipital wire lies on the outside of the skull") {
  const Anchor wire = tests::anchor(AnchorKind::occipital_wire, Level::C0, Side::left);
  const auto sample = tests::minimal(wire);
  const mesh::Mesh m = built(sample);
  const Laws laws = laws_of_metal(sample.first, m);
  const models::OcciputPoint surface = models::occiput_surface(wire, models::ParameterReader(tests::library()));
  REQUIRE(!laws.slips.empty());
  CHECK((laws.slips[0].a.point_mm - surface.point_mm).norm() < 0.2);  // square to the rod, which leans a little
}

TEST_CASE("a slack wire is not tightened, and a wire or hook without a rod holds nothing") {
  Anchor wire = tests::anchor(AnchorKind::sublaminar_wire, Level::C3, Side::left);
  wire.tension_N = 0.0;
  const auto sample = tests::minimal(wire);
  CHECK(laws_of_metal(sample.first, built(sample)).strands[0].tighten_N == 0.0);
  models::Construct lone{.name = "lone", .anchors = {wire}};
  CHECK(complaints(sample.first, lone)[0].code == BuildComplaint::Code::nothing_held);
  lone.anchors = {tests::anchor(AnchorKind::hook, Level::C2, Side::left)};
  CHECK(complaints(tests::two_levels(Level::C1, Level::C2), lone)[0].code == BuildComplaint::Code::nothing_held);
}

TEST_CASE("a rod that wires alone hold is built when it spans two levels, and is idle on one") {
  models::Construct wired{.name = "wired"};
  for (const Level level : {Level::C1, Level::C2, Level::C3})
    wired.anchors.push_back(tests::anchor(AnchorKind::sublaminar_wire, level, Side::left));
  wired.rods = {
      {.name = "left",
       .through = {
           {.anchor = wired.anchors[0].name}, {.anchor = wired.anchors[1].name}, {.anchor = wired.anchors[2].name}}}};
  const mesh::Mesh m = built(tests::two_levels(Level::C1, Level::C3), wired);
  REQUIRE(m.components.size() == 1);
  CHECK(m.components[0].ports.size() == 3);  // three wired nodes, no bone
  CHECK_FALSE(m.components[0].locked_last);
  CHECK(m.program.assembly.empty());  // nothing to lock
  // On the lamina: it rubs a rod's radius off its centre, and what presses on it goes through the centre.
  for (const mesh::Slip& slip : m.system.slips) {
    if (mesh::body(m.system, slip.a.body).kind != mesh::BodyKind::metal || slip.turning) continue;
    CHECK((mesh::body(m.system, slip.a.body).position_mm - slip.a.point_mm).norm() == Approx(1.75));
  }
  for (const mesh::Pad& pad : m.system.pads) {
    if (m.origins[pad.item].kind != OriginKind::wire) continue;
    CHECK((mesh::body(m.system, pad.a.body).position_mm - pad.a.point_mm).norm() < 1e-12);
  }
}

TEST_CASE(
    "a hook's blade pulls the lamina backwards, its throat presses along the lamina, and it leaves in every other way") {
  for (const auto facing : {models::HookFacing::down, models::HookFacing::up}) {
    Anchor hook = tests::anchor(AnchorKind::hook, Level::C7, Side::left);
    hook.facing = facing;
    hook.tension_N = 60.0;
    const auto sample = tests::minimal(hook);
    const mesh::Mesh m = built(sample);
    const Laws laws = laws_of_metal(sample.first, m);
    REQUIRE(laws.pads.size() == 6);
    const mesh::BodyId body = laws.pads[0].a.body;
    const auto alone = [&](const Vector3& slide) {
      tests::Motions q(m.system.bodies.size(), mesh::Vector6::Zero());
      q[static_cast<std::size_t>(body.value)].head<3>() = slide;
      return q;
    };
    // Facing down it sits on the upper edge: moved down it presses.
    const double down = facing == models::HookFacing::down ? -1.0 : 1.0;
    CHECK(tests::closing(m.system, laws.pads[0], alone({0, 0, down})) > 0.8);
    CHECK(laws.pads[0].tighten_N + laws.pads[1].tighten_N == Approx(60.0));
    CHECK(tests::closing(m.system, laws.pads[2], alone({-1, 0, 0})) > 0.5);  // blade: backwards
    CHECK(tests::closing(m.system, laws.pads[4], alone({1, 0, 0})) > 0.5);   // back: forwards, after its play
    CHECK(std::get<mesh::ToeLinear>(laws.pads[4].law).slack == Approx(0.5));
    CHECK(laws.slips.size() == 10);
    // The blade lies in front of the lamina, a lamina's thickness from its back, 4 mm in from the throat; the two pads of
    // each contact share what the bone bears.
    const models::ParameterReader number(tests::library());
    const mesh::Assembly generic(sample.first, number);
    const Vector3 through = laws.pads[4].a.point_mm - laws.pads[2].a.point_mm;
    CHECK(through.dot(laws.pads[4].global_from_surface.col(2)) ==
          Approx(mesh::lamina(generic, Level::C7, Side::left).thickness_mm));
    const Vector3 in = laws.pads[0].a.point_mm - laws.pads[2].a.point_mm;
    CHECK(in.dot(laws.pads[0].global_from_surface.col(2)) == Approx(4.0));
    for (const std::size_t i : {0U, 2U, 4U})
      CHECK(std::get<mesh::ToeLinear>(laws.pads[i].law).stiffness +
                std::get<mesh::ToeLinear>(laws.pads[i + 1].law).stiffness ==
            Approx(number.scalar("bearing.stiffness.normal")));
  }
}

TEST_CASE("rectangular sections have Roark's torsion constant and Cowper's shear") {
  // From memory, series solution (Timoshenko and Goodier): J = 0.1406 a^4 for a square, 0.2287 b^3 a for 2:1, 0.3123 for
  // 10:1.
  const mesh::Elastic unit{.modulus_MPa = 2.6, .poisson = 0.3};  // shear modulus 1
  CHECK(mesh::rectangular_section(1.0, 1.0, unit).torsional_Nmm2 == Approx(0.1406).epsilon(0.005));
  CHECK(mesh::rectangular_section(2.0, 1.0, unit).torsional_Nmm2 == Approx(0.2287 * 2.0).epsilon(0.005));
  CHECK(mesh::rectangular_section(1.0, 10.0, unit).torsional_Nmm2 == Approx(0.3123 * 10.0).epsilon(0.005));
  const mesh::Section s = mesh::rectangular_section(4.0, 2.0, unit);
  CHECK(s.bending_y_Nmm2 == Approx(2.6 * 4.0 * 8.0 / 12.0));  // over its thickness
  CHECK(s.bending_z_Nmm2 == Approx(2.6 * 2.0 * 64.0 / 12.0));
  CHECK(s.shear_y_N == Approx(8.0 * 13.0 / 15.3));
}
