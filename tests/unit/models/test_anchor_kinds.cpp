// SPDX-License-Identifier: MIT
// Every kind of anchor at every level it is put in: table, library numbers, facts of the trade.
#include <catch2/catch.hpp>

#include "models/hardware/allowed_anchors.hpp"
#include "models/hardware/anchor_kinds.hpp"
#include "models/hardware/trajectory.hpp"
#include "tests/support/example.hpp"

using namespace opisthion;
using models::AnchorKind;
using models::Grip;
using models::Level;
using models::Purchase;

namespace {

template <typename Visit>
void each_kind_and_level(const Visit& visit) {
  for (const models::AnchorKindRow& row : models::anchor_kinds())
    for (int i = 0; i < models::kLevelCount; ++i)
      if (models::sits_at(row.kind, static_cast<Level>(i))) visit(row, static_cast<Level>(i));
}

double pull_out(AnchorKind kind, Level level, Purchase purchase = Purchase::unicortical, std::string_view bone = "normal") {
  return models::ParameterReader(tests::library())
      .scalar(models::library_stem(kind, level, purchase).append(".pull_out_").append(bone));
}

}  // namespace

TEST_CASE("anchor kinds: the table has one row for each kind, in the order of the enumeration") {
  const auto& rows = models::anchor_kinds();
  REQUIRE(rows.size() == static_cast<std::size_t>(models::kAnchorKindCount));
  for (std::size_t i = 0; i < rows.size(); ++i) {
    CHECK(rows[i].kind == static_cast<AnchorKind>(i));
    CHECK_FALSE(rows[i].title.empty());
    CHECK_FALSE(rows[i].levels.empty());
    for (std::size_t j = 0; j < i; ++j) {
      CHECK(rows[i].title != rows[j].title);
      CHECK(rows[i].word != rows[j].word);
    }
  }
}

TEST_CASE("anchor kinds: every kind at every level has a pull-out in normal and in osteoporotic bone, the second is less") {
  each_kind_and_level([](const models::AnchorKindRow& row, Level level) {
    for (const Purchase purchase : {Purchase::unicortical, Purchase::bicortical}) {
      INFO(row.title << " at " << name(level));
      const std::string stem = models::library_stem(row.kind, level, purchase);
      REQUIRE(tests::library().has(stem + ".pull_out_normal"));
      REQUIRE(tests::library().has(stem + ".pull_out_osteoporotic"));
      CHECK(pull_out(row.kind, level, purchase, "osteoporotic") < pull_out(row.kind, level, purchase));
      if (row.grip == Grip::screw) CHECK(tests::library().has(stem + ".diameter"));
    }
  });
}

TEST_CASE("anchor kinds: every fit rule has its limit and the generic adult's measure in the library, with a source") {
  each_kind_and_level([](const models::AnchorKindRow& row, Level level) {
    const models::ParameterReader number(tests::library());
    const models::Anchor anchor{.kind = row.kind, .level = level};
    const auto answer = models::judge_anchor({}, anchor, {}, number);
    INFO(row.title << " at " << name(level));
    REQUIRE(answer);
    CHECK_FALSE(answer->reasons.empty());
    for (const models::FitReason& reason : answer->reasons) {
      const models::Parameter* rule = tests::library().find(reason.rule);
      REQUIRE(rule != nullptr);
      CHECK_FALSE(rule->source.empty());
      CHECK(reason.needed_mm > 0.0);
      CHECK(reason.found_mm > 0.0);
      CHECK(reason.generic);
    }
  });
}

TEST_CASE("anchor kinds: a pedicle grips better than the lateral mass of the same level") {
  // common practice; Johnston et al. 2006, Spine J 6(6):667-672: 1214 against 332 N; Ito et al. 2014: 762 against 191 N
  for (const Level level : {Level::C3, Level::C4, Level::C5, Level::C6, Level::C7})
    for (const std::string_view bone : {"normal", "osteoporotic"})
      CHECK(pull_out(AnchorKind::pedicle, level, Purchase::unicortical, bone) >
            1.5 * pull_out(AnchorKind::lateral_mass, level, Purchase::unicortical, bone));
}

TEST_CASE("anchor kinds: the keel holds better than the bone beside it, and both cortices better than one") {
  // Nader et al. 2000, J Turk Spinal Surg 11(4):38-42: 521 N midline bicortical, 272 N paramedian unicortical
  CHECK(pull_out(AnchorKind::keel, Level::C0, Purchase::bicortical) == Approx(521.0).epsilon(0.01));
  CHECK(pull_out(AnchorKind::paramedian, Level::C0) == Approx(272.0).epsilon(0.01));
  CHECK(pull_out(AnchorKind::keel, Level::C0, Purchase::bicortical) > pull_out(AnchorKind::keel, Level::C0));
}

TEST_CASE("anchor kinds: hooks are no matter of C3 to C6, and only screws have a trajectory") {
  for (const Level level : {Level::C3, Level::C4, Level::C5, Level::C6})
    CHECK_FALSE(models::sits_at(AnchorKind::hook, level));
  each_kind_and_level([](const models::AnchorKindRow& row, Level level) {
    CHECK(models::has_trajectory(row.kind, level) == (row.grip == Grip::screw));
    CHECK(models::crosses_a_joint(row.kind) == (models::ends_at(row.kind, level) != level));
  });
  CHECK_FALSE(models::has_trajectory(AnchorKind::pars, Level::C3));
}

TEST_CASE("anchor kinds: the pedicle passes the artery of C2 to C6, below it has not entered the transverse foramen") {
  // common practice: the artery enters at C6 in most
  CHECK(models::runs_near_artery(AnchorKind::pedicle, Level::C2));
  CHECK(models::runs_near_artery(AnchorKind::pedicle, Level::C6));
  CHECK_FALSE(models::runs_near_artery(AnchorKind::pedicle, Level::C7));
  CHECK(models::runs_near_artery(AnchorKind::posterior_arch, Level::C1));
  CHECK_FALSE(models::runs_near_artery(AnchorKind::laminar, Level::C2));
}
