// SPDX-License-Identifier: MIT
// The hybrid protocol and the states of one specimen: JSON, HDF5 and table say the same.
#include <array>
#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>
#include <nlohmann/json.hpp>
#include <random>
#include <string>
#include <vector>

#include <hdf5.h>

#include "solver/report/bench_text.hpp"
#include "solver/report/table.hpp"
#include "solver/results/hdf5.hpp"
#include "solver/results/json.hpp"
#include "solver/study/sequence.hpp"

using namespace opisthion;
using namespace opisthion::study;
using Catch::Matchers::Contains;

namespace {

constexpr std::size_t kFlexion = 0, kExtension = 1, kLeftBending = 2;

MotionResult motion(models::Motion which, double rotation_deg, Status status = Status::solved) {
  MotionResult out{.motion = which, .status = status, .kinematics = "full", .moment_Nm = 1.5, .rotation_deg = rotation_deg};
  out.joints = {{.joint = "C1-C2"}, {.joint = "C2-C3"}};
  return out;
}

HybridMotion turned(Status status, const std::string& reason) {
  return {.status = status,
          .reason = reason,
          .target_deg = 12.0,
          .reached_deg = 12.01,
          .moment_Nm = 4.5,
          .joints = {{.joint = "C1-C2", .rotation_deg = 2.0}, {.joint = "C2-C3", .rotation_deg = 10.0}}};
}

/// An intact neck and a construct in three motions; the specimen is tested as both, and in a state that is not assessed.
Assessment assessed() {
  Assessment out;
  out.case_name = "a case";
  out.bench.top = models::Level::C1;
  out.bench.hybrid = true;
  out.bench.sequence = {"intact", "not assessed", "rods"};
  ConstructResult intact{.row = RowKind::intact, .name = "intact", .kinematics = "full", .status = Status::solved};
  intact.motions = {motion(models::Motion::flexion, 12.0), motion(models::Motion::extension, 30.0, Status::approximate),
                    motion(models::Motion::left_bending, 8.0)};
  ConstructResult rods{.name = "rods", .kinematics = "full", .status = Status::solved};
  rods.motions = {motion(models::Motion::flexion, 3.0), motion(models::Motion::extension, 4.0),
                  motion(models::Motion::left_bending, 7.98)};
  rods.motions[kFlexion].hybrid = turned(Status::approximate, "unstable even while the turn is held");
  rods.motions[kLeftBending].hybrid = {.reason = "no equilibrium is found on the way", .target_deg = 8.0};
  out.constructs = {intact, rods};
  return out;
}

/// A file that is gone when the test is.
struct TemporaryFile {
  std::string path =
      std::filesystem::temp_directory_path() / ("opisthion_hybrid_" + std::to_string(std::random_device{}()) + ".h5");
  ~TemporaryFile() { std::filesystem::remove(path); }
};

/// Read with the library alone.
class Reader {
 public:
  explicit Reader(const std::string& path) : file_(H5Fopen(path.c_str(), H5F_ACC_RDONLY, H5P_DEFAULT)) {
    REQUIRE(file_ >= 0);
  }
  ~Reader() { H5Fclose(file_); }
  Reader(const Reader&) = delete;
  Reader& operator=(const Reader&) = delete;

  bool has(const std::string& path) const { return H5Lexists(file_, path.c_str(), H5P_DEFAULT) > 0; }
  std::vector<hsize_t> shape(const std::string& path) const {
    const hid_t set = H5Dopen2(file_, path.c_str(), H5P_DEFAULT);
    REQUIRE(set >= 0);
    const hid_t space = H5Dget_space(set);
    std::vector<hsize_t> out(static_cast<std::size_t>(H5Sget_simple_extent_ndims(space)));
    H5Sget_simple_extent_dims(space, out.data(), nullptr);
    H5Sclose(space);
    H5Dclose(set);
    return out;
  }
  std::vector<double> numbers(const std::string& path) const {
    std::vector<double> out(count(path));
    const hid_t set = H5Dopen2(file_, path.c_str(), H5P_DEFAULT);
    REQUIRE(H5Dread(set, H5T_NATIVE_DOUBLE, H5S_ALL, H5S_ALL, H5P_DEFAULT, out.data()) >= 0);
    H5Dclose(set);
    return out;
  }
  std::vector<std::string> words(const std::string& path) const {
    const hid_t set = H5Dopen2(file_, path.c_str(), H5P_DEFAULT);
    const hid_t type = H5Dget_type(set);
    std::vector<std::string> out;
    if (H5Tis_variable_str(type) > 0) {
      std::vector<char*> read(count(path));
      REQUIRE(H5Dread(set, type, H5S_ALL, H5S_ALL, H5P_DEFAULT, read.data()) >= 0);
      for (char* text : read) {
        out.emplace_back(text);
        H5free_memory(text);
      }
    } else {
      const std::size_t size = H5Tget_size(type);
      std::string read(count(path) * size, '\0');
      REQUIRE(H5Dread(set, type, H5S_ALL, H5S_ALL, H5P_DEFAULT, read.data()) >= 0);
      for (std::size_t i = 0; i < count(path); ++i) out.emplace_back(read.substr(i * size, size).c_str());
    }
    H5Tclose(type);
    H5Dclose(set);
    return out;
  }

 private:
  std::size_t count(const std::string& path) const {
    std::size_t out = 1;
    for (const hsize_t size : shape(path)) out *= static_cast<std::size_t>(size);
    return out;
  }
  hid_t file_;
};

nlohmann::json parsed(const Assessment& assessment) {
  return nlohmann::json::parse(results::to_json(assessment, {.program = "opisthion"}));
}

}  // namespace

TEST_CASE(
    "HDF5 holds the hybrid protocol as JSON does: by motion, figures by their status, and nothing where it was not run") {
  const Assessment assessment = assessed();
  const TemporaryFile file;
  results::write_hdf5(file.path, assessment, {.program = "opisthion", .case_xml = "<case/>"});
  const Reader read(file.path);
  CHECK_FALSE(read.has("/necks/0/hybrid"));
  const std::string at = "/constructs/0/hybrid";
  REQUIRE(read.has(at));
  const nlohmann::json motions = parsed(assessment)["constructs"][0]["motions"];
  const auto status = read.words(at + "/status");
  const auto reason = read.words(at + "/reason");
  REQUIRE(status.size() == 6);
  CHECK(status[kFlexion] == "approximate");
  CHECK(status[kExtension] == "not run");
  CHECK(status[kLeftBending] == "no answer");
  CHECK_FALSE(motions["extension"].contains("hybrid"));
  for (const auto& [name, place] :
       {std::pair<const char*, std::size_t>{"flexion", kFlexion}, {"left_bending", kLeftBending}}) {
    INFO(name);
    const nlohmann::json& hybrid = motions[name]["hybrid"];
    CHECK(hybrid["status"] == status[place]);
    CHECK(hybrid["reason"] == reason[place]);
    for (const char* key : {"target_deg", "rotation_deg", "moment_Nm"}) {
      INFO(key);
      const double value = read.numbers(at + "/" + key)[place];
      if (hybrid[key].is_null())
        CHECK(std::isnan(value));
      else
        CHECK(hybrid[key].get<double>() == value);
    }
  }
  // Approximate: null in place, the figures apart, as those of the motions.
  const nlohmann::json& approximate = motions["flexion"]["hybrid"];
  for (const char* key : {"rotation_deg", "moment_Nm"}) {
    INFO(key);
    CHECK(approximate[key].is_null());
    CHECK(approximate["approximate_figures"][key].get<double>() ==
          read.numbers(at + "/approximate_figures/" + key)[kFlexion]);
  }
  CHECK(approximate["approximate_figures"]["moment_Nm"] == 4.5);
  CHECK_FALSE(motions["left_bending"]["hybrid"].contains("approximate_figures"));
  CHECK(motions["left_bending"]["hybrid"]["moment_Nm"].is_null());
  CHECK(read.shape(at + "/joints_deg") == std::vector<hsize_t>{6, 2});
  CHECK(std::isnan(read.numbers(at + "/joints_deg")[2 * kFlexion]));
  const std::vector<double> joints = read.numbers(at + "/approximate_figures/joints_deg");
  CHECK(joints[2 * kFlexion] == 2.0);
  CHECK(joints[2 * kFlexion + 1] == 10.0);
  CHECK(std::isnan(joints[2 * kLeftBending]));
  CHECK(approximate["joints_deg"]["C2-C3"].is_null());
  CHECK(approximate["approximate_figures"]["joints_deg"]["C2-C3"] == 10.0);
  CHECK_FALSE(read.has("/constructs/0/small_displacement"));  // all is full here
  CHECK_FALSE(read.has("/constructs/0/shear/small_displacement"));
}

TEST_CASE(
    "a hybrid turn that rounds unlike the intact neck's says what was reached, or its joints would seem to exceed it") {
  Assessment assessment = assessed();
  HybridMotion& hybrid = *assessment.constructs[1].motions[kFlexion].hybrid;
  hybrid = turned(Status::solved, "");
  hybrid.target_deg = 9.13;
  hybrid.reached_deg = 9.16;
  CHECK_THAT(report::table(assessment, {}), Contains("flexion to 9.1 deg as intact (9.2 reached): 4.50 N m"));
  hybrid.reached_deg = 9.14;
  CHECK_THAT(report::table(assessment, {}), Contains("flexion to 9.1 deg as intact: 4.50 N m"));
}

TEST_CASE("HDF5 holds the joints of combined moments, and figures of approximate ones apart") {
  Assessment assessment = assessed();
  CombinedResult load{.id = "combined/0",
                      .name = "both",
                      .status = Status::solved,
                      .moment_Nm = 1.5,
                      .rotations_deg = {12.0, -3.0, 41.0},
                      .joints = {{.joint = "C1-C2", .rotations_deg = {1.0, 2.0, 3.0}, .translation_mm = {4.0, 5.0, 6.0}}}};
  CombinedResult other = load;
  other.status = Status::approximate;
  assessment.constructs[1].combined = {load, other};
  const TemporaryFile file;
  results::write_hdf5(file.path, assessment, {.program = "opisthion", .case_xml = "<case/>"});
  const Reader read(file.path);
  const std::string at = "/constructs/0/combined";
  CHECK(read.words(at + "/joint") == std::vector<std::string>{"C1-C2"});
  CHECK(read.shape(at + "/joint_rotations_deg") == std::vector<hsize_t>{2, 1, 3});
  for (const std::string apart : {"", "/approximate_figures"}) {
    INFO(apart);
    const std::size_t here = apart.empty() ? 0 : 1;
    const std::vector<double> turns = read.numbers(at + apart + "/joint_rotations_deg");
    const std::vector<double> whole = read.numbers(at + apart + "/rotations_deg");
    CHECK(turns[3 * here + 2] == 3.0);
    CHECK(read.numbers(at + apart + "/joint_translation_mm")[3 * here] == 4.0);
    CHECK(whole[3 * here + 2] == 41.0);
    CHECK(std::isnan(turns[3 * (1 - here)]));
    CHECK(std::isnan(whole[3 * (1 - here)]));
  }
}

TEST_CASE(
    "the states of one specimen: each counts from the last that was assessed, and only solved rotations are compared") {
  const Assessment assessment = assessed();
  const std::vector<SequenceState> states = sequence_of(assessment);
  REQUIRE(states.size() == 2);
  CHECK(states[0].since.empty());
  CHECK(states[1].row->name == "rods");
  CHECK(states[1].since == "intact");
  for (const auto& change : states[0].change_deg) CHECK_FALSE(change.has_value());
  REQUIRE(states[1].change_deg[kFlexion]);
  CHECK(*states[1].change_deg[kFlexion] == Approx(-9.0));
  CHECK_FALSE(states[1].change_deg[kExtension].has_value());  // the intact neck's is approximate
}

TEST_CASE("the changes from one state to the next stand in JSON, in HDF5 and in the table, and nowhere without a sequence") {
  Assessment assessment = assessed();
  const nlohmann::json told = parsed(assessment)["sequence"];
  REQUIRE(told.size() == 2);
  CHECK(told[0]["row"] == "intact");
  CHECK(told[0]["since"].is_null());
  CHECK(told[0]["change_deg"]["flexion"].is_null());
  CHECK(told[1]["since"] == "intact");
  CHECK(told[1]["change_deg"]["flexion"].get<double>() == Approx(-9.0));
  CHECK(told[1]["change_deg"]["extension"].is_null());
  {
    const TemporaryFile file;
    results::write_hdf5(file.path, assessment, {.program = "opisthion", .case_xml = "<case/>"});
    const Reader read(file.path);
    CHECK(read.words("/sequence/row") == std::vector<std::string>{"intact", "rods"});
    CHECK(read.words("/sequence/since") == std::vector<std::string>{"", "intact"});
    CHECK(read.shape("/sequence/change_deg") == std::vector<hsize_t>{2, 6});
    CHECK(read.numbers("/sequence/change_deg")[6 + kFlexion] == told[1]["change_deg"]["flexion"].get<double>());
  }
  const std::string text = report::table(assessment, {});
  CHECK_THAT(text, Contains("one specimen, in the order of the test") && Contains("-9.0 ") && !Contains("-0.0"));
  assessment.bench.sequence.clear();
  CHECK_FALSE(parsed(assessment).contains("sequence"));
  CHECK_THAT(report::table(assessment, {}), !Contains("one specimen"));
}

TEST_CASE("the table says why a hybrid figure is not solved, and which motions were not turned") {
  const std::string text = report::table(assessed(), {});
  CHECK_THAT(text, Contains("flexion to 12.0 deg as intact: (4.50 N m), C1-C2 2.0 deg, C2-C3 10.0 deg; unstable\n           "
                            "   even while the turn is held"));
  CHECK_THAT(text, Contains("left bending to 8.0 deg as intact: no equilibrium is found on the way"));
  CHECK_THAT(text, Contains("extension: not turned, for the intact neck's own rotation is not solved"));
}

TEST_CASE("what a bench puts on is told as the run has it: cycles belong to curves, preloads to full kinematics") {
  models::Bench bench;
  bench.top = models::Level::C0;
  bench.cycles = 3;
  using report::BenchRun;
  CHECK(report::bench_words(bench, BenchRun::curves) == "3 cycles of loading and unloading where friction acts");
  CHECK(report::bench_words(bench, BenchRun::full) ==
        "each load comes on once (the 3 cycles of loading and unloading are run by opisthion curves)");
  bench.cycles = models::kUnstatedCycles;
  CHECK(report::bench_words(bench, BenchRun::curves) == "3 cycles of loading and unloading where friction acts");
  CHECK(report::bench_words(bench, BenchRun::full).empty());
  bench.hybrid = true;
  bench.dead_weight =
      models::TopForce{.force_N = 40.0, .line = models::AxialLine::condyles, .forward_mm = 20.0, .above_mm = -40.0};
  CHECK(report::bench_words(bench, BenchRun::full) ==
        "preload, on under every load: dead weight 40 N on C0, 20.0 mm forward of the condyles and 40.0 mm below them; "
        "hybrid: every other row turned as far as the intact neck, too");
  CHECK(report::bench_words(bench, BenchRun::small) ==
        "small kinematics leaves out: dead weight 40 N on C0, 20.0 mm forward of the condyles and 40.0 mm "
        "below them, the hybrid protocol");
  bench.dead_weight.reset();
  bench.hybrid = false;
  bench.traction = models::TopForce{.force_N = 10.0, .line = models::AxialLine::dens};
  CHECK(report::bench_words(bench, BenchRun::full) == "preload, on under every load: traction 10 N on C0 at the dens");
}

TEST_CASE("before any load joints are moved by assembly, or by what the bench has on, and the table says by which") {
  Assessment assessment = assessed();
  for (ConstructResult& row : assessment.constructs) {
    row.at_rest.cord_room_mm = 15.0;
    row.rest = {{.joint = "C1-C2", .rotations_deg = {2.0, 0.0, 0.0}}};
  }
  assessment.constructs[1].assembly = {{.name = "wire", .asked_N = 50.0, .at_rest_N = 40.0}};
  CHECK_THAT(report::table(assessment, {}),
             Contains("assembly    puts C1-C2 at flexion 2.0 deg") && Contains("cord room 15.0 mm, without load; the slip"));
  assessment.bench.follower = models::FollowerLoad{.force_N = 100.0, .guides = {}};
  const std::string text = report::table(assessment, {});
  CHECK_THAT(text, Contains("preload     puts C1-C2 at flexion 2.0 deg") && Contains("assembly    and preload put C1-C2") &&
                       Contains("cord room 15.0 mm, under the preload alone; the slip") && !Contains("without load"));
}
