// SPDX-License-Identifier: MIT
// What a bench asks for beyond six motions: one mistake a row, each with its place and its words.
#include <algorithm>
#include <catch2/catch.hpp>
#include <string>
#include <vector>

#include "models/case/bench.hpp"
#include "models/xml/native/embedded_library.hpp"
#include "models/xml/native/parse.hpp"
#include "models/xml/read_case.hpp"
#include "models/xml/write_case.hpp"
#include "solver/report/finding_text.hpp"

namespace {

using namespace opisthion::models;

tl::expected<CaseFile, std::vector<Finding>> file_of(const std::string& text) {
  static const EmbeddedLibrary library = read_embedded_library();
  const auto root = xml::parse(text);
  REQUIRE(root);
  return read_case(*root, library.table);
}

/// C0 to T1, held at C7; attributes and loads are written with ' in the rows.
std::string case_of(const std::string& attributes, const std::string& loads, const std::string& construct = "screws") {
  return "<case name='a' version='1'><neck upper='C0' lower='T1'/><bench bottom='C7' " + attributes + ">" + loads +
         "</bench><construct name='" + construct + "'/><construct name='wires'/></case>";
}
const std::string kTop = "top='C0'";

struct Row {
  std::string attributes;
  std::string loads;
  FindingCode code;
  std::string underlined;  ///< the bytes that offset and length mark
  std::string message;     ///< part of what is printed
};

}  // namespace

TEST_CASE("each mistake in what a bench asks for is one error, at its place") {
  const std::string two = "<part motion='flexion' share='50 %'/><part motion='left rotation' share='50 %'/>";
  const std::vector<Row> rows{
      {kTop + " steps='1'", "", FindingCode::out_of_range, "1", "expected a whole number from 2 to 100, found '1'"},
      {kTop + " steps='101'", "", FindingCode::out_of_range, "101", "a whole number from 2 to 100"},
      {kTop + " steps='10.5'", "", FindingCode::bad_number, "10.5", "a whole number from 2 to 100, found '10.5'"},
      {kTop + " steps='10 steps'", "", FindingCode::bad_number, "10 steps", "(did you mean '10'?)"},
      {kTop + " steps='-10'", "", FindingCode::bad_number, "-10", "a whole number"},
      {kTop + " steps=''", "", FindingCode::bad_number, "", "a whole number"},
      {kTop + " steps='99999999999999999999'", "", FindingCode::out_of_range, "99999999999999999999", "from 2 to 100"},
      {kTop + " cycles='6'", "", FindingCode::out_of_range, "6", "a whole number from 2 to 5"},
      {kTop + " cycles='1'", "", FindingCode::out_of_range, "1", "expected a whole number from 2 to 5, found '1'"},
      {kTop + " cycles='0'", "", FindingCode::out_of_range, "0", "a whole number from 2 to 5"},
      {kTop + " moment_kind='following'", "", FindingCode::unknown_word, "following",
       "expected conservative, fixed axis or head-following, found 'following'"},
      {kTop + " moment_kind='fixed-axis'", "", FindingCode::unknown_word, "fixed-axis", "(did you mean 'fixed axis'?)"},
      {"hybrid='yes'", "<shear level='C1' force='50 N'/>", FindingCode::half_given, "yes",
       "expected an attribute 'top' on <bench>: the level that is turned"},
      {kTop, "<follower force='151 N'/>", FindingCode::out_of_range, "151 N",
       "bench, follower, attribute 'force': expected a force from 0 N to 150 N, found '151 N'"},
      {kTop, "<follower force='-1 N'/>", FindingCode::out_of_range, "-1 N", "from 0 N to 150 N"},
      {kTop, "<follower force='100'/>", FindingCode::bad_unit, "100", "(did you mean '100 N'?)"},
      {kTop, "<follower/>", FindingCode::missing_attribute, "follower", "attribute 'force'"},
      {kTop, "<follower force='1 N'/><follower force='1 N'/>", FindingCode::repeated_element, "follower", "one <follower>"},
      {"", "<shear level='C1' force='50 N'/><follower force='100 N'/>", FindingCode::half_given, "follower",
       "expected an attribute 'top' on <bench>: the level that the cable is tied to"},
      {kTop, "<follower force='100 N'><guide level='T1' forward='1 mm'/></follower>", FindingCode::level_order, "T1",
       "expected a level that the cable passes, C0 to C7, found 'T1'"},
      {"top='C2'", "<follower force='100 N'><guide level='C1' forward='1 mm'/></follower>", FindingCode::level_order, "C1",
       "C2 to C7"},
      {kTop, "<follower force='100 N'><guide level='C8' forward='1 mm'/></follower>", FindingCode::unknown_word, "C8",
       "C0, C1"},
      {kTop, "<follower force='100 N'><guide level='C3' forward='31 mm'/></follower>", FindingCode::out_of_range, "31 mm",
       "a length from -30 mm to 30 mm"},
      {kTop, "<follower force='100 N'><guide level='C3' forward='1 mm'/><guide level='C3' forward='2 mm'/></follower>",
       FindingCode::duplicate_name, "C3", "expected one guide a level"},
      {"", "<shear level='C1' force='50 N'/><dead_weight force='40 N' line='condyles'/>", FindingCode::half_given,
       "dead_weight", "the level that the weight lies on"},
      {"", "<shear level='C1' force='50 N'/><traction force='40 N' line='condyles'/>", FindingCode::half_given, "traction",
       "the level that is pulled"},
      {kTop, "<dead_weight force='40 N' line='body'/>", FindingCode::level_order, "body", "C0 has no vertebral body"},
      {"top='C2'", "<dead_weight force='40 N' line='condyles'/>", FindingCode::level_order, "condyles",
       "bench, dead_weight, attribute 'line': expected dens or body, for the condyles are C0's, above the top, C2, found "
       "'condyles'"},
      {"top='C3'", "<traction force='40 N' line='dens'/>", FindingCode::level_order, "dens",
       "expected body, for the dens is C2's, above the top, C3, found 'dens'"},
      {kTop, "<dead_weight force='40 N' line='condyle'/>", FindingCode::unknown_word, "condyle", "'condyles'"},
      {kTop, "<dead_weight force='0 N' line='condyles'/>", FindingCode::out_of_range, "0 N", "greater than 0"},
      {kTop, "<dead_weigth force='40 N' line='condyles'/>", FindingCode::unknown_element, "dead_weigth", "'dead_weight'"},
      {kTop, "<dead_weight force='40 N' line='condyles' above='201 mm'/>", FindingCode::out_of_range, "201 mm",
       "from -200 mm to 200 mm"},
      {"", "<shear level='C1' force='50 N'/><combined name='both'>" + two + "</combined>", FindingCode::half_given,
       "combined", "the level that the moments act on"},
      {kTop, "<combined name='flexion'>" + two + "</combined>", FindingCode::duplicate_name, "flexion",
       "a name that is not one of the six motions'"},
      {kTop, "<combined name='x'>" + two + "</combined><combined name='x'>" + two + "</combined>",
       FindingCode::duplicate_name, "x", "a name of its own"},
      {kTop, "<combined name='x'/>", FindingCode::missing_element, "combined", "<part>"},
      {kTop, "<combined name='x'><part motion='flexion' share='50 %'/></combined>", FindingCode::half_given, "combined",
       "two parts or three"},
      {kTop, "<combined name='x'><part motion='flexion' share='50 %'/><part motion='extension' share='50 %'/></combined>",
       FindingCode::contradiction, "extension", "expected one part about each axis, found extension after flexion"},
      {kTop, "<combined name='x'><part motion='flexion' share='50 %'/><part motion='twisting' share='50 %'/></combined>",
       FindingCode::unknown_word, "twisting", "flexion, extension, left bending"},
      {kTop,
       "<combined name='x'><part motion='flexion' share='50 %'/><part motion='left rotation' share='101 %'/></combined>",
       FindingCode::out_of_range, "101 %", "a percentage greater than 0 and at most 100 %"},
      {kTop, "<sequence/>", FindingCode::missing_element, "sequence", "<state>"},
      {kTop, "<sequence><state row='intact'/></sequence>", FindingCode::half_given, "sequence", "two states or more"},
      {kTop, "<sequence><state row='intact'/><state row='screw'/></sequence>", FindingCode::unknown_name, "screw",
       "expected intact, injured or the name of a construct, found 'screw' (did you mean 'screws'?)"},
      {kTop, "<sequence><state row='intact'/><state row='wires'/><state row='wires'/></sequence>",
       FindingCode::duplicate_name, "wires", "each state once"},
      {kTop, "<sequence><state row='injured'/><state row='intact'/></sequence>", FindingCode::contradiction, "intact",
       "a specimen that was injured is not intact again, found intact after 'injured'"},
  };
  for (const Row& row : rows) {
    const std::string text = case_of(row.attributes, row.loads);
    INFO(text);
    const auto file = file_of(text);
    REQUIRE_FALSE(file);
    std::vector<Finding> errors = file.error();
    std::erase_if(errors, [](const Finding& f) { return f.severity != Severity::error; });
    REQUIRE(errors.size() == 1);
    CHECK(errors[0].code == row.code);
    CHECK(text.substr(errors[0].offset, errors[0].length) == row.underlined);
    std::string printed = opisthion::report::text(errors[0], "case.xml", text, false);
    for (std::size_t at = 0; (at = printed.find("\n        ")) != std::string::npos;) printed.replace(at, 9, " ");
    CHECK_THAT(printed, Catch::Contains(row.message));
  }
}

TEST_CASE("a line runs through a bone that the neck has") {
  const auto of = [](const std::string& neck, const std::string& bench) {
    const std::string text = "<case name='a' version='1'><neck " + neck + "/><bench bottom='T1' " + bench +
                             "</bench><construct name='screws'/></case>";
    const auto file = file_of(text);
    if (file) return std::string();
    REQUIRE(file.error().size() == 1);
    CHECK(file.error()[0].code == FindingCode::level_order);
    return file.error()[0].expected;
  };
  const std::string from_c2 = "upper='C2' lower='T1'";
  CHECK(of(from_c2, "top='C2'><dead_weight force='40 N' line='condyles'/>") ==
        "dens or body, for the condyles are C0's, and this neck goes from C2 to T1");
  CHECK(of(from_c2, "top='C2'><traction force='40 N' line='lateral masses'/>") ==
        "dens or body, for the lateral masses are C1's, and this neck goes from C2 to T1");
  CHECK(of(from_c2, "top='C2'><axial level='C2' force='40 N' line='condyles'/>") ==
        "dens or body, for the condyles are C0's, and this neck goes from C2 to T1");
  CHECK(of("upper='C4' lower='T1'", "top='C4'><dead_weight force='40 N' line='dens'/>") ==
        "body, for the dens is C2's, and this neck goes from C4 to T1");
  // An axial load may run through a bone above the level that it loads, as long as it is there.
  CHECK(of("upper='C0' lower='T1'", "top='C0'><axial level='C2' force='40 N' line='condyles'/>").empty());
  CHECK(of(from_c2, "top='C2'><dead_weight force='40 N' line='dens'/><traction force='1 N' line='body'/>").empty());
}

TEST_CASE("a construct may not take the name of a row that is the neck without metal") {
  for (const std::string name : {"intact", "injured"}) {
    const std::string text = case_of(kTop, "", name);
    const auto file = file_of(text);
    REQUIRE_FALSE(file);
    REQUIRE(file.error().size() == 1);
    CHECK(file.error()[0].code == FindingCode::duplicate_name);
    CHECK(text.substr(file.error()[0].offset, file.error()[0].length) == name);
  }
}

TEST_CASE("a moment kind without a top is a warning, as a moment is") {
  const auto file = file_of(case_of("moment_kind='fixed axis'", "<shear level='C1' force='50 N'/>"));
  REQUIRE(file);
  REQUIRE(file->findings.size() == 1);
  CHECK(file->findings[0].severity == Severity::warning);
  CHECK(file->findings[0].code == FindingCode::no_load);
}

TEST_CASE("a bench that says nothing of it loads once in ten steps with moments that have a potential and no preload") {
  const auto file = file_of(case_of(kTop, ""));
  REQUIRE(file);
  const Bench& bench = file->the_case.bench;
  CHECK(bench.steps == 10);
  CHECK(bench.cycles == kUnstatedCycles);
  CHECK(bench.moment_kind == MomentKind::conservative);
  CHECK_FALSE(bench.hybrid);
  CHECK_FALSE(bench.follower);
  CHECK_FALSE(bench.dead_weight);
  CHECK_FALSE(bench.traction);
  CHECK(bench.combined.empty());
  CHECK(bench.sequence.empty());
  // ... and a written case says nothing of it either.
  CHECK_THAT(write_case_text(file->the_case), !Catch::Contains("steps") && !Catch::Contains("cycles") &&
                                                  !Catch::Contains("hybrid") && !Catch::Contains("moment_kind"));
}

TEST_CASE("a case whose construct has no anchor at all is the neck alone and reads without a word") {
  const auto file = file_of(case_of(kTop, ""));
  REQUIRE(file);
  CHECK(file->findings.empty());
  CHECK(file->the_case.constructs[0] == Construct{.name = "screws"});
}

TEST_CASE("a sequence with the state injured in a case that injures nothing is warned of, at that state") {
  const std::string states = "<sequence><state row='intact'/><state row='injured'/><state row='wires'/></sequence>";
  const std::string text = case_of(kTop, states);
  const auto file = file_of(text);
  REQUIRE(file);
  REQUIRE(file->findings.size() == 1);
  CHECK(file->findings[0].severity == Severity::warning);
  CHECK(text.substr(file->findings[0].offset, file->findings[0].length) == "injured");
  CHECK(file->findings[0].found == "nothing is injured in this case: the state 'injured' is the intact one and is left out");
  std::string hurt = text;
  hurt.replace(hurt.find("lower='T1'/>"), 12,
               "lower='T1'><instability kind='posterior ligament section' joint='C4-C5'/></neck>");
  const auto injured = file_of(hurt);
  REQUIRE(injured);
  CHECK(injured->findings.empty());
}
