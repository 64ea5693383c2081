// SPDX-License-Identifier: MIT
#include <algorithm>
#include <catch2/catch.hpp>
#include <set>

#include "mesh/build/build.hpp"
#include "solver/core/reduced.hpp"
#include "tests/support/example.hpp"
#include "tests/unit/mesh/samples.hpp"

using namespace opisthion;
using models::Level;

namespace {

mesh::Mesh built(const models::Case& c) {
  auto mesh = mesh::build(c, {.name = "none"}, tests::library());
  REQUIRE(mesh);
  return std::move(*mesh);
}

const mesh::Probe& probe(const mesh::Mesh& m, std::string_view id) {
  INFO(id);
  const int at = m.find_probe(id);
  REQUIRE(at >= 0);
  return m.probes[static_cast<std::size_t>(at)];
}

}  // namespace

TEST_CASE("every joint has three rotations and three translations, and ids are unique") {
  const mesh::Mesh m = built(tests::c0_c3_intact());
  for (const char* joint : {"C0-C1", "C1-C2", "C2-C3"})
    for (const char* what : {"/rotation/flexion", "/rotation/bending", "/rotation/rotation", "/translation/x",
                             "/translation/y", "/translation/z"})
      CHECK(m.find_probe(std::string(joint) + what) >= 0);
  CHECK(probe(m, "C1-C2/rotation/flexion").axis == mesh::Vector3::UnitY());
  CHECK(probe(m, "C1-C2/rotation/bending").axis == mesh::Vector3::UnitX());
  CHECK(probe(m, "overall/rotation/rotation").axis == mesh::Vector3::UnitZ());
  std::set<std::string> ids;
  for (const mesh::Probe& p : m.probes) CHECK(ids.insert(p.id).second);
}

TEST_CASE("intervals start at their anatomical values") {
  const mesh::Mesh m = built(tests::c0_c3_intact());
  CHECK(probe(m, "atlas_dens_interval").value_at_reference == Approx(1.3).margin(0.37));  // Rojas et al. 2007
  CHECK(probe(m, "c1_slip").value_at_reference == 0.0);
  for (const char* id : {"cord_room/arch_to_dens", "cord_room/arch_to_C2", "cord_room/dens_to_lamina"}) {
    CHECK(probe(m, id).value_at_reference > 14.0);  // common practice: below 14 mm the cord is at risk
    CHECK(probe(m, id).value_at_reference < 25.0);
  }
}

TEST_CASE("measures of the atlas exist only where C1 and C2 are there") {
  models::Case c = tests::c0_c3_intact();
  c.neck.upper = Level::C2;
  c.bench.top = Level::C2;
  const mesh::Mesh m = built(c);
  CHECK(m.find_probe("atlas_dens_interval") < 0);
  CHECK(m.find_probe("c1_slip") < 0);
  CHECK(m.find_probe("cord_room/arch_to_C2") < 0);
}

TEST_CASE("six motions act on the top body: flexion about +y, right bending about +x, left rotation about +z") {
  const mesh::Mesh m = built(tests::c0_c3_intact());
  const auto moment = [&](std::string_view id) {
    const auto found =
        std::find_if(m.program.cases.begin(), m.program.cases.end(), [&](const mesh::LoadCase& c) { return c.id == id; });
    REQUIRE(found != m.program.cases.end());
    CHECK(found->kind == mesh::LoadKind::motion);
    CHECK(found->loads[0].at.body == m.top);
    CHECK(found->loads[0].force_N.norm() == 0.0);
    return found->loads[0].moment_Nmm;
  };
  CHECK(m.program.cases.size() == 6);
  CHECK(moment("flexion") == 1500.0 * mesh::Vector3::UnitY());
  CHECK(moment("extension") == -1500.0 * mesh::Vector3::UnitY());
  CHECK(moment("right_bending") == 1500.0 * mesh::Vector3::UnitX());
  CHECK(moment("left_rotation") == 1500.0 * mesh::Vector3::UnitZ());
}

TEST_CASE("without a top no motion is run") {
  models::Case c = tests::c1_c2_dens_nonunion();
  c.bench.top.reset();
  const mesh::Mesh m = built(c);
  CHECK_FALSE(m.top.valid());
  for (const mesh::LoadCase& load : m.program.cases) CHECK(load.kind != mesh::LoadKind::motion);
  CHECK(m.find_probe("overall/rotation/flexion") < 0);
}

TEST_CASE("shear and axial loads come in both senses, with a probe along their line and the line in words") {
  models::Case c = tests::c1_c2_dens_nonunion();
  c.bench.axial.push_back({.level = Level::C1, .force_N = 30.0, .line = models::AxialLine::dens});
  const mesh::Mesh m = built(c);
  std::vector<std::string> ids;
  for (const mesh::LoadCase& load : m.program.cases)
    if (load.kind != mesh::LoadKind::motion) ids.push_back(load.id);
  CHECK(ids ==
        std::vector<std::string>{"shear/C1/+", "shear/C1/-", "axial/C1/+", "axial/C1/-", "axial/C1/2/+", "axial/C1/2/-"});
  for (const mesh::LoadCase& load : m.program.cases) {
    if (load.kind == mesh::LoadKind::motion) continue;
    const mesh::Probe& along = probe(m, load.travel_probe);
    CHECK(load.loads[0].force_N == load.magnitude * along.axis);
    CHECK(load.loads[0].at.point_mm == along.moving.point_mm);
    CHECK(along.base.body == m.bottom);
  }
  const mesh::LoadCase& axial = m.program.cases[8];
  CHECK(axial.name == "traction on C1");
  CHECK(axial.line == "vertical, midway between the lateral masses of C1 (x 11.1, y 0.0, z 110.1 mm)");
  CHECK(axial.loads[0].at.point_mm.y() == 0.0);
  CHECK(m.program.cases[6].name == "forward shear on C1");
}

TEST_CASE("C1 moved forward slips forward: slip and atlas-dens interval grow, the room between arch and dens shrinks") {
  const mesh::Mesh m = built(tests::c0_c3_intact());
  const core::ReducedModel model = core::reduce_nothing(m.system);
  Eigen::VectorXd q = Eigen::VectorXd::Zero(model.dofs);
  constexpr std::size_t kC1 = 1;  // bodies come from above to below: C0, C1, ...
  REQUIRE(m.origins[m.system.bodies[kC1].item].name == "C1");
  q[model.first_dof[kC1]] = 1.0;  // x is forward
  const auto change = [&](std::string_view id) {
    return core::measure(m.system, model, probe(m, id), q) - probe(m, id).value_at_reference;
  };
  CHECK(change("c1_slip") == Approx(1.0));
  CHECK(change("atlas_dens_interval") > 0.9);  // along the ring's own forward, across the leaning dens
  CHECK(change("cord_room/arch_to_dens") == Approx(-1.0));
  CHECK(change("cord_room/arch_to_C2") == Approx(-1.0));
  CHECK(change("cord_room/dens_to_lamina") == Approx(0.0).margin(1e-12));
  CHECK(change("C1-C2/translation/x") == Approx(1.0));
  CHECK(change("C0-C1/translation/x") == Approx(-1.0));
}
