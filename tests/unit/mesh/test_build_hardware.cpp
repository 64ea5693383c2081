// SPDX-License-Identifier: MIT
#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <set>

#include "mesh/build/build.hpp"
#include "mesh/build/hardware.hpp"
#include "mesh/build/lock_tilt.hpp"
#include "models/hardware/trajectory.hpp"
#include "tests/support/example.hpp"
#include "tests/unit/mesh/samples.hpp"

using namespace opisthion;
using mesh::BuildComplaint;
using models::AnchorKind;
using models::Level;
using models::Side;

namespace {

mesh::Mesh built(const models::Case& c, const models::Construct& construct, int elements = 8) {
  auto mesh = mesh::build(c, construct, tests::library(), {.rod_elements_per_span = elements});
  REQUIRE(mesh);
  return std::move(*mesh);
}

std::vector<BuildComplaint> complaints(const models::Case& c, const models::Construct& construct,
                                       const models::ParameterTable& table = tests::library()) {
  const auto mesh = mesh::build(c, construct, table);
  REQUIRE_FALSE(mesh);
  return mesh.error();
}

/// Beams of one C1 lateral mass screw on a rig, from the head to the tip: shank, cortex, cancellous bone (, far cortex).
std::vector<mesh::Beam> rig_beams(const models::Bone& bone = {}, models::Purchase purchase = models::Purchase::unicortical,
                                  double depth_mm = 0.0) {
  models::Case c;
  c.neck.upper = c.neck.lower = Level::C1;
  c.neck.bone = bone;
  if (depth_mm > 0.0) c.neck.anatomy = {{.level = Level::C1, .left = {.lateral_mass_depth_mm = depth_mm}}};
  c.bench.bottom = Level::C1;
  models::Anchor screw = tests::anchor(AnchorKind::lateral_mass, Level::C1, Side::left);
  screw.diameter_mm = 3.5;
  screw.purchase = purchase;
  c.bench.heads = {{.name = "toggle", .anchor = screw.name, .force_N = 25.0, .direction = {0, 0, 1}}};
  return built(c, {.name = "rig", .anchors = {screw}}).system.beams;
}

}  // namespace

TEST_CASE("screws, locks and rods are counted, named and placed") {
  const models::Case c = tests::c1_c2_dens_nonunion();
  const mesh::Mesh m = built(c, tests::screw_rod(AnchorKind::pars, AnchorKind::pars));
  // Each screw: free shank, cortex, cancellous bone. Each rod: eight elements and two overhangs.
  CHECK(m.system.beams.size() == 4 * 3 + 2 * 10);
  CHECK(m.system.cushions.size() == 1 + 4);  // fibrous tissue, locks
  CHECK(m.components.size() == 2);
  std::set<std::string> names;
  for (const mesh::Beam& b : m.system.beams) names.insert(m.origins[b.item].name);
  for (const mesh::Cushion& k : m.system.cushions) names.insert(m.origins[k.item].name);
  for (const char* name :
       {"C2 left pars screw 'C2 left pars' in bone", "shank of C1 right lateral mass screw 'C1 right lateral mass'",
        "rod 'left'", "lock of C2 left pars screw 'C2 left pars' on rod 'left'"})
    CHECK(names.count(name) == 1);
  for (const mesh::Component& component : m.components) CHECK(component.ports.size() == 2);  // C1 and C2
  REQUIRE(m.program.assembly.size() == 2);
  CHECK(m.origins[m.program.assembly[0].item].name == "rod 'left'");
  CHECK(m.origins[m.program.assembly[1].item].name == "rod 'right'");
}

TEST_CASE("each lock joins two nodes at one place, and beams are as long as their nodes stand apart") {
  for (const models::Construct& construct : tests::c1_c2_dens_nonunion().constructs) {
    const mesh::Mesh m = built(tests::c1_c2_dens_nonunion(), construct);
    for (const mesh::Cushion& k : m.system.cushions) {
      if (m.origins[k.item].kind != mesh::OriginKind::lock) continue;
      CHECK((body(m.system, k.a).position_mm - k.point_mm).norm() < 1e-12);
      CHECK((body(m.system, k.b).position_mm - k.point_mm).norm() < 1e-12);
    }
    for (const mesh::Beam& b : m.system.beams) {
      const mesh::Vector3 along = body(m.system, b.b).position_mm - body(m.system, b.a).position_mm;
      CHECK(along.norm() == Approx(b.length_mm));
      CHECK((along.normalized() - b.global_from_beam.col(0)).norm() < 1e-9);
      CHECK((b.global_from_beam.transpose() * b.global_from_beam - mesh::Matrix3::Identity()).norm() < 1e-12);
      CHECK(b.bone.valid() != b.foundation.none());
    }
  }
}

TEST_CASE("a transarticular screw is one component that grips both bones, free across the joint") {
  const mesh::Mesh m = built(tests::c1_c2_dens_nonunion(), tests::two_transarticular());
  REQUIRE(m.components.size() == 2);
  CHECK(m.components[0].ports.size() == 2);
  int free_in_joint = 0;
  for (const int i : m.components[0].beams) {
    const mesh::Beam& beam = m.system.beams[static_cast<std::size_t>(i)];
    if (beam.foundation.none() && m.origins[beam.item].name.find("in bone") != std::string::npos) ++free_in_joint;
  }
  CHECK(free_in_joint == 1);
  CHECK(m.program.assembly.empty());
}

TEST_CASE("worse bone makes softer beds, by class and by density") {
  const models::ParameterReader number(tests::library());
  const auto cancellous = [&](const models::Bone& bone) { return mesh::bone_moduli(bone, number).cancellous_MPa; };
  CHECK(cancellous({.quality = models::BoneQuality::normal}) > cancellous({.quality = models::BoneQuality::osteopenic}));
  CHECK(cancellous({.quality = models::BoneQuality::osteopenic}) >
        cancellous({.quality = models::BoneQuality::osteoporotic}));
  // Kopperdahl 2002, computed by hand in the reference table: 80, 120, 200 mg/cm3 give 224, 353, 611 MPa
  CHECK(cancellous({.density_mg_per_cm3 = 80}) == Approx(224).margin(0.5));
  CHECK(cancellous({.density_mg_per_cm3 = 120}) == Approx(353).margin(0.5));
  CHECK(cancellous({.density_mg_per_cm3 = 200}) == Approx(611).margin(0.5));
  CHECK(cancellous({.density_mg_per_cm3 = 5}) > 0.0);
  CHECK(mesh::bone_moduli({.density_mg_per_cm3 = 70}, number).cortex_MPa ==
        mesh::bone_moduli({.quality = models::BoneQuality::osteoporotic}, number).cortex_MPa);
}

TEST_CASE("a rod through one lock, or through one lock twice, has no length") {
  models::Construct construct = tests::screw_rod(AnchorKind::pars, AnchorKind::pars);
  construct.rods[0].through.pop_back();
  auto wrong = complaints(tests::c1_c2_dens_nonunion(), construct);
  REQUIRE(wrong.size() == 1);
  CHECK(wrong[0].code == BuildComplaint::Code::rod_zero_length);
  CHECK(wrong[0].item == "rod 'left'");
  construct.rods[0].through.push_back(construct.rods[0].through.front());
  CHECK(complaints(tests::c1_c2_dens_nonunion(), construct)[0].code == BuildComplaint::Code::rod_zero_length);
}

TEST_CASE("two locks of one rod closer than its diameter are said to coincide") {
  // Pars and transarticular enter at one place, so their heads lie within a rod's diameter of each other.
  models::Construct construct = tests::one_sided(AnchorKind::pars);
  construct.anchors.push_back(tests::anchor(AnchorKind::transarticular, Level::C2, Side::left));
  construct.rods[0].through.push_back({.anchor = construct.anchors.back().name});
  const auto wrong = complaints(tests::c1_c2_dens_nonunion(), construct);
  REQUIRE(wrong.size() == 1);
  CHECK(wrong[0].code == BuildComplaint::Code::locks_coincide);
  CHECK(wrong[0].text.find("less than the rod's diameter of 3.5 mm") != std::string::npos);
}

TEST_CASE("a rod that would have to bend too sharply is refused") {
  models::Construct construct = tests::one_sided(AnchorKind::pedicle);
  construct.anchors.push_back(tests::anchor(AnchorKind::pars, Level::C2, Side::left));
  construct.rods[0].through.push_back({.anchor = construct.anchors.back().name});
  models::ParameterTable table = tests::library();
  REQUIRE(table.change("metal.titanium_alloy.elongation", 1.75));  // a rod of 3.5 mm down to a radius of 1 mm
  REQUIRE(mesh::build(tests::c1_c2_dens_nonunion(), construct, table));
  REQUIRE(table.change("metal.titanium_alloy.elongation", 0.00175));  // 1000 mm
  REQUIRE(table.change("rod.reach", 0.0));                            // and no running beside its locks
  const auto wrong = complaints(tests::c1_c2_dens_nonunion(), construct, table);
  REQUIRE(wrong.size() == 1);
  CHECK(wrong[0].code == BuildComplaint::Code::rod_bend);
}

TEST_CASE("metal that grips one bone only holds nothing, unless the bench pushes its head") {
  models::Case c = tests::c1_c2_dens_nonunion();
  const models::Construct lone{.name = "lone", .anchors = {tests::anchor(AnchorKind::lateral_mass, Level::C1, Side::left)}};
  const auto wrong = complaints(c, lone);
  REQUIRE(wrong.size() == 1);
  CHECK(wrong[0].code == BuildComplaint::Code::nothing_held);
  CHECK(wrong[0].item == "C1 left lateral mass screw 'C1 left lateral mass'");
  c.bench.heads = {{.name = "toggle", .anchor = "C1 left lateral mass"}};
  CHECK(mesh::build(c, lone, tests::library()));
}

TEST_CASE("a pushed head is a port at the lock, and its load acts there") {
  models::Case c;
  c.neck.upper = c.neck.lower = Level::C1;
  c.bench.bottom = Level::C1;
  c.bench.heads = {{.name = "toggle", .anchor = "C1 left lateral mass", .force_N = 25.0, .direction = {0, 0, 2}},
                   {.name = "other", .anchor = "not in this construct"}};
  const mesh::Mesh m =
      built(c, {.name = "rig", .anchors = {tests::anchor(AnchorKind::lateral_mass, Level::C1, Side::left)}});
  REQUIRE(m.program.cases.size() == 2);
  const mesh::LoadCase& push = m.program.cases[0];
  CHECK(push.id == "head/toggle/+");
  CHECK(m.program.cases[1].id == "head/toggle/-");
  CHECK(push.kind == mesh::LoadKind::head);
  CHECK(push.loads[0].force_N == mesh::Vector3(0, 0, 25));
  const mesh::Body& head = body(m.system, push.loads[0].at.body);
  CHECK(head.kind == mesh::BodyKind::metal);
  CHECK(head.port);
  const models::ParameterReader number(tests::library());
  const auto path = models::trajectory(tests::anchor(AnchorKind::lateral_mass, Level::C1, Side::left), c.neck, number);
  CHECK((head.position_mm - path.lock_mm()).norm() < 1e-12);
  const int probe = m.find_probe(push.travel_probe);
  REQUIRE(probe >= 0);
  CHECK(m.probes[static_cast<std::size_t>(probe)].axis == mesh::Vector3::UnitZ());
  CHECK(m.probes[static_cast<std::size_t>(probe)].base.body == m.bottom);
}

TEST_CASE("a screw bends over its core and bears over its outer diameter") {
  // By hand (independent script): titanium 114 GPa, nu 0.33; outer 3.5 mm, core 0.686 of it; bone 300 and 12000 MPa, nu
  // 0.29; foundation factor 0.1; embedded 1 + 15 mm. E I = 114000 pi 2.401^4/64.
  const auto beams = rig_beams();
  REQUIRE(beams.size() == 3);
  CHECK(beams[0].section.bending_y_Nmm2 == Approx(114000.0 * std::acos(-1.0) * std::pow(3.5, 4) / 64.0));  // smooth shank
  for (const std::size_t in_bone : {1U, 2U}) {
    CHECK(beams[in_bone].section.bending_y_Nmm2 == Approx(185970.213765).epsilon(1e-8));
    CHECK(beams[in_bone].section.bending_z_Nmm2 == beams[in_bone].section.bending_y_Nmm2);
  }
  CHECK(beams[2].foundation.lateral_MPa == Approx(18.91686025828).epsilon(1e-8));
  CHECK(beams[2].foundation.axial_MPa == Approx(26.21680520949).epsilon(1e-8));
  CHECK(beams[2].foundation.torsional_N == Approx(447.4943024009).epsilon(1e-8));
  // The near cortex: a shell of 1 mm under 3.5 mm bears 1/3.5 sideways, and in full along and about the axis.
  CHECK(beams[1].foundation.lateral_MPa == Approx(293.9991007779).epsilon(1e-8));
  CHECK(beams[1].foundation.axial_MPa == Approx(1048.672208379).epsilon(1e-8));
  CHECK(beams[1].foundation.torsional_N == Approx(17899.77209603).epsilon(1e-8));
}

TEST_CASE("osteoporosis lowers the bed of the cortex and of the cancellous bone by the library's factors") {
  // Cortex 0.63, cancellous 105 of 300 MPa. Axial and torsional beds go with the modulus, the lateral one with its 13/12.
  const auto normal = rig_beams();
  const auto poor = rig_beams({.quality = models::BoneQuality::osteoporotic});
  const auto ratio = [&](std::size_t beam, double mesh::Foundation::*what) {
    return poor[beam].foundation.*what / normal[beam].foundation.*what;
  };
  CHECK(ratio(1, &mesh::Foundation::axial_MPa) == Approx(0.63));
  CHECK(ratio(1, &mesh::Foundation::torsional_N) == Approx(0.63));
  CHECK(ratio(1, &mesh::Foundation::lateral_MPa) == Approx(std::pow(0.63, 13.0 / 12.0)));
  CHECK(ratio(2, &mesh::Foundation::axial_MPa) == Approx(0.35));
  CHECK(ratio(2, &mesh::Foundation::lateral_MPa) == Approx(std::pow(0.35, 13.0 / 12.0)));
  const auto fair = rig_beams({.quality = models::BoneQuality::osteopenic});
  CHECK(fair[1].foundation.axial_MPa == Approx(0.8 * normal[1].foundation.axial_MPa));
}

TEST_CASE("only a bicortical screw has a bed in the far cortex") {
  const auto one = rig_beams();
  const auto both = rig_beams({}, models::Purchase::bicortical);
  REQUIRE(one.size() == 3);
  REQUIRE(both.size() == 4);
  CHECK(one.back().foundation.axial_MPa < 0.1 * one[1].foundation.axial_MPa);  // ends in cancellous bone
  CHECK(both.back().foundation.lateral_MPa == Approx(both[1].foundation.lateral_MPa));
  CHECK(both.back().length_mm == Approx(1.0));
}

TEST_CASE("a deeper lateral mass has its screw enter, and its head stand, further back by half the difference") {
  const auto middle = [](double depth_mm) {
    models::Case c = tests::c1_c2_dens_nonunion();
    c.neck.anatomy = {{.level = Level::C1, .left = {.lateral_mass_depth_mm = depth_mm}}};
    const mesh::Mesh m = built(c, tests::one_sided(AnchorKind::pars));
    for (const mesh::Cushion& k : m.system.cushions)
      if (m.origins[k.item].name.find("lock of C1") == 0) return k.point_mm;
    FAIL("no lock at C1");
    return mesh::Vector3();
  };
  const mesh::Vector3 moved = middle(19.7 + 4.0) - middle(19.7);
  CHECK(moved.norm() == Approx(2.0));
  CHECK(moved.x() < -1.8);
}

TEST_CASE("a lock slides with its translation stiffness and turns with its rotation stiffness") {
  const mesh::Mesh m = built(tests::c1_c2_dens_nonunion(), tests::one_sided(AnchorKind::pars));
  int locks = 0;
  for (const mesh::Cushion& k : m.system.cushions) {
    if (m.origins[k.item].kind != mesh::OriginKind::lock) continue;
    ++locks;
    mesh::Vector6 expected;
    expected << 50000, 50000, 50000, 100000, 100000, 100000;  // N/mm; 100 N m/rad in N mm/rad
    CHECK((mesh::Matrix6(expected.asDiagonal()) - k.stiffness).norm() == 0.0);
  }
  CHECK(locks == 2);
}

TEST_CASE("a rod leans in a head by the angle between the rod and the plane across the screw") {
  const models::ParameterReader number(tests::library());
  const auto tilts = mesh::lock_tilts({}, tests::screw_rod(AnchorKind::pars, AnchorKind::pars), number);
  REQUIRE(tilts.size() == 4);
  // By hand from the entries, angles and free shanks of the library: locks at (-6.67, 21.87, 106.15) and (-8.57, 18.67,
  // 77.99) mm, screws (0.945, -0.253, 0.208) and (0.754, -0.133, 0.643): the rod falls almost straight down.
  CHECK(tilts[0].rod == "left");
  CHECK(tilts[0].anchor == "C1 left lateral mass");
  CHECK(tilts[0].tilt_deg == Approx(14.0).margin(0.3));
  CHECK(tilts[1].anchor == "C2 left pars");
  CHECK(tilts[1].tilt_deg == Approx(42.4).margin(0.3));
  CHECK(tilts[2].tilt_deg == Approx(tilts[0].tilt_deg));  // the mirror image
  CHECK(tilts[3].tilt_deg == Approx(tilts[1].tilt_deg));
  // A rod through one head twice has no direction, and no lean.
  models::Construct wrong = tests::one_sided(AnchorKind::pars);
  wrong.rods[0].through[1] = wrong.rods[0].through[0];
  CHECK(mesh::lock_tilts({}, wrong, number).empty());
  CHECK(number.ids_read().count("lock.largest_tilt") == 0);  // geometry only: the limit is the critic's
}

TEST_CASE("the lean at both ends of a bent rod is that of the rod as it is laid") {
  models::Construct construct = tests::one_sided(AnchorKind::pedicle);
  construct.anchors.push_back(tests::anchor(AnchorKind::pars, Level::C2, Side::left));
  construct.rods[0].through.push_back({.anchor = construct.anchors.back().name});
  models::ParameterTable table = tests::library();
  REQUIRE(table.change("metal.titanium_alloy.elongation", 1.75));  // a rod of 3.5 mm down to a radius of 1 mm
  const auto m = mesh::build(tests::c1_c2_dens_nonunion(), construct, table);
  REQUIRE(m);
  // The rod's first and last element are its overhangs, straight on along the rod's ends.
  std::vector<mesh::Vector3> along;
  for (const mesh::Beam& b : m->system.beams)
    if (m->origins[b.item].name == "rod 'left'") along.push_back(b.global_from_beam.col(0));
  const models::ParameterReader number(table);
  const auto tilts = mesh::lock_tilts({}, construct, number);
  REQUIRE(tilts.size() == 3);
  const auto lean = [&](const models::Anchor& screw, const mesh::Vector3& rod) {
    const double off_axis = std::acos(std::abs(models::trajectory(screw, {}, number).into_bone.dot(rod)));
    return 90.0 - off_axis * 180.0 / std::acos(-1.0);
  };
  CHECK(tilts.front().tilt_deg == Approx(lean(construct.anchors.front(), along.front())));
  CHECK(tilts.back().tilt_deg == Approx(lean(construct.anchors.back(), along.back())));
}
