// SPDX-License-Identifier: MIT
// The whole way from a shipped case to figures: signs, stiffnesses by difference, and what is withheld.
#include "solver/study/assess.hpp"

#include <catch2/catch.hpp>
#include <cmath>

#include "models/quantity/units.hpp"
#include "tests/support/example.hpp"

using namespace opisthion;

namespace {
const models::Construct& construct(const models::Case& the_case, std::string_view name) {
  for (const models::Construct& c : the_case.constructs)
    if (c.name == name) return c;
  FAIL("no such construct");
  return the_case.constructs.front();
}
}  // namespace

TEST_CASE("every motion turns the way it is asked, and its Cardan angle has the sign of its axis") {
  const models::Case neck = tests::example("old_dens_fracture.xml");
  const auto result = study::assess_construct(neck, construct(neck, "C1 lateral mass + C2 pars"), tests::library(), {});
  REQUIRE(result.motions.size() == 6);
  for (const study::MotionResult& m : result.motions) {
    INFO(models::name(m.motion));
    CHECK(m.rotation_deg > 0.0);
    CHECK(m.joints.front().rotation_deg == Approx(m.rotation_deg));
    // +My flexion, +Mx right bending, +Mz left rotation; the triple is (flexion y, bending x, rotation z).
    const Eigen::Vector3d axis = models::moment_axis(m.motion);
    const std::array<double, 3> signs{axis.y(), axis.x(), axis.z()};
    for (std::size_t i = 0; i < 3; ++i)
      if (signs[i] != 0.0) CHECK(m.joints.front().rotations_deg[i] * signs[i] == Approx(m.rotation_deg));
  }
}

TEST_CASE("the tangent stiffness is the slope of moment over rotation at the maximum") {
  models::Case neck = tests::example("old_dens_fracture.xml");
  const models::Construct& pars = construct(neck, "C1 lateral mass + C2 pars");
  const auto at = [&](double moment_Nmm) {
    models::Case loaded = neck;
    loaded.bench.moment_Nmm = moment_Nmm;
    return study::assess_construct(loaded, pars, tests::library(), {.only_motions = {models::Motion::flexion}})
        .motions.at(0);
  };
  const auto below = at(1499.0);
  const auto middle = at(1500.0);
  const auto above = at(1501.0);
  const double slope = models::to_Nm(2.0) / (above.rotation_deg - below.rotation_deg);
  CHECK(middle.tangent_stiffness_Nm_per_deg == Approx(slope).epsilon(2e-3));
  CHECK(middle.secant_stiffness_Nm_per_deg == Approx(1.5 / middle.rotation_deg));
  CHECK(std::abs(middle.tangent_stiffness_Nm_per_deg / middle.secant_stiffness_Nm_per_deg - 1.0) > 0.05);  // two things
}

TEST_CASE("forward shear slips C1 forward and narrows the canal, traction lifts, each counted from its own neutral") {
  const models::Case neck = tests::example("old_dens_fracture.xml");
  const auto result = study::assess_construct(neck, construct(neck, "C1 lateral mass + C2 pars"), tests::library(), {});
  REQUIRE(result.shear.size() == 2);
  REQUIRE(result.axial.size() == 2);
  CHECK(result.shear[0].force_N == 50.0);
  CHECK(result.shear[0].travel_mm > 0.0);
  CHECK(*result.shear[0].measures.c1_slip_mm > 0.0);
  CHECK(*result.shear[0].measures.cord_room_mm < *result.shear[1].measures.cord_room_mm);
  CHECK(result.shear[1].travel_mm < 0.0);
  CHECK(result.axial[0].force_N > 0.0);
  CHECK(result.axial[0].travel_mm > 0.0);
  CHECK(result.axial[1].travel_mm < 0.0);
  // Joint surfaces carry compression, screws alone traction.
  CHECK(result.axial[1].stiffness_N_per_mm > result.axial[0].stiffness_N_per_mm);
}

TEST_CASE("a torn ring without metal has come apart under forward shear: a mechanism, and no figure is printed") {
  models::Case neck = tests::example("torn_transverse_ligament.xml");
  neck.neck.instabilities.push_back({.kind = models::InstabilityKind::dens_nonunion});
  const auto result = study::assess_construct(neck, {.name = "nothing"}, tests::library(), {});
  for (const study::ForceResult& force : result.shear) {
    INFO(force.name << ": " << force.reason);
    if (force.beyond_physical_end || force.status == study::Status::mechanism) {
      CHECK_FALSE(force.measures.cord_room_mm.has_value());
    } else {
      CHECK(std::abs(force.travel_mm) < 10.5);
      CHECK(*force.measures.cord_room_mm > 0.0);
    }
  }
  CHECK(result.status != study::Status::solved);
}

TEST_CASE("a block that works loose under a slack wire does not take the screws' figures away, and is told") {
  const models::Case neck = tests::example("old_dens_fracture.xml");
  models::Construct slack = construct(neck, "two transarticular + wired graft");
  for (models::Tie& tie : slack.ties) tie.tension_N = 0.0;
  const auto result = study::assess_construct(neck, slack, tests::library(), {});
  CHECK(result.status == study::Status::approximate);
  CHECK(result.reason.find("nothing holds a graft in its bed") != std::string::npos);
  const auto bare = study::assess_construct(neck, construct(neck, "two transarticular"), tests::library(), {});
  for (std::size_t i = 0; i < result.motions.size(); ++i) {
    INFO(models::name(result.motions[i].motion) << ": " << result.motions[i].reason);
    CHECK(result.motions[i].rotation_deg > 0.0);
    CHECK(result.motions[i].rotation_deg < bare.motions[i].rotation_deg + 0.05);
  }
}

TEST_CASE("spacers that press both lateral joints open hold, alone and with screws") {
  models::Case neck = tests::example("old_dens_fracture.xml");
  models::Construct spaced = construct(neck, "C1 lateral mass + C2 pedicle");
  for (const models::Side side : {models::Side::left, models::Side::right})
    spaced.spacers.push_back({.name = std::string(models::name(side)), .side = side});
  const auto screws = study::assess_construct(neck, construct(neck, "C1 lateral mass + C2 pedicle"), tests::library(), {});
  const auto both = study::assess_construct(neck, spaced, tests::library(), {});
  const auto alone = study::assess_construct(neck, {.name = "spacers", .spacers = spaced.spacers}, tests::library(), {});
  for (const study::ConstructResult* result : {&both, &alone}) {
    INFO(result->name << ": " << result->reason);
    CHECK((result->status == study::Status::solved || result->status == study::Status::approximate));
  }
  for (std::size_t i = 0; i < both.motions.size(); ++i) {
    INFO(models::name(both.motions[i].motion));
    CHECK(both.motions[i].rotation_deg < screws.motions[i].rotation_deg);
  }
}

TEST_CASE("a neck that collapses when its clamps are tightened is not printed as held") {
  models::Case neck = tests::example("torn_transverse_ligament.xml");
  models::Construct clamps{.name = "clamps without a block"};
  for (const models::Side side : {models::Side::left, models::Side::right})
    clamps.ties.push_back(
        {.name = std::string(models::name(side)), .kind = models::TieKind::clamp, .side = side, .tension_N = 150.0});
  const auto result = study::assess_construct(neck, clamps, tests::library(), {});
  INFO(result.reason);
  CHECK(result.status != study::Status::solved);
  for (const study::MotionResult& motion : result.motions) {
    CHECK(motion.status != study::Status::solved);
    CHECK(std::isnan(motion.rotation_deg));
  }
}

TEST_CASE("a slip held reduced springs back, and its energy counts from there: no share leaves 0 to 1") {
  models::Case neck = tests::example("subaxial_c3_to_c6.xml");
  neck.neck.joints.push_back({.joint = {models::Level::C4, models::Level::C5}, .slip_mm = 4.0, .reduced_mm = 3.0});
  const auto result = study::assess_construct(neck, construct(neck, "pedicle rods"), tests::library(), {});
  INFO(result.reason);
  REQUIRE(result.rest.size() == 3);
  CHECK(result.rest[1].translation_mm[0] > 0.0);  // C4 forward on C5, towards the slip
  for (const study::MotionResult& motion : result.motions) {
    INFO(models::name(motion.motion) << ": " << motion.reason);
    CHECK(motion.solve.strand_energy_share >= 0.0);
    CHECK(motion.solve.strand_energy_share <= 1.0);
    CHECK_FALSE(motion.energy.empty());
    for (const study::EnergyShare& part : motion.energy) CHECK(part.share <= 1.0);
  }
}

TEST_CASE("a part that drifts within its play at a middle load is told, not called a mechanism") {
  models::Case neck = tests::example("settling_to_c4.xml");
  for (const double moment_Nmm : {200.0, 400.0, 600.0, 800.0}) {
    neck.bench.moment_Nmm = moment_Nmm;
    const auto result = study::assess_construct(neck, construct(neck, "wired closed loop"), tests::library(),
                                                {.only_motions = {models::Motion::extension}});
    REQUIRE(result.motions.size() == 1);
    INFO(moment_Nmm << " N mm: " << result.motions.front().reason);
    CHECK(result.motions.front().status != study::Status::mechanism);
  }
}
