// SPDX-License-Identifier: MIT
// Labelled cases: what truly escapes must be called a mechanism and named, what holds must not. The labels follow from
// statics alone (no source needed): a neck whose C1-C2 ligaments are all cut rests on contacts, which cannot pull, so
// nothing resists turning about the dens or lifting off; a screw-rod construct on the same neck ties C1 to C2 in all six
// directions.
#include <catch2/catch.hpp>
#include <string>
#include <string_view>

#include "solver/study/assess.hpp"
#include "tests/support/example.hpp"

using namespace opisthion;
using Catch::Matchers::Contains;

namespace {

/// The library with every ligament cut (no stiffness).
models::ParameterTable without_ligaments() {
  models::ParameterTable parameters = tests::library();
  int cut = 0;
  for (const models::Parameter* number : tests::library().all()) {
    const std::string_view id = number->id;
    if (id.starts_with("ligament.") && id.ends_with(".stiffness")) cut += parameters.change(id, 0.0) ? 1 : 0;
  }
  REQUIRE(cut > 10);
  return parameters;
}

const study::MotionResult& of(const study::ConstructResult& result, models::Motion motion) {
  for (const study::MotionResult& m : result.motions)
    if (m.motion == motion) return m;
  FAIL("motion not run");
  return result.motions.front();
}

}  // namespace

TEST_CASE("with every ligament cut and no metal, C1 escapes from C2 and the escape is named") {
  const models::Case neck = tests::example("torn_transverse_ligament.xml");
  const models::Construct bare{.name = "nothing"};
  const study::ConstructResult result = study::assess_construct(neck, bare, without_ligaments(), {});
  CHECK(result.status == study::Status::mechanism);
  for (const models::Motion turn : {models::Motion::left_rotation, models::Motion::right_rotation}) {
    const study::MotionResult& m = of(result, turn);
    INFO(models::name(turn) << ": " << m.reason);
    CHECK(m.status == study::Status::mechanism);
    CHECK_THAT(m.reason, Contains("C1"));
    CHECK_THAT(m.reason, Contains(turn == models::Motion::left_rotation ? "left" : "right"));
  }
  bool lifts = false;
  for (const study::ForceResult& force : result.axial)
    if (force.force_N > 0.0) {
      lifts = true;
      INFO(force.reason);
      CHECK(force.status == study::Status::mechanism);
      CHECK_THAT(force.reason, Contains("up"));
    }
  CHECK(lifts);
}

TEST_CASE("a screw-rod construct on the same cut neck is no mechanism") {
  const models::Case neck = tests::example("torn_transverse_ligament.xml");
  for (const models::Construct& construct : neck.constructs) {
    const study::ConstructResult result = study::assess_construct(neck, construct, without_ligaments(), {});
    INFO(construct.name << ": " << result.reason);
    CHECK((result.status == study::Status::solved || result.status == study::Status::approximate));
  }
}

TEST_CASE("an intact neck from skull to C3 is lax at neutral and no mechanism") {
  models::Case neck = tests::example("skull_to_c3.xml");
  neck.neck.instabilities.clear();
  const study::ConstructResult result = study::assess_construct(neck, {.name = "intact"}, tests::library(), {});
  INFO(result.reason);
  CHECK(result.status == study::Status::approximate);
  bool lax = false;
  for (const study::FreeMotion& motion : result.free) {
    INFO(motion.what);
    CHECK(motion.lax);  // nothing floats
    lax = true;
  }
  CHECK(lax);
}
