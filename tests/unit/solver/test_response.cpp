// SPDX-License-Identifier: MIT
#include <catch2/catch.hpp>
#include <random>
#include <vector>

#include "solver/core/response.hpp"
#include "tests/unit/solver/taylor.hpp"

namespace core = opisthion::core;
namespace mesh = opisthion::mesh;

namespace {

mesh::Polygon three_points() {
  mesh::Polygon p;
  p.count = 3;
  p.at = {-1.0, 0.5, 2.0};
  p.value = {-30.0, 5.0, 50.0};
  p.slope_below = 60.0;
  p.slope_above = 100.0;
  return p;
}

std::vector<mesh::ScalarLaw> laws() {
  return {mesh::ToeLinear{0.3, 0.0, 80.0}, mesh::ToeLinear{-0.4, 0.9, 120.0}, mesh::ToeLinear{0.0, 0.5, 7.0},
          mesh::two_slopes(10.0, 70.0), three_points()};
}

/// Simpson between the kinks is exact for these laws: an integral of the force that shares nothing with the energy's code.
double integral_of_force(const mesh::ScalarLaw& law, double from, double to) {
  std::array<double, core::kMostKinks> at{};
  const int count = core::kinks(law, at);
  std::vector<double> cut{from};
  for (int i = 0; i < count; ++i)
    if (at[static_cast<std::size_t>(i)] > from && at[static_cast<std::size_t>(i)] < to)
      cut.push_back(at[static_cast<std::size_t>(i)]);
  cut.push_back(to);
  double sum = 0.0;
  for (std::size_t i = 0; i + 1 < cut.size(); ++i) {
    const double a = cut[i];
    const double b = cut[i + 1];
    sum += (b - a) / 6.0 *
           (core::respond(law, a).force + 4.0 * core::respond(law, 0.5 * (a + b)).force + core::respond(law, b).force);
  }
  return sum;
}

}  // namespace

TEST_CASE("unit: a law's energy is the integral of its force") {
  for (const auto& law : laws()) {
    for (double a : {-2.5, -0.7, 0.0, 0.1, 0.45}) {
      for (double b : {0.2, 0.5, 1.1, 3.0}) {
        if (b <= a) continue;
        const double gained = core::respond(law, b).energy - core::respond(law, a).energy;
        CHECK(gained == Approx(integral_of_force(law, a, b)).epsilon(1e-12).margin(1e-12));
      }
    }
  }
}

TEST_CASE("unit: a law's force and stiffness are the derivatives of its energy, by slope") {
  std::mt19937 random(1);
  std::uniform_real_distribution<double> anywhere(-3.0, 3.0);
  for (const auto& law : laws()) {
    std::array<double, core::kMostKinks> at{};
    const int count = core::kinks(law, at);
    for (int trial = 0; trial < 50; ++trial) {
      const double e = anywhere(random);
      double room = 1.0;
      for (int i = 0; i < count; ++i) room = std::min(room, std::abs(at[static_cast<std::size_t>(i)] - e));
      const auto one = [](double v) { return Eigen::VectorXd::Constant(1, v); };
      const double order = opisthion::tests::taylor_order(
          [&](const Eigen::VectorXd& x) { return core::respond(law, x[0]).energy; },
          [&](const Eigen::VectorXd& x) { return one(core::respond(law, x[0]).force); },
          [&](const Eigen::VectorXd& x) { return Eigen::MatrixXd::Constant(1, 1, core::respond(law, x[0]).stiffness); },
          one(e), one(0.4 * room));
      CHECK(order == Approx(3.0).margin(0.05));
    }
  }
}

TEST_CASE("unit: laws are monotone, closed when just touched, and without energy where they begin") {
  for (const auto& law : laws()) {
    double before = core::respond(law, -4.0).force;
    for (double e = -4.0; e < 4.0; e += 0.01) {
      const core::Response r = core::respond(law, e);
      CHECK(r.force >= before);
      CHECK(r.stiffness >= 0.0);
      before = r.force;
    }
  }
  const mesh::ScalarLaw contact = mesh::ToeLinear{0.25, 0.0, 40.0};
  CHECK(core::respond(contact, 0.25).stiffness == 40.0);
  CHECK(core::respond(contact, 0.25).energy == 0.0);
  CHECK(core::respond(contact, 0.2499).stiffness == 0.0);
  CHECK(core::respond(mesh::ScalarLaw{three_points()}, 0.0).energy == 0.0);
}

TEST_CASE("unit: the line about e repeats force and stiffness") {
  for (const auto& law : laws()) {
    for (double e = -3.0; e < 3.0; e += 0.0371) {
      const core::Piece line = core::piece_at(law, e);
      const core::Response r = core::respond(law, e);
      CHECK(line.stiffness == Approx(r.stiffness).margin(1e-15));
      CHECK(line.stiffness * e + line.offset == Approx(r.force).margin(1e-11));
    }
  }
}

TEST_CASE("unit: kinks are where the slope changes and nowhere else") {
  std::array<double, core::kMostKinks> at{};
  CHECK(core::kinks(mesh::ToeLinear{0.3, 0.0, 80.0}, at) == 1);
  CHECK(core::kinks(mesh::ToeLinear{0.3, 0.2, 80.0}, at) == 2);
  CHECK(at[1] == Approx(0.5));
  CHECK(core::kinks(mesh::two_slopes(5.0, 5.0), at) == 0);
  CHECK(core::kinks(three_points(), at) == 3);
}
