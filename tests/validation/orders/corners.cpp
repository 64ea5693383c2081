// SPDX-License-Identifier: MIT
// Orders that must hold whatever the uncertain inputs are, and are built in nowhere: every corner of foundation factor
// 0.03 / 1, lock rotational stiffness 10 N m/rad / rigid, C1-C2 joint gap -0.1 / 0.5 mm.
//   one-sided is softer than two-sided in rotation and bending; laminar is softer than pars in lateral bending.
// Source of the orders: common practice, and an independent prototype (both held across its settings).
#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <cstdio>
#include <map>
#include <string>
#include <vector>

#include "solver/study/assess.hpp"
#include "tests/support/example.hpp"

using namespace opisthion;

namespace {

struct Corner {
  double foundation_factor;
  double lock_Nmm_per_rad;
  double gap_mm;
};

std::vector<Corner> corners() {
  std::vector<Corner> all;
  for (const double factor : {0.03, 1.0})
    for (const double lock : {10e3, 1e9})  // 1e9 N mm/rad: some hundred times stiffer than any rod here, rigid in effect
      for (const double gap : {-0.1, 0.5}) all.push_back({factor, lock, gap});
  return all;
}

/// Small-displacement rotation by construct and motion, whatever the status: an order of stiffness, not a range of motion.
std::map<std::string, std::map<models::Motion, double>> rotations_deg(const Corner& corner) {
  models::ParameterTable parameters = tests::library();
  REQUIRE(parameters.change("interface.foundation_factor", corner.foundation_factor));
  REQUIRE(parameters.change("lock.rotation_stiffness", corner.lock_Nmm_per_rad));
  REQUIRE(parameters.change("joint.C1-C2.lateral_gap", corner.gap_mm));
  const models::Case neck = tests::example("old_dens_fracture.xml");
  std::map<std::string, std::map<models::Motion, double>> table;
  for (const models::Construct& construct : neck.constructs) {
    const study::ConstructResult result = study::assess_construct(neck, construct, parameters, {});
    for (const study::MotionResult& m : result.motions) {
      INFO(construct.name << ", " << models::name(m.motion) << ": " << m.reason);
      REQUIRE((m.status == study::Status::solved || m.status == study::Status::approximate));
      table[construct.name][m.motion] = m.rotation_deg;
    }
  }
  return table;
}

}  // namespace

TEST_CASE("one-sided is softer than two-sided, laminar softer than pars in bending, at every corner") {
  const std::string one_sided = "one-sided: C1 lateral mass + C2 pedicle left";
  const std::string two_sided = "C1 lateral mass + C2 pedicle";
  const std::string laminar = "C1 lateral mass + C2 laminar";
  const std::string pars = "C1 lateral mass + C2 pars";
  int flips = 0;
  const auto softer = [&flips](const auto& table, const std::string& soft, const std::string& stiff, models::Motion motion,
                               const Corner& c) {
    const double a = table.at(soft).at(motion);
    const double b = table.at(stiff).at(motion);
    const bool holds = a > b;
    if (!holds) ++flips;
    std::printf("  factor %4.2f lock %8.0f gap %4.1f  %-14s %-45s %6.2f  >  %-30s %6.2f  %s\n", c.foundation_factor,
                c.lock_Nmm_per_rad / 1000, c.gap_mm, std::string(models::name(motion)).c_str(), soft.c_str(), a,
                stiff.c_str(), b, holds ? "" : "FLIPS");
  };
  std::printf("orders at the corners (rotation in deg at 1.5 N m, small displacement)\n");
  for (const Corner& corner : corners()) {
    const auto table = rotations_deg(corner);
    for (const models::Motion motion : {models::Motion::left_rotation, models::Motion::right_rotation,
                                        models::Motion::left_bending, models::Motion::right_bending})
      softer(table, one_sided, two_sided, motion, corner);
    for (const models::Motion motion : {models::Motion::left_bending, models::Motion::right_bending})
      softer(table, laminar, pars, motion, corner);
  }
  CHECK(flips == 0);
}
