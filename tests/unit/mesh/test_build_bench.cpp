// SPDX-License-Identifier: MIT
// From what a bench asks for to the load program.
#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>
#include <set>
#include <string>
#include <vector>

#include "mesh/build/build.hpp"
#include "models/case/neck_alone.hpp"
#include "tests/support/example.hpp"
#include "tests/unit/mesh/neck_trials.hpp"

namespace {

using namespace opisthion;
using mesh::Vector3;
using models::Level;

std::vector<std::string> example_files() {
  namespace fs = std::filesystem;
  std::vector<std::string> out;
  for (const fs::directory_entry& entry : fs::directory_iterator(OPISTHION_EXAMPLES_DIR))
    if (entry.path().extension() == ".xml") out.push_back(entry.path().filename().string());
  for (const fs::directory_entry& entry : fs::directory_iterator(fs::path(OPISTHION_EXAMPLES_DIR) / "templates"))
    if (entry.path().extension() == ".xml") out.push_back("templates/" + entry.path().filename().string());
  REQUIRE(out.size() >= 14);
  return out;
}

void check_no_metal(const mesh::Mesh& m) {
  for (const mesh::Body& body : m.system.bodies) CHECK(body.kind == mesh::BodyKind::bone);
  CHECK(m.components.empty());
  CHECK(m.system.beams.empty());
  CHECK(m.system.slips.empty());
  for (const mesh::Strand& strand : m.system.strands) CHECK(strand.tighten_N == 0.0);
  CHECK(m.remarks.empty());
}

const mesh::LoadCase& load_case(const mesh::Mesh& m, const std::string& id) {
  for (const mesh::LoadCase& one : m.program.cases)
    if (one.id == id) return one;
  FAIL("no such case: " << id);
  return m.program.cases.front();
}

}  // namespace

TEST_CASE("the intact and the injured neck of every shipped case build without any metal") {
  for (const std::string& file : example_files()) {
    INFO(file);
    const models::Case shipped = tests::example(file);
    for (const models::Case& bare : {models::intact_case(shipped), models::injured_case(shipped), shipped}) {
      const auto m = mesh::build(bare, models::bare_construct(), tests::library());
      REQUIRE(m);
      check_no_metal(*m);
      CHECK(m->bottom.valid());
      CHECK(m->top.valid() == shipped.bench.top.has_value());
    }
    const auto intact = mesh::build(models::intact_case(shipped), models::bare_construct("intact"), tests::library());
    REQUIRE(intact);
    // One bone a level: no dens or lateral mass is broken off. Each joint is measured.
    const int levels = static_cast<int>(shipped.neck.lower) - static_cast<int>(shipped.neck.upper) + 1;
    CHECK(static_cast<int>(intact->system.bodies.size()) == levels);
    CHECK(static_cast<int>(intact->joints.size()) == levels - 1);
    // No callus and no bridge of bone: those are linear cushions.
    CHECK(intact->system.cushions.empty());
  }
}

TEST_CASE("the intact neck of a case stands in the library's posture whatever slip or head position the case has") {
  models::Case posed = tests::bare_neck(Level::C0, Level::C4);
  const mesh::Mesh plain = tests::built(posed);
  posed.neck.joints = {{.joint = {Level::C1, Level::C2}, .slip_mm = 4.0, .reduced_mm = 2.0}};
  posed.neck.head_flexion_rad = 0.1;
  const mesh::Mesh moved = tests::built(posed);
  const mesh::Mesh intact = tests::built(models::intact_case(posed));
  REQUIRE(intact.system.bodies.size() == plain.system.bodies.size());
  bool any_moved = false;
  for (std::size_t i = 0; i < plain.system.bodies.size(); ++i) {
    CHECK(intact.system.bodies[i].position_mm == plain.system.bodies[i].position_mm);
    any_moved = any_moved || moved.system.bodies[i].position_mm != plain.system.bodies[i].position_mm;
  }
  CHECK(any_moved);
  // The injured row: slipped, but not reduced, and looking straight ahead.
  const mesh::Mesh injured = tests::built(models::injured_case(posed));
  models::Case slipped = tests::bare_neck(Level::C0, Level::C4);
  slipped.neck.joints = {{.joint = {Level::C1, Level::C2}, .slip_mm = 4.0}};
  const mesh::Mesh at_rest = tests::built(slipped);
  for (std::size_t i = 0; i < at_rest.system.bodies.size(); ++i)
    CHECK(injured.system.bodies[i].position_mm == at_rest.system.bodies[i].position_mm);
}

TEST_CASE("the load program says how loads are applied") {
  models::Case c = tests::bare_neck(Level::C0, Level::C3);
  const mesh::Mesh plain = tests::built(c);
  CHECK(plain.program.moment_kind == mesh::MomentKind::conservative);
  CHECK(plain.program.steps == 10);
  CHECK(plain.program.cycles == 3);
  CHECK_FALSE(plain.program.hybrid);
  CHECK(plain.program.constant.empty());
  CHECK(plain.program.follower.guides.empty());
  CHECK(plain.program.follower.force_N == 0.0);
  c.bench.moment_kind = models::MomentKind::head_following;
  c.bench.steps = 25;
  c.bench.cycles = 5;
  c.bench.hybrid = true;
  const mesh::Mesh other = tests::built(c);
  CHECK(other.program.moment_kind == mesh::MomentKind::following);
  CHECK(other.program.steps == 25);
  CHECK(other.program.cycles == 5);
  CHECK(other.program.hybrid);
  c.bench.moment_kind = models::MomentKind::fixed_axis;
  CHECK(tests::built(c).program.moment_kind == mesh::MomentKind::fixed_axis);
}

TEST_CASE("combined moments follow the six motions, each a vector of shares of the bench's moment") {
  models::Case c = tests::bare_neck(Level::C0, Level::C3, 2000.0);
  c.bench.combined = {
      {"flexion and left rotation", {{models::Motion::flexion, 1.0}, {models::Motion::left_rotation, 0.5}}},
      {"three",
       {{models::Motion::extension, 0.5}, {models::Motion::left_bending, 0.25}, {models::Motion::right_rotation, 1.0}}}};
  const mesh::Mesh m = tests::built(c);
  REQUIRE(m.program.cases.size() == 8);
  const mesh::LoadCase& two = load_case(m, "combined/flexion and left rotation");
  CHECK(two.kind == mesh::LoadKind::combined);
  CHECK(two.name == "flexion and left rotation");
  REQUIRE(two.loads.size() == 1);
  CHECK(two.loads[0].at.body == m.top);
  CHECK((two.loads[0].moment_Nmm - Vector3(0, 2000, 1000)).norm() < 1e-9);
  CHECK(two.loads[0].force_N == Vector3::Zero());
  CHECK(two.magnitude == Approx(std::sqrt(5.0) * 1000.0));
  // +My flexion, -Mx left bending, -Mz right rotation (models/README.md).
  CHECK((load_case(m, "combined/three").loads[0].moment_Nmm - Vector3(-500, -1000, -2000)).norm() < 1e-9);
}

TEST_CASE("dead weight pulls the top down and traction pulls it up, at the stated points, in every case") {
  models::Case c = tests::bare_neck(Level::C0, Level::C3);
  c.bench.dead_weight = models::TopForce{40.0, models::AxialLine::condyles, 20.0, 45.0};
  c.bench.traction = models::TopForce{15.0, models::AxialLine::dens, 0.0, 0.0};
  const mesh::Mesh m = tests::built(c);
  REQUIRE(m.program.constant.size() == 2);
  const mesh::BodyLoad& weight = m.program.constant[0];
  CHECK(weight.at.body == m.top);
  CHECK(weight.force_N == Vector3(0, 0, -40));
  CHECK(weight.moment_Nmm == Vector3::Zero());
  const models::ParameterReader number(tests::library());
  const Vector3 condyle = number.point("point.C0.condyle_contact_centre.left");
  CHECK((weight.at.point_mm - Vector3(condyle.x() + 20.0, 0.0, condyle.z() + 45.0)).norm() < 1e-9);
  CHECK(m.program.constant[1].force_N == Vector3(0, 0, 15));
  CHECK((m.program.constant[1].at.point_mm - Vector3(number.point("point.C1.ring_reference"))).norm() < 1e-9);
  CHECK(m.program.constant[1].at.body == m.top);
  c.bench.top.reset();
  CHECK(tests::built(c).program.constant.empty());
}

TEST_CASE("the follower load's path has one guide a level on that level's bone, from the top to the bottom") {
  models::Case c = tests::bare_neck(Level::C0, Level::T1);
  c.bench.bottom = Level::C7;
  c.bench.follower = models::FollowerLoad{.force_N = 100.0, .guides = {{Level::C4, 2.0}, {Level::C0, -3.0}}};
  const mesh::Mesh m = tests::built(c);
  const mesh::FollowerPath& path = m.program.follower;
  CHECK(path.force_N == 100.0);
  REQUIRE(path.guides.size() == 8);  // C0 to C7
  REQUIRE(path.anterior.size() == 8);
  REQUIRE(path.stated.size() == 8);
  const models::ParameterReader number(tests::library());
  std::set<int> bodies;
  for (std::size_t i = 0; i < path.guides.size(); ++i) {
    const auto level = static_cast<Level>(i);
    INFO(name(level));
    const mesh::Body& body = mesh::body(m.system, path.guides[i].body);
    CHECK(m.origins[body.item].name == name(level));
    CHECK(bodies.insert(path.guides[i].body.value).second);
    CHECK(path.guides[i].point_mm.y() == Approx(0.0).margin(1e-12));
    if (i > 0) CHECK(path.guides[i].point_mm.z() < path.guides[i - 1].point_mm.z());
    CHECK(path.anterior[i].norm() == Approx(1.0));
    CHECK(path.anterior[i].y() == 0.0);
    CHECK(path.anterior[i].x() > 0.9);
    const double offset_mm = level == Level::C4 ? 2.0 : level == Level::C0 ? -3.0 : 0.0;
    CHECK(path.stated[i] == (offset_mm != 0.0 ? 1 : 0));
    Vector3 start;
    if (level == Level::C0)
      start = number.point("point.C0.condyle_contact_centre.left");
    else if (level == Level::C1)
      start = number.point("point.C1.lateral_mass_centre.left");
    else
      start = number.point("point." + std::string(name(level)) + ".body_centre");
    start.y() = 0.0;
    CHECK((path.guides[i].point_mm - start - offset_mm * path.anterior[i]).norm() < 1e-9);
  }
  CHECK(path.guides.front().body == m.top);
  CHECK(path.guides.back().body == m.bottom);
}

TEST_CASE("guides stand where the posed neck has its levels, and their forward turns with the head") {
  models::Case c = tests::bare_neck(Level::C0, Level::C3);
  c.bench.follower = models::FollowerLoad{.force_N = 50.0};
  const mesh::FollowerPath straight = tests::built(c).program.follower;
  c.neck.head_flexion_rad = 0.2;
  c.neck.joints = {{.joint = {Level::C2, Level::C3}, .slip_mm = 3.0}};
  const mesh::FollowerPath posed = tests::built(c).program.follower;
  // Slip takes C2 and all above forward along C3's upper end plate; flexion lowers the chin: forward tips down.
  CHECK((posed.guides[2].point_mm - straight.guides[2].point_mm).norm() == Approx(3.0));
  CHECK((posed.guides[3].point_mm - straight.guides[3].point_mm).norm() < 1e-12);
  CHECK(posed.anterior[0].z() ==
        Approx(-std::sin(0.2 * (1.0 + models::ParameterReader(tests::library()).scalar("pose.head_flexion.C1_share")))));
}

TEST_CASE("what the bench adds leaves the loads of a bench without it as they were") {
  models::Case c = tests::bare_neck(Level::C1, Level::C2);
  c.bench.shear = {{}};
  c.bench.axial = {{}};
  const mesh::Mesh before = tests::built(c);
  c.bench.follower = models::FollowerLoad{.force_N = 100.0};
  c.bench.dead_weight = models::TopForce{};
  c.bench.combined = {{"both", {{models::Motion::flexion, 1.0}, {models::Motion::left_rotation, 1.0}}}};
  const mesh::Mesh after = tests::built(c);
  CHECK(after.program.cases.size() == before.program.cases.size() + 1);
  for (const mesh::LoadCase& one : before.program.cases) {
    const mesh::LoadCase& same = load_case(after, one.id);
    CHECK(same.magnitude == one.magnitude);
    REQUIRE(same.loads.size() == one.loads.size());
    CHECK(same.loads[0].force_N == one.loads[0].force_N);
    CHECK(same.loads[0].moment_Nmm == one.loads[0].moment_Nmm);
  }
  CHECK(after.system.bodies.size() == before.system.bodies.size());
  CHECK(after.system.strands.size() == before.system.strands.size());
  CHECK(after.probes.size() == before.probes.size());
}
