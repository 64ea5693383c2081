// SPDX-License-Identifier: MIT
// Fit rules: Klepinowski 2020/2021 (isthmus, internal height, pedicle width), Storey and Baker 2024 (lamina); see the
// library.
#include <algorithm>
#include <catch2/catch.hpp>

#include "models/hardware/allowed_anchors.hpp"
#include "tests/support/example.hpp"

using namespace opisthion;
using models::AnchorKind;
using models::Artery;
using models::Fit;
using models::Level;
using models::Side;

namespace {

models::AllowedAnchor find(const models::Neck& neck, AnchorKind kind, Side side = Side::left) {
  const models::ParameterReader number(tests::library());
  const auto all = models::allowed_anchors(neck, kind == AnchorKind::lateral_mass ? Level::C1 : Level::C2, side, number);
  const auto found = std::find_if(all.begin(), all.end(), [kind](const auto& a) { return a.kind == kind; });
  REQUIRE(found != all.end());
  return *found;
}

models::Neck measured(const models::SideAnatomy& left) {
  models::Neck neck;
  neck.anatomy = {{.level = Level::C2, .left = left}};
  return neck;
}

const models::SideAnatomy kRoomy{.isthmus_height_mm = 8.0,
                                 .internal_height_mm = 6.0,
                                 .pedicle_width_mm = 7.0,
                                 .lamina_thickness_mm = 7.0,
                                 .lamina_height_mm = 13.0,
                                 .artery = Artery::equal};

}  // namespace

TEST_CASE("allowed anchors: each level offers the kinds that are put in there, wires and hooks too") {
  const models::ParameterReader number(tests::library());
  const auto offered = [&](Level level) { return models::allowed_anchors({}, level, Side::left, number).size(); };
  CHECK(offered(Level::C0) == 4);  // condyle, keel, paramedian, wire
  CHECK(offered(Level::C1) == 7);  // mass, two in the arch, two across a joint, wire, hook
  CHECK(offered(Level::C2) == 6);  // pars, pedicle, laminar, transarticular, wire, hook
  CHECK(offered(Level::C4) == 4);  // mass, pedicle, laminar, wire
  CHECK(offered(Level::C7) == 5);
  CHECK(offered(Level::T2) == 2);  // pedicle, hook
}

TEST_CASE("allowed anchors: a limit reached exactly is not enough for a pedicle or transarticular screw") {
  models::SideAnatomy a = kRoomy;
  a.isthmus_height_mm = 5.0;
  CHECK(find(measured(a), AnchorKind::transarticular).fit == Fit::does_not_fit);
  CHECK(find(measured(a), AnchorKind::pedicle).fit == Fit::does_not_fit);
  // common practice: a pars screw may go where a transarticular one does not
  CHECK(find(measured(a), AnchorKind::pars).fit != Fit::does_not_fit);
  a = kRoomy;
  a.pedicle_width_mm = 4.0;
  const auto pedicle = find(measured(a), AnchorKind::pedicle);
  CHECK(pedicle.fit == Fit::does_not_fit);
  CHECK(pedicle.decisive.rule == "rule.C2.pedicle.width");
  CHECK(pedicle.decisive.found_mm == 4.0);
  CHECK(pedicle.decisive.needed_mm == 4.0);
  CHECK_FALSE(pedicle.decisive.generic);
  CHECK(find(measured(a), AnchorKind::transarticular).fit == Fit::fits);
  a = kRoomy;
  a.internal_height_mm = 2.0;
  CHECK(find(measured(a), AnchorKind::transarticular).fit == Fit::does_not_fit);
}

TEST_CASE("allowed anchors: a laminar screw needs the opposite lamina's thickness and its own height, equality is enough") {
  models::Neck neck = measured(kRoomy);
  neck.anatomy[0].right = kRoomy;
  neck.anatomy[0].right.lamina_thickness_mm = 5.5;
  CHECK(find(neck, AnchorKind::laminar, Side::left).fit == Fit::marginal);
  neck.anatomy[0].right.lamina_thickness_mm = 5.4;
  CHECK(find(neck, AnchorKind::laminar, Side::left).fit == Fit::does_not_fit);
  CHECK(find(neck, AnchorKind::laminar, Side::right).fit == Fit::fits);
}

TEST_CASE("allowed anchors: an artery that nobody checked is said, for every screw that can reach it") {
  for (const AnchorKind kind : {AnchorKind::pars, AnchorKind::pedicle, AnchorKind::transarticular}) {
    const auto a = find({}, kind);
    CHECK(a.near_artery);
    CHECK(a.artery_not_checked);
    CHECK(a.fit != Fit::fits);
    CHECK(a.decisive.generic);
  }
  CHECK_FALSE(find({}, AnchorKind::laminar).artery_not_checked);
  CHECK_FALSE(find({}, AnchorKind::lateral_mass).artery_not_checked);
}

TEST_CASE("allowed anchors: a high or an only artery makes a roomy pars marginal") {
  models::SideAnatomy a = kRoomy;
  CHECK(find(measured(a), AnchorKind::pars).fit == Fit::fits);
  a.artery = Artery::high;
  CHECK(find(measured(a), AnchorKind::pars).artery_in_the_way);
  CHECK(find(measured(a), AnchorKind::pars).fit == Fit::marginal);
  a.artery = Artery::only;
  CHECK(find(measured(a), AnchorKind::pars).artery_unaffordable);
}
