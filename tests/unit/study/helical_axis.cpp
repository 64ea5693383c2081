// SPDX-License-Identifier: MIT
#include "solver/study/helical_axis.hpp"

#include <Eigen/Geometry>
#include <catch2/catch.hpp>
#include <limits>

#include "models/quantity/units.hpp"

using namespace opisthion;
using namespace opisthion::study;
using Eigen::Vector3d;

namespace {
/// Displacement of a point by a screw, by Eigen's rotation.
Vector3d displaced(const Vector3d& point, const Vector3d& direction, const Vector3d& through, double angle_deg,
                   double along_mm) {
  const Eigen::Matrix3d rotation = Eigen::AngleAxisd(models::to_rad(angle_deg), direction).toRotationMatrix();
  return rotation * (point - through) + through + along_mm * direction - point;
}
}  // namespace

TEST_CASE("a screw motion reads back exactly: direction, angle, travel, and a point of the axis nearest to the named one") {
  for (const double angle_deg : {0.6, 5.0, 40.0, 90.0, 179.0})
    for (const Vector3d& direction : {Vector3d(0.0, 0.0, 1.0), Vector3d(1.0, -2.0, 0.5), Vector3d(-3.0, 0.1, -0.2)})
      for (const double along_mm : {0.0, -2.5}) {
        const Vector3d n = direction.normalized();
        const Vector3d through(7.0, -3.0, 11.0), point(1.0, 2.0, 3.0);
        const auto axis =
            helical_axis(models::to_rad(angle_deg) * n, displaced(point, n, through, angle_deg, along_mm), point);
        REQUIRE(axis);
        CHECK((axis->direction - n).norm() < 1e-13);
        CHECK(axis->rotation_deg == Approx(angle_deg).epsilon(1e-12));
        CHECK(axis->translation_mm == Approx(along_mm).margin(1e-11));
        CHECK((axis->point_mm - through).cross(n).norm() < 1e-9);
        CHECK(std::abs((axis->point_mm - point).dot(n)) < 1e-11);  // the foot of the perpendicular
      }
}

TEST_CASE("a pure rotation about the named point has its axis through it") {
  const auto axis = helical_axis(Vector3d(0.0, 0.2, 0.0), Vector3d::Zero(), Vector3d(1.0, 2.0, 3.0));
  REQUIRE(axis);
  CHECK((axis->point_mm - Vector3d(1.0, 2.0, 3.0)).norm() == 0.0);
}

TEST_CASE("below half a degree there is no axis, and none of what is no number") {
  CHECK_FALSE(helical_axis(models::to_rad(0.49) * Vector3d::UnitZ(), Vector3d::UnitX(), Vector3d::Zero()));
  CHECK(helical_axis(models::to_rad(0.51) * Vector3d::UnitZ(), Vector3d::UnitX(), Vector3d::Zero()));
  CHECK_FALSE(helical_axis(Vector3d::Zero(), Vector3d::UnitX(), Vector3d::Zero()));
  constexpr double kNan = std::numeric_limits<double>::quiet_NaN();
  CHECK_FALSE(helical_axis(Vector3d(kNan, 0.0, 0.0), Vector3d::UnitX(), Vector3d::Zero()));
  CHECK_FALSE(helical_axis(Vector3d::UnitZ(), Vector3d(kNan, 0.0, 0.0), Vector3d::Zero()));
}
