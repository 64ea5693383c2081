// SPDX-License-Identifier: MIT
// An assessment with the neck without metal in its first rows: JSON, table, HDF5.
#include <catch2/catch.hpp>
#include <filesystem>
#include <nlohmann/json.hpp>
#include <random>
#include <sstream>

#include "solver/report/columns.hpp"
#include "solver/report/table.hpp"
#include "solver/results/hdf5.hpp"
#include "solver/results/json.hpp"
#include "solver/study/shares.hpp"

using namespace opisthion;
using namespace opisthion::study;
using Catch::Matchers::Contains;

namespace {
ConstructResult row(RowKind kind, const std::string& name, double rotation_deg, Status status = Status::solved) {
  ConstructResult out{.row = kind, .name = name, .kinematics = "full", .status = status, .reason = "by hand"};
  out.motions.push_back({.motion = models::Motion::flexion,
                         .status = status,
                         .kinematics = "full",
                         .moment_Nm = 1.5,
                         .rotation_deg = rotation_deg});
  return out;
}

Assessment rows() {
  Assessment out;
  out.case_name = "a case";
  out.constructs = {row(RowKind::intact, "intact neck", 20.0), row(RowKind::injured, "injured neck", 40.0),
                    row(RowKind::construct, "first", 3.0), row(RowKind::construct, "second", 3.1)};
  share_out(out.constructs);
  return out;
}

FrictionRange friction() {
  FrictionMotion motion{.motion = models::Motion::flexion};
  for (std::size_t state = 0; state < 2; ++state)
    for (std::size_t level = 0; level < 3; ++level)
      motion.cells[state][level] = {.status = Status::solved,
                                    .rotation_deg = 9.0 - static_cast<double>(level) + 0.5 * static_cast<double>(state),
                                    .run = true};
  motion.cells[1][0].status = Status::mechanism;
  motion.cells[0][1].status = Status::approximate;
  return {.motions = {motion}};
}

nlohmann::json parsed(const Assessment& assessment) {
  return nlohmann::json::parse(results::to_json(assessment, {.program = "opisthion"}));
}
}  // namespace

TEST_CASE("JSON: the neck without metal stands under necks, constructs keep their places and carry their shares") {
  const nlohmann::json document = parsed(rows());
  REQUIRE(document["necks"].size() == 2);
  CHECK(document["necks"][0]["row"] == "intact");
  CHECK(document["necks"][1]["motions"]["flexion"]["percent_of_intact"] == 200.0);
  CHECK(document["necks"][0]["motions"]["flexion"]["percent_of_intact"].is_null());
  REQUIRE(document["constructs"].size() == 2);
  const auto& flexion = document["constructs"][0]["motions"]["flexion"];
  CHECK(flexion["percent_of_intact"] == 15.0);
  CHECK(flexion["percent_of_injured"] == 7.5);
  CHECK(flexion["kinematics"] == "full");
  CHECK(flexion["solve"]["branches"] == 0);
}

TEST_CASE("JSON: an assessment of constructs alone in small kinematics has none of these keys") {
  Assessment assessment = rows();
  assessment.constructs.erase(assessment.constructs.begin(), assessment.constructs.begin() + 2);
  for (ConstructResult& construct : assessment.constructs) {
    construct.kinematics = "small";
    construct.motions[0].kinematics.clear();
  }
  share_out(assessment.constructs);
  const std::string text = results::to_json(assessment, {});
  for (const char* word : {"necks", "percent", "branches", "friction_range", "\"row\""})
    CHECK(text.find(word) == std::string::npos);
}

TEST_CASE("JSON: approximate figures of full kinematics do not pass as small-displacement ones") {
  Assessment assessment = rows();
  assessment.constructs[2] = row(RowKind::construct, "first", 3.0, Status::approximate);
  const nlohmann::json flexion = parsed(assessment)["constructs"][0]["motions"]["flexion"];
  CHECK(flexion["rotation_deg"].is_null());
  CHECK(flexion["approximate_figures"]["rotation_deg"] == 3.0);
  CHECK_FALSE(flexion.contains("small_displacement"));
  CHECK(flexion["percent_of_intact"].is_null());
}

TEST_CASE("JSON: the limits of friction by motion, wires and level, and null where not solved") {
  Assessment assessment = rows();
  assessment.constructs[2].friction = friction();
  const auto document = parsed(assessment);
  const auto& range = document["constructs"][0]["friction_range"]["flexion"];
  CHECK(range["fresh"]["frictionless"]["rotation_deg"] == 9.0);
  CHECK(range["fresh"]["stuck"]["rotation_deg"] == 7.0);
  CHECK(range["slack"]["nominal"]["rotation_deg"] == 8.5);
  CHECK(range["slack"]["frictionless"]["status"] == "mechanism");
  CHECK(range["slack"]["frictionless"]["rotation_deg"].is_null());
  CHECK_FALSE(range["slack"]["frictionless"].contains("approximate_figures"));
  CHECK(range["fresh"]["nominal"]["rotation_deg"].is_null());  // approximate: apart, as those of the motions
  CHECK(range["fresh"]["nominal"]["approximate_figures"]["rotation_deg"] == 8.0);
  CHECK_FALSE(range["fresh"]["stuck"].contains("approximate_figures"));
  CHECK_FALSE(document["constructs"][1].contains("friction_range"));
}

TEST_CASE(
    "table: the neck without metal comes first and unnumbered, constructs are counted without it, shares stand below") {
  Assessment assessment = rows();
  assessment.constructs[2].friction = friction();
  const std::string text = report::table(assessment, {});
  CHECK_THAT(text,
             Contains("-  intact neck") && Contains("-  injured neck") && Contains("1  first") && Contains("2  second"));
  CHECK_THAT(text, Contains("{1 2}"));  // the two constructs, not the necks
  CHECK(text.find("-  intact neck") < text.find("1  first"));
  CHECK_THAT(text, Contains("share of intact") && Contains("share of injured") && Contains(" 15"));
  CHECK_THAT(text, Contains("fresh, frictionless") && Contains("slack, stuck"));
  CHECK_THAT(text, Contains("full: finite rotations") && !Contains("small: right where"));
  CHECK_THAT(text, !Contains("no share of intact"));
  std::istringstream in(text);
  for (std::string line; std::getline(in, line);) CHECK(report::columns(line) <= 100);
}

TEST_CASE("table: the legend says of a value in parentheses what it is") {
  Assessment assessment = rows();
  assessment.constructs[2] = row(RowKind::construct, "first", 3.0, Status::approximate);
  CHECK_THAT(report::table(assessment, {}),
             Contains("(3.0)") && Contains("( )  approximate: see why") && !Contains("a small-displacement value"));
  assessment.constructs[2].kinematics = "small";
  assessment.constructs[2].motions[0].kinematics = "small";
  CHECK_THAT(report::table(assessment, {}), Contains("a small-displacement value"));
}

TEST_CASE("HDF5 of an assessment with necks, shares and friction can be written and read again for its case") {
  Assessment assessment = rows();
  assessment.constructs[2].friction = friction();
  assessment.constructs[3] = row(RowKind::construct, "second", 3.0, Status::approximate);
  const std::string path =
      std::filesystem::temp_directory_path() / ("opisthion_rows_of_necks_" + std::to_string(std::random_device{}()) + ".h5");
  results::write_hdf5(path, assessment, {.program = "opisthion", .case_xml = "<case/>"});
  CHECK(results::read_case_text(path) == "<case/>");
  std::filesystem::remove(path);
}

TEST_CASE("moments about several axes at once stand in JSON, table and HDF5 by their status, and nowhere without them") {
  Assessment assessment = rows();
  CHECK(results::to_json(assessment, {}).find("combined") == std::string::npos);
  CombinedResult load{.id = "combined/0",
                      .name = "flexion and left rotation",
                      .status = Status::solved,
                      .moment_Nm = 1.5,
                      .rotations_deg = {12.0, -3.0, 41.0}};
  load.measures.cord_room_mm = 11.0;
  CombinedResult other = load;
  other.status = Status::mechanism;
  other.reason = "C1 floats";
  assessment.constructs[2].combined = {load, other};
  const nlohmann::json told = parsed(assessment)["constructs"][0]["combined"];
  CHECK(told[0]["rotations_deg"][2] == 41.0);
  CHECK(told[0]["measures"]["cord_room_mm"] == 11.0);
  CHECK(told[1]["rotations_deg"][2].is_null());
  CHECK(told[1]["measures"]["cord_room_mm"].is_null());
  const std::string text = report::table(assessment, {});
  CHECK_THAT(text, Contains("flexion and left rotation, 1.50 N m: flexion 12.0, bending -3.0, rotation 41.0 deg") &&
                       Contains("mechanism; C1 floats"));
  const std::string path =
      std::filesystem::temp_directory_path() / ("opisthion_combined_" + std::to_string(std::random_device{}()) + ".h5");
  results::write_hdf5(path, assessment, {.program = "opisthion", .case_xml = "<case/>"});
  CHECK(results::read_case_text(path) == "<case/>");
  std::filesystem::remove(path);
}
