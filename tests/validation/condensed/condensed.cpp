// SPDX-License-Identifier: MIT
// Condensed metal against the same construct with every beam in a frame of its own, followed along the whole path: a fixed
// list from every class of constructs, six motions each. What assess answers, condensed up to a degree of turn of the metal
// in its own frame and from there on beam by beam, stays within 2 % or 0.05 deg, overall and in every joint. Tables:
// README.md.
#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <optional>
#include <string>
#include <vector>

#include "models/quantity/units.hpp"
#include "solver/study/compare.hpp"
#include "solver/study/full/beam_by_beam.hpp"
#include "solver/study/full/full_assess.hpp"
#include "solver/study/full/specimen_words.hpp"
#include "tests/support/example.hpp"
#include "tests/support/random_cases.hpp"

using namespace opisthion;
using namespace opisthion::study;
using models::Level;
using tests::Family;

namespace {

namespace full = core::full;

constexpr double kPromise = 0.02;  // of the rotation
constexpr double kPromise_deg = 0.05;

/// How far a rotation is off, as a share of what is promised.
double of_promise(double answer_deg, double yardstick_deg) {
  return std::abs(answer_deg - yardstick_deg) / std::max(kPromise_deg, kPromise * std::abs(yardstick_deg));
}

/// The worst of the whole and its joints.
double of_promise(const FullFigures& answer, const FullFigures& yardstick, models::Motion motion) {
  double worst = of_promise(rotation_deg(answer.overall, motion), rotation_deg(yardstick.overall, motion));
  for (std::size_t i = 0; i < answer.joints.size(); ++i)
    worst = std::max(worst, of_promise(rotation_deg(answer.joints[i], motion), rotation_deg(yardstick.joints[i], motion)));
  return worst;
}

struct Compared {
  int loads = 0;
  int turned = 0;                ///< of them: metal turned further than condensing may answer
  int followed = 0;              ///< of them: the whole path had to be followed
  double worst_condensed = 0.0;  ///< of all: condensed metal by itself, as a share of what is promised
  double worst_answered = 0.0;   ///< what assess answers
  std::string where{};           ///< the worst answered
};

void compare(const models::Case& the_case, const models::Construct& construct, Compared& out) {
  const auto built = build_parts(the_case, construct, tests::library(), 8);
  REQUIRE(built);
  const auto condensed = make_specimen(*built, {});
  const auto beams = make_specimen(*built, {.metal = Metal::corotational});
  REQUIRE(condensed);
  REQUIRE(beams);
  REQUIRE(condensed->model.components > 0);
  const full::WorkspacePtr work = full::make_workspace(condensed->model);
  const full::WorkspacePtr beams_work = full::make_workspace(beams->model);
  const int steps = condensed->mesh.program.steps;
  for (const mesh::LoadCase& load_case : condensed->mesh.program.cases) {
    const auto motion = models::motion_from_name(load_case.id);
    if (load_case.kind != mesh::LoadKind::motion || !motion) continue;
    const FullRun yardstick = run_load(*beams, load_case, steps, Look::figures, *beams_work);
    FullRun run = run_load(*condensed, load_case, steps, Look::figures, *work);
    if (!has_figure(run.verdict.status) || !has_figure(yardstick.verdict.status)) continue;
    ++out.loads;
    out.worst_condensed = std::max(out.worst_condensed, of_promise(run.figures, yardstick.figures, *motion));
    if (models::to_deg(run.metal_turn_rad) > kMostMetalTurn_deg) {
      ++out.turned;
      if (!end_beam_by_beam(run, *condensed, *beams, load_case, *beams_work)) {
        ++out.followed;
        continue;  // then the answer is the yardstick itself
      }
    }
    const double answered = of_promise(run.figures, yardstick.figures, *motion);
    if (answered < out.worst_answered) continue;
    out.worst_answered = answered;
    out.where = the_case.name + ", " + construct.name + ", " + load_case.id;
  }
}

struct Class {
  std::string name;
  Family family;
  std::optional<models::JointId> span;
  std::vector<std::uint64_t> numbers;
  int loads;   ///< that have a figure
  int turned;  ///< at least
};

}  // namespace

TEST_CASE("condensed metal and what takes over from it keep their promise in every class of constructs") {
  // Drawn cases in which condensing by itself errs most, and everyday ones.
  const std::vector<Class> classes{
      {"screws and rods", Family::screws_and_rods, {}, {2, 144, 149, 192}, 24, 18},
      {"keel plate and rods to C2", Family::screws_and_rods, models::JointId{Level::C0, Level::C2}, {15}, 6, 1},
      {"keel plate and rods to C4", Family::screws_and_rods, models::JointId{Level::C0, Level::C4}, {46}, 6, 1},
      {"keel plate and rods to C6", Family::screws_and_rods, models::JointId{Level::C0, Level::C6}, {72}, 6, 1},
      {"keel plate and rods to T1", Family::screws_and_rods, models::JointId{Level::C0, Level::T1}, {9, 49}, 12, 6},
      {"lateral mass plates", Family::plates, {}, {6}, 6, 3},
      {"wired rods", Family::wired_rods, {}, {3, 33, 58}, 18, 6},
      {"screws and wires on rods", Family::mixed_rods, {}, {14, 20}, 12, 6},
      {"screws across a joint", Family::joint_screws, {}, {4}, 6, 1}};
  int told_of_more = 0;
  for (const Class& one : classes) {
    Compared all;
    for (const std::uint64_t number : one.numbers) {
      const auto drawn = tests::random_case(number, tests::library(), {.family = one.family, .span = one.span});
      REQUIRE(drawn);
      compare(drawn->the_case, drawn->the_case.constructs.front(), all);
    }
    WARN(one.name << ": " << all.loads << " loads, " << all.turned << " beyond " << kMostMetalTurn_deg << " deg, "
                  << all.followed << " followed beam by beam; of 2 % or 0.05 deg: condensed alone " << all.worst_condensed
                  << ", as answered " << all.worst_answered << " (" << all.where << ")");
    CHECK(all.loads >= one.loads);
    CHECK(all.turned >= one.turned);
    CHECK(all.worst_answered <= 1.0);
    told_of_more += all.worst_condensed > 1.0 ? 1 : 0;
  }
  CHECK(told_of_more >= 6);  // in these condensed metal by itself would break the promise: there is something to take over
}

TEST_CASE("wires and clamps with grafts have no metal to condense") {
  for (std::uint64_t number = 1; number <= 4; ++number) {
    const auto drawn = tests::random_case(number, tests::library(), {.family = Family::ties, .span = {}});
    REQUIRE(drawn);
    const auto built = build_parts(drawn->the_case, drawn->the_case.constructs.front(), tests::library(), 8);
    REQUIRE(built);
    CHECK(built->components.empty());
  }
}

TEST_CASE("a keel plate with rods to C4 turns further than condensed metal can tell, and assess answers it beam by beam") {
  models::Case the_case = tests::example("settling_to_c4.xml");
  const auto found = std::find_if(the_case.constructs.begin(), the_case.constructs.end(), [](const auto& construct) {
    return construct.name.find("keel plate + C2 pedicle") != std::string::npos;
  });
  REQUIRE(found != the_case.constructs.end());
  const models::Construct construct = *found;
  Compared compared;
  compare(the_case, construct, compared);
  CHECK(compared.worst_condensed > 1.0);  // so there is something to take over
  CHECK(compared.worst_answered < 0.1);
  const auto beams = make_specimen(the_case, construct, tests::library(), {.metal = Metal::corotational});
  REQUIRE(beams);
  const full::WorkspacePtr work = full::make_workspace(beams->model);
  const ConstructResult told =
      assess_full(the_case, construct, tests::library(),
                  {.only_motions = {models::Motion::flexion}, .friction_range = false}, RowKind::construct);
  REQUIRE(told.motions.size() == 1);
  for (const mesh::LoadCase& load_case : beams->mesh.program.cases) {
    if (load_case.id != "flexion") continue;
    const FullRun yardstick = run_load(*beams, load_case, beams->mesh.program.steps, Look::figures, *work);
    CHECK(told.motions[0].rotation_deg ==
          Approx(rotation_deg(yardstick.figures.overall, models::Motion::flexion)).margin(1e-3));
  }
  CHECK(std::any_of(told.notes.begin(), told.notes.end(), [](const std::string& note) {
    return note == "loads in which it would turn further than 1 deg are answered beam by beam";
  }));
}
