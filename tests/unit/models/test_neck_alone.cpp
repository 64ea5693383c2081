// SPDX-License-Identifier: MIT
#include <catch2/catch.hpp>
#include <filesystem>

#include "models/case/neck_alone.hpp"
#include "models/case/validate.hpp"
#include "tests/support/example.hpp"

namespace {

using namespace opisthion::models;
namespace fs = std::filesystem;

std::vector<std::string> example_names() {
  std::vector<std::string> out;
  for (const fs::directory_entry& entry : fs::directory_iterator(OPISTHION_EXAMPLES_DIR))
    if (entry.path().extension() == ".xml") out.push_back(entry.path().filename().string());
  for (const fs::directory_entry& entry : fs::directory_iterator(fs::path(OPISTHION_EXAMPLES_DIR) / "templates"))
    if (entry.path().extension() == ".xml") out.push_back("templates/" + entry.path().filename().string());
  REQUIRE(out.size() >= 14);
  return out;
}

/// A neck with everything that can have happened to one.
Case eventful() {
  Case out;
  out.name = "eventful";
  out.neck = {.upper = Level::C0,
              .lower = Level::C4,
              .bone = {.quality = BoneQuality::osteoporotic},
              .anatomy = {{.level = Level::C1, .left = {.bony_bridge = true, .artery = Artery::dominant}}},
              .joints = {{.joint = {Level::C1, Level::C2}, .slip_mm = 4.0, .reduced_mm = 3.0},
                         {.joint = {Level::C2, Level::C3}, .state = JointState::fused}},
              .instabilities = {{.kind = InstabilityKind::dens_nonunion}},
              .head_flexion_rad = 0.1};
  out.bench = {.top = Level::C0, .bottom = Level::C4, .heads = {{.name = "pull", .anchor = "C2 left"}}};
  out.bench.sequence = {"intact", "injured"};
  out.changes = {{"interface.foundation_factor", 0.05, "5 %"}};
  out.constructs = {{.name = "screws", .anchors = {{.name = "C2 left"}}}};
  return out;
}

}  // namespace

TEST_CASE("the intact row keeps anatomy, bone, levels, bench and settings, and nothing that happened to the neck") {
  const Case before = eventful();
  const Case after = intact_case(before);
  CHECK(after.neck ==
        Neck{.upper = Level::C0, .lower = Level::C4, .bone = before.neck.bone, .anatomy = before.neck.anatomy});
  CHECK(after.changes == before.changes);
  CHECK(after.constructs == std::vector<Construct>{bare_construct("intact")});
  Bench bench = before.bench;
  bench.heads.clear();
  bench.sequence.clear();
  CHECK(after.bench == bench);
}

TEST_CASE("the injured row keeps the injury, and nothing that an operation brings about") {
  const Case before = eventful();
  const Case after = injured_case(before);
  CHECK(after.neck.instabilities == before.neck.instabilities);
  CHECK(after.neck.anatomy == before.neck.anatomy);
  CHECK(after.neck.joints[0] == JointCondition{.joint = {Level::C1, Level::C2}, .slip_mm = 4.0});
  CHECK(after.neck.joints[1] == before.neck.joints[1]);
  CHECK(after.neck.head_flexion_rad == 0.0);
  CHECK(after.constructs == std::vector<Construct>{bare_construct("injured")});
  Case held = before;
  held.neck.joints[0] = {.joint = {Level::C1, Level::C2}, .state = JointState::fused};
  CHECK(injured_case(held).neck.head_flexion_rad == before.neck.head_flexion_rad);
}

TEST_CASE("the rows without metal of every shipped case are held to the rules of a case, but for a load they do not have") {
  for (const std::string& file : example_names()) {
    INFO(file);
    const Case shipped = opisthion::tests::example(file);
    for (const Case& bare : {intact_case(shipped), injured_case(shipped)})
      for (const Finding& finding : validate(bare, opisthion::tests::library())) {
        INFO(finding.where << ": " << finding.expected);
        // Rows that stand for the neck alone have the names that constructs may not take, and a rig that only pushes on
        // heads of anchors has nothing left to push.
        const bool own_name = finding.code == FindingCode::duplicate_name;
        const bool rig_of_heads = finding.code == FindingCode::no_load && !shipped.bench.heads.empty();
        CHECK((own_name || rig_of_heads || finding.severity != Severity::error));
      }
  }
}
