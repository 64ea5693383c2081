// SPDX-License-Identifier: MIT
// Orders that must hold whatever the uncertain inputs are, and are built in nowhere: every corner of foundation factor
// 0.03 / 1, lock rotational stiffness 10 N m/rad / rigid, C1-C2 joint gap -0.1 / 0.5 mm.
//   one-sided is softer than two-sided in rotation and bending; laminar is softer than pars in lateral bending.
// Source of the orders: common practice, and an independent prototype (both held across its settings).
#include <catch2/catch.hpp>
#include <cstdio>
#include <string>

#include "tests/validation/orders/corner_table.hpp"

using namespace opisthion;
using tests::Corner;

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
  for (const Corner& corner : tests::corners()) {
    const auto table = tests::rotations_deg("one_side_only.xml", corner);
    for (const models::Motion motion : {models::Motion::left_rotation, models::Motion::right_rotation,
                                        models::Motion::left_bending, models::Motion::right_bending})
      softer(table, one_sided, two_sided, motion, corner);
    for (const models::Motion motion : {models::Motion::left_bending, models::Motion::right_bending})
      softer(table, laminar, pars, motion, corner);
  }
  CHECK(flips == 0);
}
