// SPDX-License-Identifier: MIT
#include "solver/study/curve_figures.hpp"

#include <Eigen/Geometry>
#include <catch2/catch.hpp>
#include <numbers>

#include "models/quantity/units.hpp"

using namespace opisthion;
using namespace opisthion::study;

namespace {

/// A point of one part that turns about the plane's axis alone.
CurvePoint point(Plane plane, double moment_Nm, double rotation_deg, double maximum_Nm = 1.5) {
  constexpr std::array<std::size_t, 3> kXyz{1, 0, 2};
  CurvePoint out{.moment_Nm = moment_Nm, .status = Status::solved, .load_fraction = std::abs(moment_Nm) / maximum_Nm};
  SixComponents six;
  six.rotations_deg[static_cast<std::size_t>(plane)] = rotation_deg;
  six.rotation_vector_deg[kXyz[static_cast<std::size_t>(plane)]] = rotation_deg;
  out.parts = {six};
  return out;
}

template <class Law>
PlaneCurve curve_of(Plane plane, const Law& rotation_deg, int steps = 10) {
  PlaneCurve out;
  out.plane = plane;
  out.moment_Nm = 1.5;
  out.parts = {CurvePart{.name = "overall"}};
  for (auto& side : out.sides) side = {.run = true, .status = Status::solved, .load_fraction = 1.0};
  for (int i = -steps; i <= steps; ++i) {
    const double moment_Nm = 1.5 * i / steps;
    out.points.push_back(point(plane, moment_Nm, rotation_deg(moment_Nm)));
  }
  return out;
}

/// An ellipse: a linear spring with a loss angle.
std::vector<MomentRotation> ellipse(int count, double lag_rad) {
  std::vector<MomentRotation> out;
  for (int i = 0; i < count; ++i) {
    const double t = 2.0 * std::numbers::pi * i / count;
    out.push_back({.moment_Nm = 1.5 * std::cos(t), .rotation_deg = 8.0 * std::cos(t - lag_rad)});
  }
  return out;
}

}  // namespace

TEST_CASE("the positive side of each plane is the motion whose moment is positive about the plane's axis") {
  constexpr std::array<int, 3> kXyz{1, 0, 2};
  for (const Plane plane : kPlanes)
    for (const Side side : kSides) {
      const models::Motion motion = motion_of(plane, side);
      const double sign = side == Side::positive ? 1.0 : -1.0;
      CHECK(models::moment_axis(motion)[kXyz[static_cast<std::size_t>(plane)]] == sign);
      CHECK(plane_of(motion) == plane);
      CHECK(side_of(motion) == side);
    }
}

TEST_CASE("of a curve rotation = a M + b M^2 secant, tangent and lax zone are exact, whatever the steps") {
  const double a = 6.0, b = -1.2;
  const auto law = [=](double m) { return m >= 0.0 ? a * m + b * m * m : 2.0 * a * m - b * m * m; };
  PlaneCurve curve = curve_of(Plane::bending, law);
  curve.points.insert(curve.points.begin() + 11, point(Plane::bending, 0.1, law(0.1)));  // uneven, as a lax zone asks
  curve.points.insert(curve.points.begin() + 10, point(Plane::bending, -0.1, law(-0.1)));
  fill_figures(curve);
  const SideFigures& right = curve.parts[0].sides[1];
  CHECK(*right.rotation_deg == Approx(law(1.5)));
  CHECK(*right.lax_zone_deg == Approx(law(0.1)));
  CHECK(*right.secant_stiffness_Nm_per_deg == Approx(1.5 / law(1.5)));
  CHECK(*right.tangent_stiffness_Nm_per_deg == Approx(1.0 / (a + 2.0 * b * 1.5)));
  const SideFigures& left = curve.parts[0].sides[0];
  CHECK(*left.rotation_deg == Approx(law(-1.5)));
  CHECK(*left.lax_zone_deg == Approx(-law(-0.1)));
  CHECK(*left.secant_stiffness_Nm_per_deg == Approx(-1.5 / law(-1.5)));
  CHECK(*left.tangent_stiffness_Nm_per_deg == Approx(1.0 / (2.0 * a + 2.0 * b * 1.5)));
  CHECK_FALSE(curve.parts[0].loop_area_Nmm);  // nothing rubs
  CHECK_FALSE(curve.parts[0].residual_deg[0]);
}

TEST_CASE("the lax zone is linear between points, and none where 0.1 N m was not reached") {
  const std::array<MomentRotation, 3> line{{{0.0, 0.0}, {0.15, 3.0}, {0.3, 4.0}}};
  CHECK(*rotation_at_deg(line, 0.1) == Approx(2.0));
  CHECK(*rotation_at_deg(line, 0.3) == 4.0);
  CHECK_FALSE(rotation_at_deg(line, 0.31));
  CHECK_FALSE(rotation_at_deg(line, -0.01));
  CHECK_FALSE(rotation_at_deg(std::span<const MomentRotation>(), 0.1));
}

TEST_CASE("force over nothing is no stiffness, and two steps only make no tangent") {
  CHECK_FALSE(secant_stiffness_Nm_per_deg({.moment_Nm = 1.5, .rotation_deg = 0.0}));
  const std::array<MomentRotation, 3> rigid{{{0.5, 1.0}, {1.0, 1.0}, {1.5, 1.0}}};
  CHECK_FALSE(tangent_stiffness_Nm_per_deg(rigid));
  const std::array<MomentRotation, 3> twice{{{0.5, 1.0}, {1.0, 1.1}, {1.0, 1.2}}};
  CHECK_FALSE(tangent_stiffness_Nm_per_deg(twice));
  PlaneCurve curve = curve_of(
      Plane::rotation, [](double m) { return m; }, 1);
  fill_figures(curve);
  CHECK(curve.parts[0].sides[1].secant_stiffness_Nm_per_deg);
  CHECK_FALSE(curve.parts[0].sides[1].tangent_stiffness_Nm_per_deg);  // a parabola across zero would mix both senses
}

TEST_CASE("a side that did not reach its maximum has a lax zone and nothing at the maximum") {
  PlaneCurve curve = curve_of(Plane::flexion_extension, [](double m) { return 4.0 * m; });
  for (CurvePoint& p : curve.points)
    if (p.moment_Nm > 1.0) {
      p.status = Status::mechanism;
      p.parts.clear();
    }
  fill_figures(curve);
  const SideFigures& flexion = curve.parts[0].sides[1];
  CHECK(*flexion.lax_zone_deg == Approx(0.4));
  CHECK_FALSE(flexion.rotation_deg);
  CHECK_FALSE(flexion.secant_stiffness_Nm_per_deg);
  CHECK_FALSE(flexion.tangent_stiffness_Nm_per_deg);
  CHECK_FALSE(flexion.axis);
  CHECK(*curve.parts[0].sides[0].secant_stiffness_Nm_per_deg == Approx(0.25));
}

TEST_CASE("loop area: an ellipse's is pi M theta sin(lag), and the trapezoid's error falls fourfold per halving") {
  const double lag = 0.3;
  const double exact = std::numbers::pi * 1500.0 * models::to_rad(8.0) * std::sin(lag);
  const auto error = [&](int count) { return std::abs(loop_area_Nmm(ellipse(count, lag)) - exact); };
  CHECK(error(400) / exact < 1e-4);
  CHECK(error(50) / error(100) == Approx(4.0).epsilon(0.02));
  CHECK(loop_area_Nmm(ellipse(50, 0.0)) == Approx(0.0).margin(1e-9));
  CHECK(loop_area_Nmm({}) == 0.0);
}

TEST_CASE("a spring beside a slider loses four times slip moment times slip, and keeps its neutral zone") {
  // Spring K with, beside it, a spring k in series with a slider of moment F (Jenkins element; closed form by hand):
  // at theta_m the slider holds F; back over 2 F / k it turns round. M_max = K theta_m + F, area = 4 F (theta_m - F / k),
  // rotation at no moment: where K theta + F - k (theta_m - theta) = 0.
  const double K = 0.1, k = 0.8, F = 0.4;       // N m/deg, N m
  const double theta_m = (1.5 - F) / K;         // deg
  const double turned = theta_m - 2.0 * F / k;  // sliding the other way from here
  REQUIRE(K * turned - F > 0.0);                // then no moment is reached while it slides: theta = F / K
  PlaneCurve curve = curve_of(Plane::rotation, [](double m) { return m; });
  curve.cycles = 3;
  for (const double sign : {1.0, -1.0}) {
    curve.cycle.push_back(point(Plane::rotation, sign * 1.5, sign * theta_m));
    curve.cycle.push_back(point(Plane::rotation, sign * (K * turned - F), sign * turned));
  }
  curve.cycle.push_back(point(Plane::rotation, 1.5, theta_m));
  fill_figures(curve);
  const CurvePart& overall = curve.parts[0];
  CHECK(*overall.loop_area_Nmm == Approx(4.0 * 1000.0 * F * models::to_rad(theta_m - F / k)));
  CHECK(*overall.residual_deg[1] == Approx(F / K));
  CHECK(*overall.residual_deg[0] == Approx(-F / K));
}

TEST_CASE("a cycle with a missing point has no area") {
  PlaneCurve curve = curve_of(Plane::rotation, [](double m) { return m; });
  for (const double m : {1.5, 0.0, -1.5, 0.0, 1.5}) curve.cycle.push_back(point(Plane::rotation, m, m));
  fill_figures(curve);
  CHECK(*curve.parts[0].loop_area_Nmm == Approx(0.0).margin(1e-12));
  CHECK(*curve.parts[0].residual_deg[1] == 0.0);
  curve.cycle[2].status = Status::no_answer;
  fill_figures(curve);
  CHECK_FALSE(curve.parts[0].loop_area_Nmm);
  CHECK_FALSE(curve.parts[0].residual_deg[1]);
}

TEST_CASE("coupled motion is per degree of the main rotation, in the sequence's order, and withheld below resolution") {
  const auto of = [](Plane plane, std::array<double, 3> deg) { return coupled_ratios(deg, plane); };
  CHECK((*of(Plane::rotation, {2.0, -4.0, 40.0}))[0] == Approx(0.05));
  CHECK((*of(Plane::rotation, {2.0, -4.0, 40.0}))[1] == Approx(-0.1));
  CHECK((*of(Plane::bending, {2.0, -4.0, 8.0}))[0] == Approx(-0.5));
  CHECK((*of(Plane::bending, {2.0, -4.0, 8.0}))[1] == Approx(-2.0));
  CHECK((*of(Plane::flexion_extension, {2.0, -4.0, 8.0}))[0] == Approx(-2.0));
  CHECK((*of(Plane::flexion_extension, {2.0, -4.0, 8.0}))[1] == Approx(4.0));
  CHECK_FALSE(of(Plane::rotation, {2.0, -4.0, 0.29}));
}

TEST_CASE("the axis of a part that turns about a line beside its named point goes through that line") {
  // 10 deg of flexion about the y axis through (0, 0, 30), of a point that stands at (5, 0, 50): by Eigen's rotation.
  const Eigen::Vector3d from(5.0, 0.0, 50.0), through(0.0, 0.0, 30.0);
  const Eigen::Matrix3d rotation = Eigen::AngleAxisd(models::to_rad(10.0), Eigen::Vector3d::UnitY()).toRotationMatrix();
  const Eigen::Vector3d moved = rotation * (from - through) + through - from;
  PlaneCurve curve = curve_of(Plane::flexion_extension, [](double m) { return 10.0 / 1.5 * m; });
  curve.parts[0].point_at_neutral_mm = {5.0, 0.0, 50.0};
  curve.points.back().parts[0].translation_mm = {moved.x(), moved.y(), moved.z()};
  fill_figures(curve);
  const auto& axis = curve.parts[0].sides[1].axis;
  REQUIRE(axis);
  CHECK((axis->direction - Eigen::Vector3d::UnitY()).norm() < 1e-12);
  CHECK((axis->point_mm - through).norm() < 1e-10);
  CHECK(axis->translation_mm == Approx(0.0).margin(1e-12));
}
