// SPDX-License-Identifier: MIT
#include <Eigen/Geometry>
#include <Eigen/LU>
#include <catch2/catch.hpp>
#include <cmath>
#include <random>

#include "solver/core/beam.hpp"

namespace core = opisthion::core;
namespace mesh = opisthion::mesh;

namespace {

constexpr double kE = 110000.0;

mesh::Section round_section(double d) {
  const double area = M_PI * d * d / 4.0;
  const double inertia = M_PI * d * d * d * d / 64.0;
  const double g = kE / 2.68;
  const double shear = 0.889380531 * g * area;  // Cowper, J. Appl. Mech. 33 (1966) 335, circle, nu 0.34
  return {kE * area, g * 2.0 * inertia, kE * inertia, kE * inertia, shear, shear};
}

/// EI = 1 and no shear to speak of.
mesh::Section unit_section() {
  return {1.0, 1.0, 1.0, 1.0, 1e14, 1e14};
}

mesh::Matrix3 some_frame() {
  return (Eigen::AngleAxisd(0.7, mesh::Vector3(1, 2, -1).normalized()) * Eigen::AngleAxisd(-0.4, mesh::Vector3::UnitX()))
      .toRotationMatrix();
}

}  // namespace

TEST_CASE("unit: a cantilever's tip follows the closed form with one element") {
  // PL^3/3EI + PL/kGA and PL^2/2EI for the reference rod of 5.5 mm, L 50, P 100 (Timoshenko beam theory)
  const mesh::Section s = round_section(5.5);
  const mesh::Matrix12 k = core::beam_stiffness(s, 50.0, {});
  const mesh::Matrix6 flexibility = k.bottomRightCorner<6, 6>().inverse();
  CHECK(100.0 * flexibility(1, 1) == Approx(0.8490521533).epsilon(1e-9));
  CHECK(100.0 * flexibility(5, 1) == Approx(0.02529861065).epsilon(1e-9));
  CHECK(100.0 * flexibility(4, 2) == Approx(-0.02529861065).epsilon(1e-9));
  CHECK(1000.0 * flexibility(3, 3) == Approx(0.01356005531).epsilon(1e-9));
  CHECK(1000.0 * flexibility(0, 0) == Approx(0.0191320743).epsilon(1e-9));
  CHECK(flexibility(1, 1) == Approx(50.0 * 50 * 50 / (3 * s.bending_z_Nmm2) + 50 / s.shear_y_N).epsilon(1e-12));
}

TEST_CASE("unit: a finite beam on an elastic bed follows Hetenyi's end coefficients") {
  // Hetenyi, Beams on Elastic Foundation (1946), free ends, load at one end; k = 4, EI = 1, so lambda = 1.
  for (const double a : {0.01, 0.1, 0.5, 1.0, 2.0, M_PI, 5.0, 9.0, 16.0, 40.0}) {
    const core::SeatLayer layer{a, {4.0, 1.0, 1.0}};
    const mesh::Matrix6 k = core::seat_stiffness(unit_section(), std::span(&layer, 1));
    const mesh::Matrix6 c = k.inverse();
    // scaled by exp(-a) so that long beams do not overflow
    const double sh = std::sinh(a);
    const double d = sh * sh - std::sin(a) * std::sin(a);
    const double scale = a < 0.6 ? 1e-6 : 1e-10;  // sinh^2 - sin^2 loses digits for short beams
    CHECK(c(1, 1) == Approx(0.5 * (sh * std::cosh(a) - std::sin(a) * std::cos(a)) / d).epsilon(a < 0.05 ? 1e-4 : scale));
    CHECK(std::abs(c(1, 5)) == Approx(0.5 * (sh * sh + std::sin(a) * std::sin(a)) / d).epsilon(a < 0.05 ? 1e-4 : scale));
    CHECK(c(5, 5) == Approx((sh * std::cosh(a) + std::sin(a) * std::cos(a)) / d).epsilon(a < 0.05 ? 1e-4 : scale));
    CHECK(k(0, 0) == Approx(std::tanh(a)).epsilon(1e-13));
    CHECK(k(3, 3) == Approx(std::tanh(a)).epsilon(1e-13));
  }
}

TEST_CASE("unit: a semi-infinite beam on an elastic bed has 4 EI lambda^3, 2 EI lambda^2, 2 EI lambda") {
  // Hetenyi (1946), semi-infinite beam
  const core::SeatLayer layer{60.0, {4.0, 1.0, 1.0}};
  const mesh::Matrix6 k = core::seat_stiffness(unit_section(), std::span(&layer, 1));
  CHECK(k(1, 1) == Approx(4.0).epsilon(1e-12));
  CHECK(k(1, 5) == Approx(2.0).epsilon(1e-12));
  CHECK(k(5, 5) == Approx(2.0).epsilon(1e-12));
  CHECK(k(2, 4) == Approx(-2.0).epsilon(1e-12));
}

TEST_CASE("unit: a screw's head in two layers has the stiffness of the reference") {
  // 3.5 mm titanium, 2 mm cortex on 12 mm cancellous bone: matrix exponential, boundary value solver and element limit agree
  // to ten digits (independent scripts behind the reference numbers).
  const std::array<core::SeatLayer, 2> layers{
      {{2.0, {7519.25965838, 9157.09449132, 148017.34617875}}, {12.0, {168.41849221, 274.71283474, 4440.52038536}}}};
  const mesh::Matrix6 k = core::seat_stiffness(round_section(3.5), layers);
  CHECK(k(0, 0) == Approx(21232.711324).epsilon(1e-8));
  CHECK(k(1, 1) == Approx(15628.588840).epsilon(1e-8));
  CHECK(k(2, 2) == Approx(15628.588840).epsilon(1e-8));
  CHECK(k(1, 5) == Approx(22887.136836).epsilon(1e-8));
  CHECK(k(2, 4) == Approx(-22887.136836).epsilon(1e-8));
  CHECK(k(5, 5) == Approx(107975.167404).epsilon(1e-8));
  CHECK(k(3, 3) == Approx(242043.037290).epsilon(1e-8));
}

TEST_CASE("unit: the bed fades smoothly into the free beam") {
  const mesh::Section s = round_section(3.5);
  const mesh::Matrix12 free = core::beam_stiffness(s, 7.0, {});
  double before = 1e30;
  for (double bed = 1.0; bed > 1e-12; bed *= 0.1) {
    const double change = (core::beam_stiffness(s, 7.0, {bed, bed, bed}) - free).norm() / free.norm();
    CHECK(change < before);
    before = std::max(change, 2e-16);
  }
  CHECK(before < 1e-15);
}

TEST_CASE("unit: a layer cut in parts is the same layer, short or long") {
  for (const double length : {2.0, 4.0, 14.0, 70.0}) {
    const mesh::Foundation bed{7519.0, 9157.0, 148017.0};
    const core::SeatLayer whole{length, bed};
    const std::array<core::SeatLayer, 3> parts{{{0.2 * length, bed}, {0.5 * length, bed}, {0.3 * length, bed}}};
    const mesh::Matrix6 a = core::seat_stiffness(round_section(3.5), std::span(&whole, 1));
    const mesh::Matrix6 b = core::seat_stiffness(round_section(3.5), parts);
    for (int i = 0; i < 6; ++i)
      for (int j = 0; j < 6; ++j) CHECK(std::abs(a(i, j) - b(i, j)) < 1e-11 * std::sqrt(a(i, i) * a(j, j)));
  }
}

TEST_CASE("unit: rigid motion of a beam, its bone and a cushion's bodies costs nothing") {
  mesh::System system;
  const mesh::Matrix3 frame = some_frame();
  const mesh::Vector3 a(4.0, -3.0, 11.0);
  system.bodies = {{.position_mm = a, .kind = mesh::BodyKind::metal},
                   {.position_mm = a + 8.0 * frame.col(0), .kind = mesh::BodyKind::metal},
                   {.position_mm = mesh::Vector3(-7.0, 2.0, 3.0), .port = true}};
  mesh::Beam beam{.a = {0}, .b = {1}, .bone = {2}, .global_from_beam = frame, .length_mm = 8.0};
  beam.section = round_section(3.5);
  beam.section.bending_y_Nmm2 *= 0.5;
  beam.foundation = {168.0, 274.0, 4440.0};
  const Eigen::MatrixXd k = core::beam_stiffness_global(system, beam);
  mesh::Beam span = beam;
  span.bone = {};
  span.foundation = {};
  const Eigen::MatrixXd k_free = core::beam_stiffness_global(system, span);
  mesh::Cushion cushion{.a = {0}, .b = {2}, .point_mm = mesh::Vector3(1, 1, 1), .global_from_cushion = frame};
  const mesh::Matrix6 root = mesh::Matrix6::Random();
  cushion.stiffness = root * root.transpose();
  const mesh::Matrix12 k_cushion = core::cushion_stiffness_global(system, cushion);
  const auto rigid = [&](std::vector<int> bodies) {
    Eigen::MatrixXd r(6 * static_cast<int>(bodies.size()), 6);
    for (std::size_t i = 0; i < bodies.size(); ++i)
      r.middleRows<6>(6 * static_cast<int>(i)) =
          core::rigid_arm(system.bodies[static_cast<std::size_t>(bodies[i])].position_mm);
    return r;
  };
  CHECK((k * rigid({0, 1, 2})).norm() < 1e-13 * k.norm() * rigid({0, 1, 2}).norm());
  CHECK((k_free * rigid({0, 1})).norm() < 1e-13 * k_free.norm() * rigid({0, 1}).norm());
  CHECK((k_cushion * rigid({0, 2})).norm() < 1e-13 * k_cushion.norm() * rigid({0, 2}).norm());
  CHECK((k - k.transpose()).norm() == 0.0);
  CHECK(k.topLeftCorner<12, 12>().isApprox(
      [&] {
        Eigen::Matrix<double, 12, 12> turn = Eigen::Matrix<double, 12, 12>::Zero();
        for (int i = 0; i < 4; ++i) turn.block<3, 3>(3 * i, 3 * i) = frame;
        return Eigen::MatrixXd(turn * core::beam_stiffness(beam.section, 8.0, beam.foundation) * turn.transpose());
      }(),
      1e-14));
}
