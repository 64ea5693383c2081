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
