// SPDX-License-Identifier: MIT
#include "solver/study/compare.hpp"

#include <catch2/catch.hpp>

using namespace opisthion;
using namespace opisthion::study;

namespace {
ConstructResult flexes(const std::string& name, double rotation_deg, Status status) {
  ConstructResult result;
  result.name = name;
  result.motions.push_back({.motion = models::Motion::flexion, .status = status, .rotation_deg = rotation_deg});
  return result;
}
}  // namespace

TEST_CASE("constructs closer than 0.3 degrees are not distinguishable, and no further ones are") {
  const auto pairs = not_distinguishable(
      {flexes("a", 1.0, Status::solved), flexes("b", 1.29, Status::solved), flexes("c", 1.31, Status::solved)});
  REQUIRE(pairs.size() == 2);
  CHECK(pairs[0].a == "a");
  CHECK(pairs[0].b == "b");
  CHECK(pairs[0].difference_deg == Approx(0.29));
  CHECK(pairs[1].a == "b");
  CHECK(pairs[1].b == "c");
}

TEST_CASE("a construct without an answer is compared with nothing") {
  CHECK(not_distinguishable(
            {flexes("a", 0.0, Status::mechanism), flexes("b", 0.0, Status::no_answer), flexes("c", 0.0, Status::solved)})
            .empty());
}

TEST_CASE("below resolution holds for both senses and not at the limit") {
  CHECK(below_resolution_deg(-0.29));
  CHECK_FALSE(below_resolution_deg(-0.3));
  CHECK(below_resolution_mm(0.19));
  CHECK_FALSE(below_resolution_mm(-0.2));
}
