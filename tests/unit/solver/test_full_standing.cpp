// SPDX-License-Identifier: MIT
// Static stability without a potential, on a structure of two unknowns whose answers are known in closed form.
#include <catch2/catch.hpp>
#include <cmath>
#include <vector>

#include "solver/core/full/standing.hpp"

using namespace opisthion;
using core::full::Standing;
using core::full::standing_of;

namespace {

/// Two rigid links of unit length with hinge springs of unit stiffness, upright under a thrust at the tip of which the share
/// `follows` keeps to the last link and the rest to the vertical: stiffness in the links' angles to the vertical (Ziegler's
/// pendulum, Ingenieur-Archiv 20 (1952) 49, from memory).
Eigen::MatrixXd two_links(double thrust, double follows) {
  Eigen::MatrixXd k(2, 2);
  k << 2.0 - thrust, -1.0 + follows * thrust, -1.0, 1.0 - (1.0 - follows) * thrust;
  return k;
}

bool definite(const Eigen::MatrixXd& k) {
  return std::min(k(0, 0), k(1, 1)) > 0.0 && k(0, 0) * k(1, 1) > std::pow(0.5 * (k(0, 1) + k(1, 0)), 2);
}

}  // namespace

TEST_CASE("two links under a thrust that follows them never diverge although their symmetric part loses definiteness") {
  // det K = 1 whatever the thrust; the symmetric part's determinant is 1 - P^2/4.
  const std::vector<double> scale{1.0, 1.0};
  CHECK(definite(two_links(1.99, 1.0)));
  CHECK_FALSE(definite(two_links(2.01, 1.0)));
  for (const double thrust : {0.0, 1.0, 1.99, 2.01, 2.5, 2.99}) {
    INFO(thrust);
    CHECK(standing_of(two_links(thrust, 1.0), scale).standing == Standing::stands);
  }
  // Eigenvalues 1.5 - P/2 +- sqrt(...): complex from P = 1 to 5, of negative real part above 3.
  CHECK(standing_of(two_links(3.01, 1.0), scale).standing == Standing::unsteady);
  CHECK(standing_of(two_links(2.0, 1.0), scale).least_N_per_mm == Approx(0.5));
}

TEST_CASE(
    "two links under a thrust that follows in part diverge where the determinant vanishes and only up to five ninths") {
  // det K = 1 - 3(1-f)P + (1-f)P^2 has a real root where f <= 5/9.
  const std::vector<double> scale{1.0, 1.0};
  for (const double follows : {0.0, 0.3, 0.5, 0.55}) {
    const double rest = 1.0 - follows;
    const double critical = 0.5 * (3.0 - std::sqrt(9.0 - 4.0 / rest));
    INFO(follows << " diverges at " << critical);
    CHECK(standing_of(two_links(0.999 * critical, follows), scale).standing == Standing::stands);
    CHECK(standing_of(two_links(1.001 * critical, follows), scale).standing == Standing::diverges);
  }
  // Past both roots two modes have left.
  CHECK(standing_of(two_links(0.5 * (3.0 + std::sqrt(5.0)) + 0.01, 0.0), scale).standing == Standing::unsteady);
  for (double thrust = 0.0; thrust < 10.0; thrust += 0.05)
    CHECK(standing_of(two_links(thrust, 0.56), scale).standing != Standing::diverges);
}

TEST_CASE("a tangent that is symmetric stands where it is positive definite and else diverges") {
  const std::vector<double> scale{1.0, 20.0};
  Eigen::MatrixXd k(2, 2);
  for (const double coupling : {0.0, 1.0, 1.99, 2.01, 3.0}) {
    k << 1.0, coupling, coupling, 4.0;
    CHECK((standing_of(k, scale).standing == Standing::stands) == (coupling < 2.0));
    if (coupling > 2.0) CHECK(standing_of(k, scale).standing == Standing::diverges);
  }
  k << 0.0, 0.0, 0.0, 4.0;
  CHECK(standing_of(k, scale).standing == Standing::diverges);
}
