// SPDX-License-Identifier: MIT
// Neutral, lax zone and figures on a joint small enough to work out by hand.
#include "solver/study/neutral.hpp"

#include <catch2/catch.hpp>

#include "solver/study/figures.hpp"

using namespace opisthion;

namespace {

constexpr double kPlay_low_rad = -0.02;
constexpr double kPlay_high_rad = 0.05;
constexpr double kStiffness_Nmm_per_rad = 1e5;
constexpr double kShearPlay_mm = 1.5;  // forward only
constexpr double kShear_N_per_mm = 100.0;

/// Two bodies and one cushion: about y it turns freely between -0.02 and 0.05 rad, along x it is free from 0 to 1.5 mm,
/// else stiff.
study::Prepared joint_with_play() {
  study::Prepared out;
  mesh::System& system = out.mesh.system;
  system.bodies = {{.position_mm = {0.0, 0.0, 0.0}, .fixed = true, .port = true},
                   {.position_mm = {0.0, 0.0, 18.0}, .fixed = false, .port = true}};
  mesh::AxisCushion cushion{.a = {0}, .b = {1}, .point_mm = {0.0, 0.0, 18.0}};
  cushion.laws.fill(mesh::two_slopes(1e6, 1e6));
  cushion.laws[0] = mesh::Polygon{.count = 2,
                                  .at = {0.0, kShearPlay_mm},
                                  .value = {0.0, 0.0},
                                  .slope_below = kShear_N_per_mm,
                                  .slope_above = kShear_N_per_mm};
  cushion.laws[4] = mesh::Polygon{.count = 2,
                                  .at = {kPlay_low_rad, kPlay_high_rad},
                                  .value = {0.0, 0.0},
                                  .slope_below = kStiffness_Nmm_per_rad,
                                  .slope_above = kStiffness_Nmm_per_rad};
  system.axis_cushions = {cushion};
  system.neighbours = {{.upper = {1}, .lower = {0}}};
  const mesh::Attachment top{.body = {1}, .point_mm = {0.0, 0.0, 18.0}};
  const mesh::Attachment base{.body = {0}, .point_mm = {0.0, 0.0, 18.0}};
  out.mesh.probes = {
      {.id = "overall/rotation/flexion", .kind = mesh::ProbeKind::rotation, .moving = top, .base = base, .axis = {0, 1, 0}},
      {.id = "c1_slip", .kind = mesh::ProbeKind::travel, .moving = top, .base = base, .axis = {1, 0, 0}},
      {.id = "cord_room/arch_to_dens", .moving = top, .base = base, .axis = {-1, 0, 0}, .value_at_reference = 18.8},
      {.id = "cord_room/arch_to_C2", .moving = top, .base = base, .axis = {-1, 0, 0}, .value_at_reference = 17.7}};
  const auto turn = [&](const char* id, double moment) {
    return mesh::LoadCase{.id = id,
                          .kind = mesh::LoadKind::motion,
                          .magnitude = std::abs(moment),
                          .loads = {{.at = top, .force_N = {0, 0, 0}, .moment_Nmm = {0, moment, 0}}}};
  };
  out.mesh.program.cases = {turn("flexion", 1500.0),
                            turn("extension", -1500.0),
                            {.id = "shear/C1/+",
                             .kind = mesh::LoadKind::shear,
                             .magnitude = 50.0,
                             .loads = {{.at = top, .force_N = {50.0, 0, 0}, .moment_Nmm = {0, 0, 0}}},
                             .travel_probe = "c1_slip"}};
  out.model = core::reduce(system, {});
  return out;
}

}  // namespace

TEST_CASE("neutral is the middle of the small response, each load has its own, and half the difference is the lax zone") {
  const study::Prepared prepared = joint_with_play();
  core::EquilibriumWorkspace work;
  const study::Neutral neutral = study::find_neutral(prepared, 1e-6, work);
  REQUIRE(neutral.found);
  REQUIRE(neutral.of_case.size() == 3);
  // About y: -0.02 - 100/1e5 and 0.05 + 100/1e5.
  const double low = kPlay_low_rad - study::kNeutralMoment_Nmm / kStiffness_Nmm_per_rad;
  const double high = kPlay_high_rad + study::kNeutralMoment_Nmm / kStiffness_Nmm_per_rad;
  const int ry = prepared.model.first_dof[1] + 4;
  CHECK(neutral.of_case[0].middle[ry] == Approx((low + high) / 2).epsilon(1e-6));
  CHECK(neutral.of_case[0].half[ry] == Approx((high - low) / 2).epsilon(1e-6));
  CHECK(neutral.of_case[1].middle[ry] == Approx((low + high) / 2).epsilon(1e-6));
  // Along x: -2/100 and 1.5 + 2/100.
  const int ux = prepared.model.first_dof[1];
  CHECK(neutral.of_case[2].middle[ux] == Approx(kShearPlay_mm / 2).epsilon(1e-6));
  CHECK(neutral.of_case[2].half[ux] == Approx(kShearPlay_mm / 2 + study::kNeutralForce_N / kShear_N_per_mm).epsilon(1e-6));
}

TEST_CASE(
    "figures are counted from neutral: a slip forward is positive and takes room from the cord, the least gap counts") {
  const study::Prepared prepared = joint_with_play();
  Eigen::VectorXd neutral = Eigen::VectorXd::Zero(prepared.model.dofs);
  Eigen::VectorXd q = neutral;
  neutral[0] = 0.3;
  q[0] = 2.3;
  q[4] = 0.01;
  const study::Figures figures = study::read_figures(prepared, q, neutral);
  CHECK(figures.overall_rad.y() == Approx(0.01));
  REQUIRE(figures.measures.c1_slip_mm.has_value());
  CHECK(*figures.measures.c1_slip_mm == Approx(2.0));  // a change
  REQUIRE(figures.measures.cord_room_mm.has_value());
  CHECK(*figures.measures.cord_room_mm == Approx(17.7 - 2.3));  // absolute, and the smaller of the two
}
