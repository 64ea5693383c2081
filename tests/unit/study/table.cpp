// SPDX-License-Identifier: MIT
#include "solver/report/table.hpp"

#include <algorithm>
#include <catch2/catch.hpp>

#include "solver/report/caution.hpp"
#include "solver/report/columns.hpp"

using namespace opisthion;
using namespace opisthion::study;
using Catch::Matchers::Contains;

namespace {
Assessment two(double a_deg, double b_deg) {
  Assessment assessment;
  assessment.case_name = "a case";
  for (const double rotation : {a_deg, b_deg}) {
    ConstructResult construct{.name = rotation == a_deg ? "first" : "second", .status = Status::solved};
    construct.motions.push_back(
        {.motion = models::Motion::flexion, .status = Status::solved, .moment_Nm = 1.5, .rotation_deg = rotation});
    assessment.constructs.push_back(construct);
  }
  return assessment;
}
}  // namespace

TEST_CASE("the table fits 100 columns and ends with the caution") {
  Assessment assessment = two(1.0, 2.0);
  assessment.constructs[0].name = std::string(300, 'w');
  const std::string text = report::table(assessment, {.program = "opisthion 0"});
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t end = text.find('\n', at);
    CHECK(report::columns(text.substr(at, end - at)) <= 100);
    at = end + 1;
  }
  CHECK_THAT(text, Catch::Matchers::EndsWith(report::wrap(report::kCaution, 100, 0) + "\n"));
}

TEST_CASE("a name cannot reach the terminal with control characters") {
  Assessment assessment = two(1.0, 2.0);
  assessment.case_name = "a\x1b[2Jcase";
  assessment.constructs[0].name = "b\x1b]0;x\x07";
  const std::string text = report::table(assessment, {});
  CHECK(text.find('\x1b') == std::string::npos);
  CHECK(text.find('\x07') == std::string::npos);
}

TEST_CASE("figures below bench resolution are marked, and constructs a bench could not tell apart stand in one set") {
  CHECK_THAT(report::table(two(0.2, 1.0), {}), Contains("0.2*") && !Contains("{1 2}"));
  CHECK_THAT(report::table(two(1.0, 1.2), {}), Contains("{1 2}") && !Contains("1.0*"));
}

TEST_CASE("an approximate figure stands in parentheses and a mechanism has none") {
  Assessment assessment = two(12.3, 1.0);
  assessment.constructs[0].motions[0].status = assessment.constructs[0].status = Status::approximate;
  CHECK_THAT(report::table(assessment, {}), Contains("(12.3)"));
  assessment.constructs[0].motions[0].status = assessment.constructs[0].status = Status::mechanism;
  CHECK_THAT(report::table(assessment, {}), !Contains("12.3") && Contains("mechanism"));
}
