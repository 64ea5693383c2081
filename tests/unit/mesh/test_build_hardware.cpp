// SPDX-License-Identifier: MIT
#include <algorithm>
#include <catch2/catch.hpp>
#include <set>

#include "mesh/build/build.hpp"
#include "mesh/build/hardware.hpp"
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
  construct.rods[0].through.push_back(construct.anchors.back().name);
  const auto wrong = complaints(tests::c1_c2_dens_nonunion(), construct);
  REQUIRE(wrong.size() == 1);
  CHECK(wrong[0].code == BuildComplaint::Code::locks_coincide);
  CHECK(wrong[0].text.find("less than the rod's diameter of 3.5 mm") != std::string::npos);
}

TEST_CASE("a rod that would have to bend too sharply is refused") {
  models::Construct construct = tests::one_sided(AnchorKind::pedicle);
  construct.anchors.push_back(tests::anchor(AnchorKind::pars, Level::C2, Side::left));
  construct.rods[0].through.push_back(construct.anchors.back().name);
  models::ParameterTable table = tests::library();
  REQUIRE(table.change("rod.minimum_bend_radius", 1.0));
  REQUIRE(mesh::build(tests::c1_c2_dens_nonunion(), construct, table));
  REQUIRE(table.change("rod.minimum_bend_radius", 1000.0));
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
