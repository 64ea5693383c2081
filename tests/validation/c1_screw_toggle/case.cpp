// SPDX-License-Identifier: MIT
// The rig as a case, not special code: examples/c1_screw_toggle.xml. See README.md beside this file for the measurement.
#include <catch2/catch.hpp>
#include <cstdio>
#include <vector>

#include "solver/study/assess.hpp"
#include "tests/support/example.hpp"

using namespace opisthion;

namespace {
// Fensky F et al. 2015, Eur Spine J: C1 lateral mass screw, toggle stiffness at the start of cycling, n = 9 (seen).
constexpr double kMeasured_N_per_mm = 19.9;
constexpr double kMeasuredSd_N_per_mm = 3.2;
// The same source: screw through the posterior arch, the other side of the same vertebrae (seen).
constexpr double kMeasuredArch_N_per_mm = 24.6;
constexpr double kMeasuredArchSd_N_per_mm = 3.9;

double toggle_stiffness_N_per_mm(double foundation_factor, std::size_t construct = 0) {
  models::ParameterTable parameters = tests::library();
  REQUIRE(parameters.change("interface.foundation_factor", foundation_factor));
  const models::Case rig = tests::example("c1_screw_toggle.xml");
  const study::ConstructResult result = study::assess_construct(rig, rig.constructs.at(construct), parameters, {});
  REQUIRE(result.heads.size() == 2);
  CHECK(result.heads[0].stiffness_N_per_mm == Approx(result.heads[1].stiffness_N_per_mm).epsilon(1e-9));  // both senses
  return result.heads[0].stiffness_N_per_mm;
}
}  // namespace

TEST_CASE("the C1 screw toggle is printed beside the measured lower bound at three foundation factors") {
  const std::vector<double> factors{1.0, 0.1, 0.05};
  std::vector<double> figures;
  std::printf("C1 lateral mass screw toggled at its head: measured %.1f (SD %.1f) N/mm, fixture included (lower bound)\n",
              kMeasured_N_per_mm, kMeasuredSd_N_per_mm);
  for (const double factor : factors) {
    figures.push_back(toggle_stiffness_N_per_mm(factor));
    std::printf("  foundation factor %4.2f: model %6.1f N/mm\n", factor, figures.back());
  }
  CHECK(figures[0] > figures[1]);
  CHECK(figures[1] > figures[2]);
  CHECK(figures[0] > kMeasured_N_per_mm);  // half-space theory bounds from above, the fixture from below
}

TEST_CASE("the screw through the posterior arch toggles less than the one below it, as measured") {
  std::printf("C1 screw through the posterior arch: measured %.1f (SD %.1f) N/mm, %.2f times the lateral mass screw\n",
              kMeasuredArch_N_per_mm, kMeasuredArchSd_N_per_mm, kMeasuredArch_N_per_mm / kMeasured_N_per_mm);
  for (const double factor : {1.0, 0.1, 0.05}) {
    const double mass = toggle_stiffness_N_per_mm(factor, 0);
    const double arch = toggle_stiffness_N_per_mm(factor, 1);
    std::printf("  foundation factor %4.2f: model %6.1f N/mm, %.2f times\n", factor, arch, arch / mass);
    CHECK(arch > mass);
  }
}
