// SPDX-License-Identifier: MIT
// Fit of an anchor as it is planned: its own measure, thickness, length, place, twin, and bone that is gone.
#include <algorithm>
#include <catch2/catch.hpp>

#include "models/hardware/allowed_anchors.hpp"
#include "models/hardware/occiput_surface.hpp"
#include "tests/support/example.hpp"

using namespace opisthion;
using models::AllowedAnchor;
using models::Anchor;
using models::AnchorKind;
using models::Artery;
using models::Fit;
using models::InstabilityKind;
using models::Level;
using models::Side;

namespace {

AllowedAnchor judge(const models::Neck& neck, const Anchor& anchor, const std::vector<Anchor>& others = {}) {
  const auto answer = models::judge_anchor(neck, anchor, others, models::ParameterReader(tests::library()));
  REQUIRE(answer);
  return *answer;
}

models::Neck measured(Level level, const models::SideAnatomy& left, std::optional<double> canal_mm = {}) {
  models::Neck neck;
  neck.anatomy = {{.level = level, .left = left, .right = left, .canal_mm = canal_mm}};
  return neck;
}

}  // namespace

TEST_CASE("planned anchors: each measure is held against its own rule, too small by what is missing") {
  struct Row {
    AnchorKind kind;
    Level level;
    models::SideAnatomy anatomy;
    std::string rule;
    double margin_mm;
  };
  const Row rows[]{
      {AnchorKind::pedicle, Level::C5, {.pedicle_width_mm = 4.0}, "rule.C5.pedicle.width", -0.5},
      {AnchorKind::pedicle,
       Level::C5,
       {.pedicle_width_mm = 4.5},
       "rule.C5.pedicle.width",
       0.0},  // equal is enough: PMC4999373
      {AnchorKind::pedicle, Level::T2, {.pedicle_width_mm = 4.4}, "rule.T2.pedicle.width", -0.6},
      {AnchorKind::posterior_arch, Level::C1, {.arch_height_mm = 3.2}, "rule.C1.posterior_arch.height", -0.8},
      {AnchorKind::lateral_mass, Level::C4, {.lateral_mass_height_mm = 7.0}, "rule.C4.lateral_mass.height", -0.5},
      {AnchorKind::lateral_mass, Level::C1, {.lateral_mass_width_mm = 4.0}, "rule.C1.lateral_mass.width", -0.5},
      {AnchorKind::laminar, Level::C7, {.lamina_thickness_mm = 4.0}, "rule.C7.laminar.thickness", -0.5},
  };
  for (const Row& row : rows) {
    INFO(row.rule);
    const AllowedAnchor answer = judge(measured(row.level, row.anatomy), {.kind = row.kind, .level = row.level});
    CHECK(answer.decisive.rule == row.rule);
    CHECK_FALSE(answer.decisive.generic);
    CHECK(answer.margin_mm == Approx(row.margin_mm).margin(1e-12));
    CHECK((answer.fit == Fit::does_not_fit) == (row.margin_mm < 0.0));
  }
}

TEST_CASE("planned anchors: the C2 pedicle rule is not the subaxial one") {
  const models::SideAnatomy roomy{.isthmus_height_mm = 9.0, .internal_height_mm = 9.0, .pedicle_width_mm = 4.2};
  CHECK(judge(measured(Level::C2, roomy), {.kind = AnchorKind::pedicle, .level = Level::C2}).fit != Fit::does_not_fit);
  CHECK(judge(measured(Level::C4, roomy), {.kind = AnchorKind::pedicle, .level = Level::C4}).fit == Fit::does_not_fit);
}

TEST_CASE("planned anchors: two crossed laminar screws need the height of both, one alone needs its own") {
  const Anchor left{.kind = AnchorKind::laminar, .level = Level::C2};
  const Anchor right{.kind = AnchorKind::laminar, .level = Level::C2, .side = Side::right};
  const models::Neck low = measured(Level::C2, {.lamina_thickness_mm = 7.0, .lamina_height_mm = 7.0});
  CHECK(judge(low, left, {left}).fit == Fit::fits);
  CHECK(judge(low, left, {left, right}).fit == Fit::does_not_fit);
  const models::Neck high = measured(Level::C2, {.lamina_thickness_mm = 7.0, .lamina_height_mm = 12.0});
  CHECK(judge(high, left, {left, right}).fit == Fit::fits);
}

TEST_CASE("planned anchors: a thicker thread, or a rescue screw, asks for as much more bone") {
  const models::Neck neck = measured(Level::C5, {.pedicle_width_mm = 4.8, .artery = Artery::equal});
  Anchor screw{.kind = AnchorKind::pedicle, .level = Level::C5};
  CHECK(judge(neck, screw).margin_mm == Approx(0.3));
  screw.diameter_mm = 4.0;
  CHECK(judge(neck, screw).margin_mm == Approx(-0.2));
  screw.diameter_mm.reset();
  screw.state = models::AnchorState::rescue;  // half a millimetre thicker
  CHECK(judge(neck, screw).margin_mm == Approx(-0.2));
}

TEST_CASE("planned anchors: each keel screw is judged by the bone at its own height") {
  models::Neck neck;
  neck.anatomy = {{.level = Level::C0, .keel_upper_mm = 13.0, .keel_middle_mm = 8.0, .keel_lower_mm = 4.0}};
  const models::ParameterReader number(tests::library());
  Anchor screw{.kind = AnchorKind::keel, .level = Level::C0, .below_inion_mm = 0.0};
  CHECK(judge(neck, screw).decisive.found_mm == Approx(13.0));
  CHECK(judge(neck, screw).fit == Fit::fits);
  screw.below_inion_mm = models::occiput_length_mm(number) - 8.0;
  CHECK(judge(neck, screw).fit == Fit::does_not_fit);
  CHECK(judge(neck, screw).decisive.rule == "rule.C0.keel.safe_length");
  CHECK_FALSE(judge(neck, screw).decisive.generic);
  // A screw that is longer than the bone is thick stands out at the other side.
  screw.below_inion_mm = 0.0;
  screw.length_mm = 16.0;
  CHECK(judge(neck, screw).decisive.rule == "rule.length_beyond");
  CHECK(judge(neck, screw).margin_mm == Approx(-2.0));
}

TEST_CASE("planned anchors: wire and hook need room in the canal, and the hook more") {
  const models::Neck narrow = measured(Level::C2, {}, 13.5);
  CHECK(judge(narrow, {.kind = AnchorKind::sublaminar_wire, .level = Level::C2}).fit == Fit::marginal);
  CHECK(judge(narrow, {.kind = AnchorKind::hook, .level = Level::C2}).fit == Fit::does_not_fit);
  CHECK(judge({}, {.kind = AnchorKind::sublaminar_wire, .level = Level::C2}).fit == Fit::fits);
  const models::ParameterReader number(tests::library());
  const auto room = models::canal_room(narrow, Level::C2, models::Grip::hook, number);
  REQUIRE(room);
  CHECK(room->found_mm == 13.5);
  CHECK_FALSE(models::canal_room(narrow, Level::C2, models::Grip::screw, number));
}

TEST_CASE("planned anchors: bone that is gone holds nothing, on the side and level where it is gone") {
  struct Row {
    models::Instability gone;
    AnchorKind kind;
    Level level;
    bool left;
    bool right;
  };
  const Row rows[]{
      {{.kind = InstabilityKind::laminectomy, .level = Level::C2}, AnchorKind::laminar, Level::C2, true, true},
      {{.kind = InstabilityKind::laminectomy, .level = Level::C3}, AnchorKind::laminar, Level::C2, false, false},
      {{.kind = InstabilityKind::laminectomy, .level = Level::C2}, AnchorKind::pedicle, Level::C2, false, false},
      {{.kind = InstabilityKind::lateral_mass_destroyed, .level = Level::C1, .side = Side::left},
       AnchorKind::transarticular,
       Level::C2,
       true,
       false},
      {{.kind = InstabilityKind::ring_fracture, .level = Level::C1, .side = Side::right},
       AnchorKind::posterior_arch,
       Level::C1,
       false,
       true},
      {{.kind = InstabilityKind::ring_fracture, .level = Level::C1, .side = Side::right},
       AnchorKind::lateral_mass,
       Level::C1,
       false,
       false},
      // An arch that hangs on one mass still holds a wire; broken off both it does not.
      {{.kind = InstabilityKind::ring_fracture, .level = Level::C1, .side = Side::right},
       AnchorKind::sublaminar_wire,
       Level::C1,
       false,
       false},
      {{.kind = InstabilityKind::ring_fracture, .level = Level::C1}, AnchorKind::sublaminar_wire, Level::C1, true, true},
      {{.kind = InstabilityKind::laminectomy, .level = Level::C1}, AnchorKind::posterior_arch, Level::C1, true, true},
      {{.kind = InstabilityKind::body_destroyed, .level = Level::C5}, AnchorKind::pedicle, Level::C5, true, true},
      {{.kind = InstabilityKind::body_destroyed, .level = Level::C5}, AnchorKind::lateral_mass, Level::C5, false, false},
      {{.kind = InstabilityKind::odontoidectomy}, AnchorKind::transarticular, Level::C2, false, false},
  };
  for (const Row& row : rows) {
    models::Neck neck;
    neck.instabilities = {row.gone};
    INFO(models::title(row.kind) << " at " << name(row.level));
    for (const Side side : {Side::left, Side::right}) {
      const AllowedAnchor answer = judge(neck, {.kind = row.kind, .level = row.level, .side = side});
      const bool gone = side == Side::left ? row.left : row.right;
      CHECK(answer.removed_by.has_value() == gone);
      if (gone) {
        CHECK(*answer.removed_by == row.gone.kind);
        CHECK(answer.fit == Fit::does_not_fit);
      }
    }
  }
}

TEST_CASE("planned anchors: a bony bridge makes a high arch doubtful, and only the arch screw cares") {
  models::SideAnatomy arch{.arch_height_mm = 7.0, .artery = Artery::equal};
  arch.lateral_mass_width_mm = 12.0;
  const Anchor screw{.kind = AnchorKind::posterior_arch, .level = Level::C1};
  CHECK(judge(measured(Level::C1, arch), screw).fit == Fit::fits);
  arch.bony_bridge = true;
  CHECK(judge(measured(Level::C1, arch), screw).fit == Fit::marginal);
  CHECK(judge(measured(Level::C1, arch), screw).bony_bridge);
  CHECK_FALSE(judge(measured(Level::C1, arch), {.kind = AnchorKind::lateral_mass, .level = Level::C1}).bony_bridge);
}

TEST_CASE(
    "planned anchors: an occluded artery is no risk, and a straight screw through both cortices meets one that others "
    "miss") {
  models::SideAnatomy mass{.artery = Artery::occluded};
  Anchor screw{.kind = AnchorKind::pedicle, .level = Level::C5};
  AllowedAnchor answer = judge(measured(Level::C5, mass), screw);
  CHECK(answer.near_artery);
  CHECK_FALSE(answer.artery_not_checked);
  CHECK_FALSE(answer.artery_unaffordable);
  screw.kind = AnchorKind::lateral_mass;
  CHECK_FALSE(judge({}, screw).near_artery);
  screw.purchase = models::Purchase::bicortical;
  CHECK_FALSE(judge({}, screw).near_artery);
  screw.path = models::LateralMassPath::straight;
  CHECK(judge({}, screw).artery_not_checked);
}

TEST_CASE("planned anchors: a kind that is not put in at a level is no anchor there") {
  CHECK_FALSE(models::judge_anchor({}, {.kind = AnchorKind::pars, .level = Level::C4}, {},
                                   models::ParameterReader(tests::library())));
}
