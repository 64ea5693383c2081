// SPDX-License-Identifier: MIT
#include <catch2/catch.hpp>

#include "tests/unit/solver/small_systems.hpp"

namespace mesh = opisthion::mesh;
namespace tests = opisthion::tests;

TEST_CASE("unit: two separate sides are two components with the gripped bones as ports") {
  const mesh::System s = tests::neck(3, 2);
  const auto components = mesh::find_components(s);
  REQUIRE(components.size() == 2);
  for (const auto& c : components) {
    CHECK(c.ports == std::vector<mesh::BodyId>{{0}, {1}, {2}});
    CHECK(c.interior.size() == 3 * 5 + 2 * 3);
    CHECK(c.beams.size() == 3 * 3 + 2 * 4);
    CHECK(c.cushions.size() == 3);
    CHECK(std::is_sorted(c.interior.begin(), c.interior.end()));
  }
  CHECK(components[0].interior.front() < components[1].interior.front());
}

TEST_CASE("unit: bone joins no components, a metal port does, and cushions between bones belong to none") {
  mesh::System s = tests::neck(2, 2);
  s.cushions.push_back({.a = {0}, .b = {1}});
  REQUIRE(mesh::find_components(s).size() == 2);
  const int between_bones = static_cast<int>(s.cushions.size()) - 1;
  for (const auto& c : mesh::find_components(s))
    CHECK(std::find(c.cushions.begin(), c.cushions.end(), between_bones) == c.cushions.end());
  const auto before = mesh::find_components(s);
  const mesh::BodyId left = before[0].interior.back();
  const mesh::BodyId right = before[1].interior.back();
  s.bodies[static_cast<std::size_t>(left.value)].port = true;
  s.cushions.push_back({.a = left, .b = right});
  const auto joined = mesh::find_components(s);
  REQUIRE(joined.size() == 1);
  CHECK(std::find(joined[0].ports.begin(), joined[0].ports.end(), left) != joined[0].ports.end());
  CHECK(std::find(joined[0].interior.begin(), joined[0].interior.end(), left) == joined[0].interior.end());
}

TEST_CASE("unit: metal that nothing touches is a component of its own, and held metal is a port") {
  mesh::System s;
  tests::add_body(s, mesh::Vector3::Zero(), mesh::BodyKind::metal);
  tests::add_body(s, mesh::Vector3::Zero(), mesh::BodyKind::metal, true);
  const auto components = mesh::find_components(s);
  REQUIRE(components.size() == 2);
  CHECK(components[0].interior.size() == 1);
  CHECK(components[1].interior.empty());
  CHECK(components[1].ports.size() == 1);
}
