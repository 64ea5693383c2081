// SPDX-License-Identifier: MIT
#include "solver/results/json.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <nlohmann/json.hpp>

#include "solver/results/export_system.hpp"

using namespace opisthion;
using namespace opisthion::study;

namespace {
Assessment one_motion(Status status, double rotation_deg) {
  Assessment assessment;
  assessment.case_name = "a case";
  ConstructResult construct{.name = "a construct", .status = status};
  MotionResult motion{.motion = models::Motion::flexion, .status = status, .moment_Nm = 1.5, .rotation_deg = rotation_deg};
  motion.joints.push_back({.joint = "C1-C2", .rotation_deg = rotation_deg});
  motion.measures.cord_room_mm = 11.25;
  construct.motions.push_back(motion);
  assessment.constructs.push_back(construct);
  return assessment;
}
nlohmann::json parsed(const Assessment& assessment) {
  return nlohmann::json::parse(results::to_json(assessment, {.program = "opisthion"}));
}
nlohmann::json flexion(const Assessment& assessment) {
  return parsed(assessment)["constructs"][0]["motions"]["flexion"];
}
}  // namespace

TEST_CASE("names with quotes, markup, control characters and broken UTF-8 come out as JSON text") {
  Assessment assessment = one_motion(Status::solved, 1.0);
  assessment.constructs[0].name = "a \"b\" <c>\n\x1b[31m";
  CHECK(parsed(assessment)["constructs"][0]["name"] == "a \"b\" <c>\n\x1b[31m");
  const std::string text = results::to_json(assessment, {});
  CHECK(text.find('\x1b') == std::string::npos);
  assessment.constructs[0].name = "bad \xff byte";
  CHECK(parsed(assessment)["constructs"][0]["name"] == "bad \xef\xbf\xbd byte");
}

TEST_CASE("a solved figure reads back to the same bits") {
  const double third = 1.0 / 3.0;
  CHECK(flexion(one_motion(Status::solved, third))["rotation_deg"].get<double>() == third);
  CHECK_FALSE(flexion(one_motion(Status::solved, third)).contains("small_displacement"));
}

TEST_CASE("approximate figures are null in place and stand under small_displacement with the same keys") {
  const auto motion = flexion(one_motion(Status::approximate, 12.5));
  CHECK(motion["rotation_deg"].is_null());
  CHECK(motion["joints"]["C1-C2"]["rotation_deg"].is_null());
  CHECK(motion["measures"]["cord_room_mm"].is_null());
  const auto& small = motion["small_displacement"];
  CHECK(small["rotation_deg"] == 12.5);
  CHECK(small["joints"]["C1-C2"]["rotation_deg"] == 12.5);
  CHECK(small["measures"]["cord_room_mm"] == 11.25);
  for (const auto& [key, value] : small.items()) CHECK(motion.contains(key));
}

TEST_CASE("a mechanism has no figures at all") {
  const auto motion = flexion(one_motion(Status::mechanism, 12.5));
  CHECK(motion["rotation_deg"].is_null());
  CHECK_FALSE(motion.contains("small_displacement"));
  CHECK(motion["moment_Nm"] == 1.5);
}

TEST_CASE("what is not a finite number is null, and a stiffness without movement is no number") {
  CHECK(flexion(one_motion(Status::solved, std::numeric_limits<double>::quiet_NaN()))["rotation_deg"].is_null());
  CHECK(flexion(one_motion(Status::solved, std::numeric_limits<double>::infinity()))["rotation_deg"].is_null());
  CHECK(flexion(one_motion(Status::solved, 1.0))["secant_stiffness_Nm_per_deg"].is_null());
}

TEST_CASE("folder and file names hold letters, digits and underscores only") {
  CHECK(results::slug("C1 lateral mass + C2 pars") == "c1_lateral_mass_c2_pars");
  CHECK(results::slug("../../etc: x") == "etc_x");
  CHECK(results::slug("///") == "construct");
  CHECK(results::case_file_name("shear/C1/+") == "shear_C1_plus");
  CHECK(results::case_file_name("axial/C1/-") == "axial_C1_minus");
}
