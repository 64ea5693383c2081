// SPDX-License-Identifier: MIT
#include <algorithm>
#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <limits>
#include <nlohmann/json.hpp>
#include <random>
#include <sstream>

#include "solver/report/bench_text.hpp"
#include "solver/report/caution.hpp"
#include "solver/report/columns.hpp"
#include "solver/report/curves_text.hpp"
#include "solver/results/curves_csv.hpp"
#include "solver/results/curves_hdf5.hpp"
#include "solver/results/curves_json.hpp"
#include "solver/results/h5.hpp"
#include "solver/results/hdf5.hpp"
#include "solver/results/io_error.hpp"
#include "tests/unit/study/sample_curves.hpp"

using namespace opisthion;
using namespace opisthion::study;
using Catch::Matchers::Contains;

namespace {

const results::Stamp kStamp{
    .program = "opisthion", .version = "0", .caution = std::string(report::kCaution), .case_xml = "<case/>"};

nlohmann::json parsed(const Curves& curves) {
  return nlohmann::json::parse(results::curves_json(curves, kStamp));
}

/// A line of comma-separated values with quotes (RFC 4180).
std::vector<std::string> cells(const std::string& line) {
  std::vector<std::string> out{""};
  bool inside = false;
  for (std::size_t i = 0; i < line.size(); ++i) {
    const char c = line[i];
    if (inside && c == '"' && i + 1 < line.size() && line[i + 1] == '"') {
      out.back() += line[++i];
    } else if (c == '"') {
      inside = !inside;
    } else if (c == ',' && !inside) {
      out.emplace_back();
    } else {
      out.back() += c;
    }
  }
  return out;
}

struct Table {
  std::vector<std::string> comments{}, header{};
  std::vector<std::vector<std::string>> lines{};
  const std::string& at(std::size_t line, const std::string& column) const {
    const auto found = std::find(header.begin(), header.end(), column);
    REQUIRE(found != header.end());
    return lines[line][static_cast<std::size_t>(found - header.begin())];
  }
};

Table table_of(const std::string& text) {
  Table out;
  std::istringstream in(text);
  for (std::string line; std::getline(in, line);) {
    if (line.starts_with("# "))
      out.comments.push_back(line);
    else if (out.header.empty())
      out.header = cells(line);
    else
      out.lines.push_back(cells(line));
  }
  return out;
}

/// Its own for each run: ctest runs these tests side by side.
struct Folder {
  std::filesystem::path path =
      std::filesystem::temp_directory_path() / ("opisthion_curve_outputs_" + std::to_string(std::random_device{}()));
  Folder() {
    std::filesystem::remove_all(path);
    std::filesystem::create_directory(path);
  }
  ~Folder() { std::filesystem::remove_all(path); }
  std::ptrdiff_t files() const {
    return std::distance(std::filesystem::directory_iterator(path), std::filesystem::directory_iterator());
  }
};

}  // namespace

TEST_CASE("curves as JSON: rows, planes, points and figures under names that carry their unit") {
  const nlohmann::json document = parsed(sample_curves());
  CHECK(document["document"] == "curves");
  CHECK(document["caution"] == report::kCaution);
  CHECK(document["rows"].size() == 3);
  CHECK(document["rows"][0]["row"] == "intact");
  const auto& plane = document["rows"][0]["planes"]["rotation"];
  CHECK(plane["points"].size() == 9);
  CHECK(plane["points"][8]["moment_Nm"] == 1.5);
  CHECK(plane["points"][8]["parts"]["overall"]["rotations_deg"][2].get<double>() == 8.0 * 1.5 / 2.5);
  CHECK(plane["points"][8]["parts"]["C1-C2"]["translation_mm"].size() == 3);
  CHECK(plane["left_rotation"]["sign_of_moment"] == 1);
  CHECK(plane["right_rotation"]["load_fraction"] == 1.0);
  const auto& overall = plane["parts"][0];
  CHECK(overall["name"] == "overall");
  CHECK(overall["left_rotation"]["lax_zone_deg"].get<double>() == Approx(0.8 / 1.1));
  CHECK(overall["left_rotation"]["secant_stiffness_Nm_per_deg"].get<double>() == Approx(1.5 / 4.8));
  CHECK(overall["left_rotation"]["coupled_deg_per_deg"]["flexion"].get<double>() == Approx(0.05));
  CHECK(overall["left_rotation"]["helical_axis"]["direction"][2].get<double>() == Approx(1.0));
  CHECK(overall["right_rotation"]["helical_axis"]["direction"][2].get<double>() == Approx(-1.0));
  CHECK(overall["loop_area_Nmm"].is_null());  // nothing rubs
  const auto& wired = document["rows"][2]["planes"]["rotation"];
  CHECK(wired["cycles"] == 3);
  CHECK(wired["last_cycle"].size() == 9);
  CHECK(wired["parts"][0]["loop_area_Nmm"].get<double>() > 0.0);
  CHECK(wired["parts"][0]["left_rotation"]["residual_rotation_deg"].get<double>() == Approx(0.4));
  CHECK(wired["points"][8]["slipping"][0] == "rod 'left' through its wire at C3");
}

TEST_CASE("curves as JSON: what was not reached or floats is null, and a side not run says so") {
  Curves curves = sample_curves();
  curves.rows[0].planes[0].parts[2].floats = true;
  curves.rows[0].planes[0].sides[1].run = false;
  curves.rows[0].planes[0].points[1].measures.cord_room_mm = std::numeric_limits<double>::quiet_NaN();
  const nlohmann::json document = parsed(curves);
  const auto& injured = document["rows"][1]["planes"]["flexion_extension"];
  CHECK(injured["extension"]["status"] == "mechanism");
  CHECK(injured["extension"]["load_fraction"].get<double>() == Approx(2.0 / 3.0));
  CHECK(injured["extension"]["solve"]["branches"] == 1);
  CHECK(injured["points"][0]["parts"]["overall"]["rotations_deg"][0].is_null());
  CHECK(injured["points"][0]["measures"]["cord_room_mm"].is_null());
  CHECK(injured["parts"][0]["extension"]["rotation_deg"].is_null());
  CHECK(injured["parts"][0]["extension"]["helical_axis"].is_null());
  CHECK_FALSE(injured["parts"][0]["flexion"]["rotation_deg"].is_null());
  const auto& intact = document["rows"][0]["planes"]["flexion_extension"];
  CHECK(intact["points"][8]["parts"]["C2-C3"]["rotations_deg"][0].is_null());
  CHECK(intact["parts"][2]["flexion"]["secant_stiffness_Nm_per_deg"].is_null());
  CHECK(intact["flexion"]["run"] == false);
  CHECK_FALSE(intact["flexion"].contains("status"));
  CHECK(intact["points"][1]["measures"]["cord_room_mm"].is_null());
}

TEST_CASE("curves as CSV: a line a point under a header with units, comments first, text quoted") {
  const Curves curves = sample_curves();
  const Table table = table_of(results::curves_csv(curves, kStamp));
  REQUIRE(table.comments.size() == 4);
  CHECK_THAT(table.comments.back(), Contains("Not a medical device"));
  CHECK(table.lines.size() == 3 * 9 + 9 + 9 + 9);
  for (const auto& line : table.lines) CHECK(line.size() == table.header.size());
  for (const std::string& column : table.header)
    CHECK((column.ends_with("_deg") || column.ends_with("_mm") || column.ends_with("_Nm") || column == "load_fraction" ||
           column == "row" || column == "construct" || column == "kinematics" || column == "plane" || column == "pass" ||
           column == "point" || column == "status" || column == "slipping"));
  CHECK(table.at(8, "row") == "intact");
  CHECK(table.at(8, "plane") == "flexion_extension");
  CHECK(std::stod(table.at(8, "moment_Nm")) == 1.5);
  CHECK(std::stod(table.at(8, "overall_flexion_deg")) == 8.0 * 1.5 / 2.5);  // to the last bit
  CHECK(std::stod(table.at(8, "C1-C2_translation_z_mm")) == -0.02);
  CHECK(table.at(27, "status") == "mechanism");
  CHECK(table.at(27, "overall_flexion_deg").empty());
  CHECK(table.at(27, "cord_room_mm").empty());
  CHECK(table.at(36, "construct") == "rods, \"wired\" # both");
  CHECK(table.at(44, "slipping") == "rod 'left' through its wire at C3");
  CHECK(table.at(44, "pass") == "loading");
  CHECK(table.at(45, "pass") == "cycle");
}

TEST_CASE("curves as CSV: a line break in a name breaks no line") {
  Curves curves = sample_curves();
  curves.case_name = "one\ntwo";
  curves.rows[2].name = "three\r\nfour";
  const Table table = table_of(results::curves_csv(curves, kStamp));
  CHECK(table.comments.size() == 4);
  CHECK(table.at(36, "construct") == "three  four");
}

TEST_CASE("curves as HDF5: the case can be solved again from the file, equal input gives equal bytes") {
  const Folder folder;
  const std::string a = folder.path / "a.h5", b = folder.path / "b.h5";
  results::write_curves_hdf5(a, sample_curves(), kStamp);
  results::write_curves_hdf5(b, sample_curves(), kStamp);
  CHECK(results::read_case_text(a) == "<case/>");
  CHECK(results::h5::read_text_attribute(a, "format") == "opisthion-curves");
  const auto bytes = [](const std::string& path) {
    std::ifstream in(path, std::ios::binary);
    return std::string(std::istreambuf_iterator<char>(in), {});
  };
  CHECK(bytes(a) == bytes(b));
  CHECK(results::looks_like_hdf5(bytes(a)));
}

TEST_CASE("curves that cannot be written leave nothing behind, and what was there stays") {
  const Folder folder;
  CHECK_THROWS_AS(results::write_curves_csv(folder.path / "no such folder" / "a.csv", sample_curves(), kStamp),
                  results::IoError);
  std::filesystem::create_directory(folder.path / "taken");
  CHECK_THROWS_AS(results::write_curves_csv(folder.path / "taken", sample_curves(), kStamp), results::IoError);
  CHECK_THROWS_AS(results::write_curves_hdf5(folder.path / "taken", sample_curves(), kStamp), results::IoError);
  CHECK(folder.files() == 1);
  results::write_curves_csv(folder.path / "a.csv", sample_curves(), kStamp);
  CHECK(folder.files() == 2);  // no temporary beside it
}

TEST_CASE("curves as text: 100 columns, one decimal of a degree, status and the caution at the end") {
  Curves curves = sample_curves();
  curves.rows[2].name = std::string(300, 'w');
  const std::string text = report::curves_text(curves, {.program = "opisthion 0"});
  std::istringstream in(text);
  for (std::string line; std::getline(in, line);) CHECK(report::columns(line) <= 100);
  CHECK_THAT(text, Catch::Matchers::EndsWith(report::wrap(report::kCaution, 100, 0) + "\n"));
  CHECK_THAT(text, Contains("4.8") && !Contains("4.80 "));
  CHECK_THAT(text, Contains("extension: mechanism, 0.67 of the moment reached; C1 slides backward on C2"));
  CHECK_THAT(text, Contains("neutral zone 0.8 deg"));
  CHECK_THAT(text, Contains("wire left: 100 N, 62 N left at rest"));
}

TEST_CASE("curves as text: ten joints still fit the width, and nothing from a file reaches the terminal unescaped") {
  Curves curves = sample_curves();
  PlaneCurve& curve = curves.rows[0].planes[0];
  while (curve.parts.size() < 11) {
    curve.parts.push_back(curve.parts[1]);
    for (CurvePoint& point : curve.points) {
      point.parts.push_back(point.parts[1]);
      point.parts.back().rotations_deg[0] = -123.4;
      point.status = Status::approximate;
    }
  }
  curves.case_name = "a\x1b[2Jcase";
  curves.rows[2].name = "b\x1b]0;x\x07";
  curves.rows[1].planes[0].sides[0].reason = "c\x1b[1m";
  const std::string text = report::curves_text(curves, {});
  CHECK(text.find('\x1b') == std::string::npos);
  CHECK(text.find('\x07') == std::string::npos);
  std::istringstream in(text);
  for (std::string line; std::getline(in, line);) CHECK(report::columns(line) <= 100);
}

TEST_CASE("curves as text: an approximate figure stands in parentheses") {
  Curves curves = sample_curves();
  PlaneCurve& curve = curves.rows[0].planes[2];
  curve.points.back().status = Status::approximate;
  curve.sides[1].status = Status::approximate;
  curve.sides[1].reason = "friction's caps do not settle";
  const std::string text = report::curves_text(curves, {});
  CHECK_THAT(text, Contains("(4.8)") && Contains("approximate: see status") && Contains("friction's caps do not settle"));
}

TEST_CASE("a bench says in words and in JSON what it does beyond plain moments, and nothing where it does not") {
  Curves curves = sample_curves();
  CHECK(report::bench_words(curves.bench, report::BenchRun::full).empty());
  CHECK_FALSE(parsed(curves)["bench"].contains("follower"));
  CHECK(parsed(curves)["moment_kind"] == "conservative");
  curves.bench.moment_kind = models::MomentKind::head_following;
  curves.bench.follower =
      models::FollowerLoad{.force_N = 100.0, .guides = {{.level = models::Level::C2, .forward_mm = 4.0}}};
  curves.bench.dead_weight = models::TopForce{.force_N = 40.0, .line = models::AxialLine::condyles, .forward_mm = 5.0};
  curves.bench.sequence = {"intact", "injured", "rods"};
  CHECK(report::bench_words(curves.bench, report::BenchRun::full) ==
        "moments about axes that turn with the loaded level; preload, on under every load: follower load 100 N, dead weight "
        "40 N on C1, 5.0 mm forward of the condyles; one specimen: intact, then injured, then rods");
  const nlohmann::json bench = parsed(curves)["bench"];
  CHECK(bench["moment_kind"] == "head_following");
  CHECK(bench["follower"]["force_N"] == 100.0);
  CHECK(bench["follower"]["stated_guides"][0]["level"] == "C2");
  CHECK(bench["dead_weight"]["forward_mm"] == 5.0);
  CHECK(bench["sequence"][2] == "rods");
}
