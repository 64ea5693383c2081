// SPDX-License-Identifier: MIT
// A construct that cannot be placed must say so beside its figures. The 4 mm of a C2 pedicle and the 5 mm of its isthmus:
// Klepinowski et al. 2020/2021 (see the library).
#include "solver/study/fit.hpp"

#include <catch2/catch.hpp>

#include "solver/report/fit_text.hpp"
#include "solver/study/assess.hpp"
#include "tests/support/example.hpp"

using namespace opisthion;
using Catch::Matchers::Contains;
using Catch::Matchers::StartsWith;
using models::AnchorKind;
using models::Artery;
using models::Level;

namespace {

const models::SideAnatomy kRoomy{.isthmus_height_mm = 8.0,
                                 .internal_height_mm = 6.0,
                                 .pedicle_width_mm = 7.0,
                                 .lamina_thickness_mm = 7.0,
                                 .lamina_height_mm = 13.0,
                                 .artery = Artery::equal};

/// One screw on the left of C2.
study::ConstructResult screw(AnchorKind kind, const models::SideAnatomy& left) {
  models::Case the_case;
  the_case.neck.anatomy = {{.level = Level::C2, .left = left}};
  const models::Construct construct{.name = "one screw", .anchors = {{.name = "C2 left", .kind = kind, .level = Level::C2}}};
  study::ConstructResult result{.name = construct.name};
  result.fit = study::fits(the_case, construct, tests::library());
  REQUIRE(result.fit.size() == 1);
  return result;
}

}  // namespace

TEST_CASE("a pedicle of 3.2 mm is too small for its screw, and by how much is told as a positive length") {
  models::SideAnatomy thin = kRoomy;
  thin.pedicle_width_mm = 3.2;
  const auto result = screw(AnchorKind::pedicle, thin);
  CHECK(result.fit[0].anchor == "C2 left");
  CHECK(result.fit[0].kind == "pedicle");
  CHECK(result.fit[0].verdict == "does not fit");
  CHECK(result.fit[0].text == "too small by 0.8 mm (3.2 mm, the rule asks for more than 4.0 mm)");
  CHECK_FALSE(result.fit[0].artery_in_the_way);
  CHECK(report::unfit(result));
  CHECK(report::fit_paragraph(result) == "C2 left: " + result.fit[0].text);
}

TEST_CASE("an artery in the way outranks a size that is marginal or fits") {
  models::SideAnatomy anatomy = kRoomy;
  anatomy.artery = Artery::high;
  for (const double isthmus_mm : {5.2, 8.0}) {
    anatomy.isthmus_height_mm = isthmus_mm;
    const auto result = screw(AnchorKind::transarticular, anatomy);
    CHECK(result.fit[0].verdict == "does not fit");
    CHECK(result.fit[0].artery_in_the_way);
    CHECK_THAT(result.fit[0].text, StartsWith("the artery runs high: it is in the way; by size alone ") &&
                                       !Contains("marginal") && !Contains("fits"));
    CHECK(report::unfit(result));
  }
}

TEST_CASE("a screw too small that also meets a high artery says both") {
  models::SideAnatomy anatomy = kRoomy;
  anatomy.pedicle_width_mm = 3.2;
  anatomy.artery = Artery::high;
  CHECK(report::fit_paragraph(screw(AnchorKind::pedicle, anatomy)) ==
        "C2 left: too small by 0.8 mm (3.2 mm, the rule asks for more than 4.0 mm); the artery runs high: it is in the way");
}

TEST_CASE("the only or dominant artery cannot be risked, an occluded one does not matter") {
  models::SideAnatomy anatomy = kRoomy;
  for (const Artery artery : {Artery::only, Artery::dominant}) {
    anatomy.artery = artery;
    const auto result = screw(AnchorKind::pars, anatomy);
    CHECK(result.fit[0].verdict == "does not fit");
    CHECK_FALSE(result.fit[0].artery_in_the_way);
    CHECK_THAT(result.fit[0].text, Contains("it cannot be risked"));
    CHECK(report::unfit(result));
  }
  anatomy.artery = Artery::occluded;
  CHECK(screw(AnchorKind::pars, anatomy).fit[0].verdict == "fits");
}

TEST_CASE("a roomy screw fits and is not listed, and a marginal one is, and the construct is not unfit") {
  const auto roomy = screw(AnchorKind::pedicle, kRoomy);
  CHECK(roomy.fit[0].verdict == "fits");
  CHECK(report::fit_paragraph(roomy).empty());
  CHECK_FALSE(report::unfit(roomy));
  models::SideAnatomy tight = kRoomy;
  tight.isthmus_height_mm = 5.2;
  const auto marginal = screw(AnchorKind::transarticular, tight);
  CHECK(marginal.fit[0].verdict == "marginal");
  CHECK(report::fit_paragraph(marginal) ==
        "C2 left: marginal: 0.2 mm to spare (5.2 mm, the rule asks for more than 5.0 mm)");
  CHECK_FALSE(report::unfit(marginal));
}

TEST_CASE("a measure that equals or nearly equals its rule is still told from it") {
  models::SideAnatomy anatomy = kRoomy;
  anatomy.pedicle_width_mm = 4.0;
  CHECK(screw(AnchorKind::pedicle, anatomy).fit[0].text == "too small (4.0 mm, the rule asks for more than 4.0 mm)");
  anatomy.pedicle_width_mm = 3.97;
  CHECK(screw(AnchorKind::pedicle, anatomy).fit[0].text ==
        "too small by 0.03 mm (3.97 mm, the rule asks for more than 4.00 mm)");
}

TEST_CASE(
    "the generic adult takes a lateral mass screw, and near the artery a guess is marginal and the artery is asked for") {
  models::Case generic;
  const models::Construct construct{
      .name = "two", .anchors = {{.name = "C1 left"}, {.name = "C2 left", .kind = AnchorKind::pars, .level = Level::C2}}};
  const auto fit = study::fits(generic, construct, tests::library());
  REQUIRE(fit.size() == 2);
  CHECK(fit[0].verdict == "fits");
  CHECK_THAT(fit[0].text, StartsWith("fits: ") && Contains("in the generic adult, not measured"));
  CHECK(fit[1].verdict == "marginal");
  CHECK(fit[1].artery_not_checked);
  CHECK_THAT(fit[1].text, Contains("artery not checked"));
}

TEST_CASE("an assessment tells the fit of a construct that cannot be built, too") {
  models::Case the_case = tests::example("old_dens_fracture.xml");
  models::Construct unbuildable{.name = "one rod, no length", .anchors = {{.name = "C1 left"}}};
  unbuildable.rods.push_back({.name = "left"});
  const auto result = study::assess_construct(the_case, unbuildable, tests::library(), {});
  CHECK(result.status == study::Status::no_answer);
  REQUIRE(result.fit.size() == 1);
  CHECK(result.fit[0].verdict == "fits");
}

TEST_CASE("bone that was taken out forbids the anchor that would hold in it, whatever its size, and says so") {
  models::Case the_case;
  the_case.neck.anatomy = {{.level = Level::C2, .left = kRoomy, .right = kRoomy}};
  the_case.neck.instabilities = {{.kind = models::InstabilityKind::laminectomy, .level = Level::C2}};
  const models::Construct construct{.name = "one",
                                    .anchors = {{.name = "C2 left", .kind = AnchorKind::laminar, .level = Level::C2}}};
  const auto fit = study::fits(the_case, construct, tests::library());
  CHECK(fit[0].verdict == "does not fit");
  CHECK(fit[0].bone_removed);
  CHECK_THAT(fit[0].text, StartsWith("the lamina it holds in is taken out; by size alone "));
}

TEST_CASE("a bony bridge is told first, and the rule of the size with its source") {
  models::Case the_case;
  models::SideAnatomy c1{.lateral_mass_width_mm = 12.0, .arch_height_mm = 7.0, .bony_bridge = true, .artery = Artery::equal};
  the_case.neck.anatomy = {{.level = Level::C1, .left = c1}};
  const models::Construct construct{
      .name = "one", .anchors = {{.name = "C1 left", .kind = AnchorKind::posterior_arch, .level = Level::C1}}};
  const models::ParameterReader number(tests::library());
  const auto fit = study::fits(the_case, construct, number);
  CHECK(fit[0].verdict == "marginal");
  CHECK_THAT(fit[0].text, StartsWith("a bony bridge"));
  CHECK(fit[0].rule == "rule.C1.posterior_arch.height");
  CHECK_THAT(fit[0].source, Contains("Spine 2007"));
  CHECK(number.ids_read().count("rule.C1.posterior_arch.height") == 1);
}
