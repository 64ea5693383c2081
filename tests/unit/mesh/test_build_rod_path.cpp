// SPDX-License-Identifier: MIT
#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

#include "mesh/build/frames.hpp"
#include "mesh/build/rod_path.hpp"

using namespace opisthion::mesh;

namespace {

/// Points of a circular arc in a plane that is oblique to all axes but keeps each coordinate monotone along the arc.
std::vector<Vector3> arc(double radius, int points) {
  std::vector<Vector3> out;
  for (int i = 0; i < points; ++i) {
    const double a = (0.2 + 0.9 * i / (points - 1)) * std::numbers::pi / 2.0 * 0.8;
    out.push_back(radius * Vector3(std::cos(a), 0.0, std::sin(a)));
  }
  return out;
}

}  // namespace

TEST_CASE("a rod through two locks is straight") {
  const RodPath path({{0, 0, 0}, {3, 4, 12}});
  CHECK(std::isinf(path.least_radius_mm()));
  CHECK((path.point(0, 0.5) - Vector3(1.5, 2, 6)).norm() < 1e-12);
  CHECK((path.tangent(0, 0.3) - Vector3(3, 4, 12) / 13.0).norm() < 1e-12);
}

TEST_CASE("a rod passes through its locks and its direction is continuous there") {
  const std::vector<Vector3> locks{{0, 20, 40}, {-4, 19, 28}, {-3, 21, 15}, {-9, 20, 0}};
  const RodPath path(locks);
  REQUIRE(path.spans() == 3);
  for (int span = 0; span < 3; ++span) {
    CHECK(path.point(span, 0.0) == locks[static_cast<std::size_t>(span)]);
    CHECK(path.point(span, 1.0) == locks[static_cast<std::size_t>(span) + 1]);
    if (span > 0) CHECK((path.tangent(span, 0.0) - path.tangent(span - 1, 1.0)).norm() < 1e-12);
  }
}

TEST_CASE("a rod does not overshoot its locks in any coordinate") {
  const std::vector<Vector3> locks{{0, 20, 40}, {-8, 19, 28}, {-8.2, 25, 20}, {-1, 24, 0}};
  const RodPath path(locks);
  for (int span = 0; span < path.spans(); ++span) {
    const Vector3& a = locks[static_cast<std::size_t>(span)];
    const Vector3& b = locks[static_cast<std::size_t>(span) + 1];
    for (int i = 0; i <= 50; ++i) {
      const Vector3 p = path.point(span, i / 50.0);
      CHECK((p.array() >= a.cwiseMin(b).array() - 1e-12).all());
      CHECK((p.array() <= a.cwiseMax(b).array() + 1e-12).all());
    }
  }
}

TEST_CASE("the bend radius of a rod along a circle approaches the circle's") {
  constexpr double kRadius = 60.0;
  const auto error = [](int points) {
    const RodPath path(arc(kRadius, points));
    return std::abs(path.radius_mm(path.spans() / 2, 0.5) - kRadius) / kRadius;
  };
  CHECK(error(9) < 0.05);
  CHECK(error(33) < error(9));
  CHECK(error(129) < 1e-3);
}

TEST_CASE("a sharper corner has a smaller radius") {
  const auto radius = [](double offset) { return RodPath({{0, 0, 0}, {offset, 0, 10}, {0, 0, 20}}).least_radius_mm(); };
  CHECK(radius(4.0) < radius(2.0));
  CHECK(radius(2.0) < radius(1.0));
}

TEST_CASE("axes carried along a rod stay orthonormal and do not twist") {
  const RodPath path(arc(30.0, 5));
  Matrix3 frame = beam_frame(path.tangent(0, 0.0), Vector3::UnitY());
  CHECK((frame.col(1) - Vector3::UnitY()).norm() < 1e-12);
  for (int span = 0; span < path.spans(); ++span)
    for (int i = 1; i <= 8; ++i) frame = transported(frame, path.tangent(span, i / 8.0));
  CHECK((frame.transpose() * frame - Matrix3::Identity()).norm() < 1e-12);
  CHECK(frame.determinant() == Approx(1.0));
  // The arc lies in the x-z plane: without twist the y axis stays its normal.
  CHECK((frame.col(1) - Vector3::UnitY()).norm() < 1e-12);
}
