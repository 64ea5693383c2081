// SPDX-License-Identifier: MIT
// Beds of screws. Reference: the 3.5 mm titanium screw (E 110000, nu 0.34) in 2 mm of E = 10000 and 12 mm of E = 300,
// nu = 0.3; spring values computed from the formulas by an independent script.
#include <catch2/catch.hpp>

#include "mesh/build/seat.hpp"
#include "mesh/build/section.hpp"

using namespace opisthion::mesh;

namespace {
const Section kScrew = round_section(3.5, {110000.0, 0.34});
}

TEST_CASE("a round section has the constants of the 3.5 mm titanium bar") {
  CHECK(kScrew.bending_y_Nmm2 == Approx(810279.3318).epsilon(1e-9));
  CHECK(kScrew.bending_z_Nmm2 == kScrew.bending_y_Nmm2);
  CHECK(kScrew.axial_N == Approx(1058324.025).epsilon(1e-9));
  CHECK(kScrew.torsional_Nmm2 == Approx(604686.0685).epsilon(1e-9));
  CHECK(kScrew.shear_y_N == Approx(351213.7252).epsilon(1e-9));  // Cowper 1966
}

TEST_CASE("half-space beds match the reference screw") {
  CHECK(lateral_modulus_MPa(300, 0.3, 3.5, kScrew.bending_y_Nmm2) == Approx(168.41849221).epsilon(1e-9));
  CHECK(lateral_modulus_MPa(1000, 0.3, 3.5, kScrew.bending_y_Nmm2) == Approx(620.642839).epsilon(1e-8));
  CHECK(lateral_modulus_MPa(10000, 0.3, 3.5, kScrew.bending_y_Nmm2) == Approx(7519.25965838).epsilon(1e-9));
  CHECK(axial_modulus_MPa(10000, 0.3, 3.5, 14) == Approx(9157.09449132).epsilon(1e-9));
  CHECK(axial_modulus_MPa(300, 0.3, 3.5, 14) == Approx(274.71283474).epsilon(1e-9));
  CHECK(torsional_modulus_N(10000, 0.3, 3.5) == Approx(148017.34617875).epsilon(1e-9));
  CHECK(torsional_modulus_N(300, 0.3, 3.5) == Approx(4440.52038536).epsilon(1e-9));
}

TEST_CASE("the axial bed of a very short piece stays positive") {
  CHECK(axial_modulus_MPa(300, 0.3, 3.5, 0.5) > 0.0);
  CHECK(axial_modulus_MPa(300, 0.3, 3.5, 0.5) >= axial_modulus_MPa(300, 0.3, 3.5, 14));
}

TEST_CASE("the foundation factor weakens all three beds alike") {
  const Bed bone{.modulus_MPa = 300, .poisson = 0.3};
  const Foundation whole = foundation_of(bone, 3.5, kScrew.bending_y_Nmm2, 14, 1.0);
  const Foundation tenth = foundation_of(bone, 3.5, kScrew.bending_y_Nmm2, 14, 0.1);
  CHECK(tenth.lateral_MPa == Approx(0.1 * whole.lateral_MPa));
  CHECK(tenth.axial_MPa == Approx(0.1 * whole.axial_MPa));
  CHECK(tenth.torsional_N == Approx(0.1 * whole.torsional_N));
}

TEST_CASE("a cortex thinner than the screw bears sideways by its thickness, a thicker one in full") {
  const auto share = [](double shell, double bearing) {
    return lateral_share({.modulus_MPa = 12000, .poisson = 0.3, .shell_mm = shell, .shell_bearing = bearing}, 3.5);
  };
  CHECK(share(1.0, 1.0) == Approx(1.0 / 3.5));
  CHECK(share(1.0, 0.3) == Approx(0.3 / 3.5));
  CHECK(share(1.0, 3.5) == Approx(1.0));  // the end of the library's range: plane strain
  CHECK(share(3.5, 1.0) == 1.0);
  CHECK(share(6.0, 1.0) == 1.0);
  CHECK(share(0.0, 1.0) == 1.0);  // solid bone: no shell
}

TEST_CASE("a thin cortex keeps its thread shear and its torsion: only the lateral bed is a shell's") {
  const Bed solid{.modulus_MPa = 12000, .poisson = 0.3};
  const Bed shell{.modulus_MPa = 12000, .poisson = 0.3, .shell_mm = 1.0, .shell_bearing = 1.0};
  const Foundation whole = foundation_of(solid, 3.5, kScrew.bending_y_Nmm2, 14, 0.1);
  const Foundation thin = foundation_of(shell, 3.5, kScrew.bending_y_Nmm2, 14, 0.1);
  CHECK(thin.lateral_MPa == Approx(whole.lateral_MPa / 3.5));
  CHECK(thin.axial_MPa == whole.axial_MPa);
  CHECK(thin.torsional_N == whole.torsional_N);
}
