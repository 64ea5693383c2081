// SPDX-License-Identifier: MIT
// Orders between wired and screwed constructs that must hold at every corner of what is uncertain (corner_table.hpp), and are
// built in nowhere. Sources: common practice, and an independent prototype (they held across its settings).
#include <catch2/catch.hpp>
#include <cstdio>
#include <string>

#include "tests/validation/orders/corner_table.hpp"

using namespace opisthion;
using models::Motion;
using tests::Corner;

namespace {

/// Counts and prints what does not hold.
class Claims {
 public:
  void softer(const tests::RotationTable& table, const std::string& soft, const std::string& stiff, Motion motion,
              const Corner& c) {
    const double a = table.at(soft).at(motion);
    const double b = table.at(stiff).at(motion);
    const bool holds = a > b;
    flips_ += holds ? 0 : 1;
    std::printf("  factor %4.2f lock %8.0f gap %4.1f  %-14s %-42s %7.2f  >  %-42s %7.2f  %s\n", c.foundation_factor,
                c.lock_Nmm_per_rad / 1000, c.gap_mm, std::string(models::name(motion)).c_str(), soft.c_str(), a,
                stiff.c_str(), b, holds ? "" : "FLIPS");
  }
  int flips() const { return flips_; }

 private:
  int flips_ = 0;
};

}  // namespace

TEST_CASE("a wired graft stiffens two transarticular screws in flexion and extension, at every corner") {
  Claims claims;
  std::printf("two transarticular screws with and without a wired graft\n");
  for (const Corner& corner : tests::corners()) {
    const auto table = tests::rotations_deg("old_dens_fracture.xml", corner);
    for (const Motion motion : {Motion::flexion, Motion::extension})
      claims.softer(table, "two transarticular", "two transarticular + wired graft", motion, corner);
  }
  CHECK(claims.flips() == 0);
}

TEST_CASE("wired rods are softest in rotation, a cross-link helps them, and a keel plate with screws beats them") {
  Claims claims;
  const std::string unlinked = "wired bent rods, unlinked";
  const std::string linked = "wired bent rods, cross-linked";
  const std::string screws = "keel plate + C2 pedicle + C3, C4 lateral mass";
  std::printf("occiput to C4: wired rods against keel plate and screws\n");
  for (const Corner& corner : tests::corners()) {
    const auto table = tests::rotations_deg("settling_to_c4.xml", corner);
    for (const Motion motion : {Motion::left_rotation, Motion::right_rotation}) {
      claims.softer(table, unlinked, linked, motion, corner);
      for (const auto& [construct, motions] : table)
        if (construct != unlinked && construct != linked) claims.softer(table, unlinked, construct, motion, corner);
      claims.softer(table, linked, screws, motion, corner);
    }
    claims.softer(table, unlinked, screws, Motion::extension, corner);
  }
  CHECK(claims.flips() == 0);
}
