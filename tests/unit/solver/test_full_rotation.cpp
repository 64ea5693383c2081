// SPDX-License-Identifier: MIT
#include <Eigen/Geometry>
#include <Eigen/LU>
#include <catch2/catch.hpp>
#include <cmath>
#include <random>

#include "solver/core/full/pose.hpp"

namespace full = opisthion::core::full;
namespace mesh = opisthion::mesh;
using mesh::Matrix3;
using mesh::Vector3;

namespace {

class Dice {
 public:
  Vector3 direction() { return Vector3(normal_(engine_), normal_(engine_), normal_(engine_)).normalized(); }
  Vector3 vector(double length) { return length * direction(); }

 private:
  std::mt19937 engine_{7};
  std::normal_distribution<double> normal_{};
};

Matrix3 by_eigen(const Vector3& t) {
  return t.norm() == 0.0 ? Matrix3(Matrix3::Identity()) : Eigen::AngleAxisd(t.norm(), t.normalized()).toRotationMatrix();
}

const double kAngles[] = {0.0, 1e-14, 1e-9, 1e-5, 1e-3, 0.1, 0.49, 0.51, 1.0, 1.49, 1.51, 2.2, 3.0, 3.1, 3.14};

}  // namespace

TEST_CASE("unit: exponential and logarithm of rotations agree with an independent library and with each other") {
  Dice dice;
  for (const double angle : kAngles) {
    for (int i = 0; i < 20; ++i) {
      const Vector3 t = dice.vector(angle);
      const Matrix3 r = full::exp_rotation(t);
      CHECK((r - by_eigen(t)).norm() < 2e-15);
      CHECK((r.transpose() * r - Matrix3::Identity()).norm() < 4e-15);  // nine entries, a few roundings each
      CHECK((full::log_rotation(by_eigen(t)) - t).norm() <= 1e-15 + 4e-15 * angle);
    }
  }
  CHECK((full::exp_rotation(Vector3(0, 0, 7.5)) - by_eigen(Vector3(0, 0, 7.5))).norm() < 1e-15);
}

TEST_CASE("unit: the logarithm keeps its digits up to half a turn") {
  Dice dice;
  for (const double short_of_pi : {0.0, 1e-15, 1e-12, 1e-9, 1e-7, 1e-4}) {
    for (int i = 0; i < 20; ++i) {
      const Vector3 t = dice.vector(M_PI - short_of_pi);
      const Vector3 got = full::log_rotation(by_eigen(t));
      CHECK(got.norm() <= M_PI + 1e-15);
      // at pi both signs are the same rotation
      CHECK(std::min((got - t).norm(), short_of_pi < 1e-14 ? (got + t).norm() : 9.0) < 2e-14);
    }
  }
}

TEST_CASE("unit: a turn past 180 deg keeps its history") {
  Dice dice;
  for (int i = 0; i < 10; ++i) {
    const Vector3 axis = dice.direction();
    Vector3 branch = Vector3::Zero();
    for (double angle = 0.0; angle < 14.0; angle += 0.21) {
      branch = full::log_near(by_eigen(angle * axis), branch);
      CHECK((branch - angle * axis).norm() < 1e-13);
    }
    for (double angle = 14.0; angle > -8.0; angle -= 0.3) {
      branch = full::log_near(by_eigen(angle * axis), branch);
      CHECK((branch - angle * axis).norm() < 1e-13);
    }
  }
  CHECK((full::log_near(Matrix3::Identity(), Vector3(0, 6.2, 0)) - Vector3(0, 2 * M_PI, 0)).norm() < 1e-14);
  CHECK(full::log_near(Matrix3::Identity(), Vector3(0, 3.0, 0)).norm() == 0.0);
}

TEST_CASE("unit: Jacobians of the rotation vector are inverse to each other and follow finite differences") {
  Dice dice;
  const double h = 1e-3;  // with the five-point formula the error is h^4
  for (const double angle : kAngles) {
    for (int i = 0; i < 5; ++i) {
      const Vector3 t = dice.vector(angle);
      const Matrix3 forward = full::left_jacobian(t);
      const Matrix3 inverse = full::left_jacobian_inverse(t);
      CHECK((forward * inverse - Matrix3::Identity()).norm() < 2e-13);
      const Vector3 d = dice.direction();
      // exp(t + s d) exp(t)^T = exp(s L d + ...)
      const auto spin = [&](double s) { return full::log_rotation(by_eigen(t + s * d) * by_eigen(t).transpose()); };
      const Vector3 rate = (8.0 * (spin(h) - spin(-h)) - (spin(2 * h) - spin(-2 * h))) / (12.0 * h);
      CHECK((forward * d - rate).norm() < 1e-11);
      // the log turns over at pi
      if (angle > 3.135) continue;
      const auto log = [&](double s) { return full::log_rotation(by_eigen(s * d) * by_eigen(t)); };
      const Vector3 slope = (8.0 * (log(h) - log(-h)) - (log(2 * h) - log(-2 * h))) / (12.0 * h);
      CHECK((inverse * d - slope).norm() < 1e-10);
    }
  }
}

TEST_CASE("unit: the second derivative of the logarithm follows second differences") {
  Dice dice;
  const double h = 2e-3;
  for (const double angle : kAngles) {
    if (angle > 3.13) continue;
    for (int i = 0; i < 8; ++i) {
      const Vector3 t = dice.vector(angle);
      const Vector3 m = dice.direction();
      const Vector3 d = dice.direction();
      const Matrix3 hessian = full::log_hessian(t, m);
      CHECK((hessian - hessian.transpose()).norm() == 0.0);
      const auto f = [&](double s) { return m.dot(full::log_rotation(by_eigen(s * d) * by_eigen(t))); };
      const double second =
          (16.0 * (f(h) + f(-h)) - (f(2 * h) + f(-2 * h)) - 30.0 * f(0.0)) / (12.0 * h * h);  // rounding: 1e-15/h^2
      CHECK(d.dot(hessian * d) == Approx(second).margin(3e-9));
    }
  }
}

TEST_CASE("unit: the series of the logarithm's derivatives meet their closed forms") {
  // c = 1/a^2 - (1 + cos a)/(2 a sin a), and c' by differences of the closed form: independent of the series near zero
  const auto c = [](double a) { return 1.0 / (a * a) - (1.0 + std::cos(a)) / (2.0 * a * std::sin(a)); };
  for (const double a : {0.2, 0.4999, 0.5001, 0.9, 1.4999, 1.5001, 2.0, 3.0}) {
    const full::LogSeries got = full::log_series(a * a);
    CHECK(got.c == Approx(c(a)).epsilon(1e-13));
    const double h = 1e-3;
    const double slope = (8.0 * (c(a + h) - c(a - h)) - (c(a + 2 * h) - c(a - 2 * h))) / (12.0 * h);
    CHECK(got.slope_over_angle * a == Approx(slope).margin(3e-11));
  }
  CHECK(full::log_series(0.0).c == Approx(1.0 / 12.0).epsilon(1e-15));
  CHECK(full::log_series(0.0).slope_over_angle == Approx(1.0 / 360.0).epsilon(1e-15));
}

TEST_CASE("unit: the nearest rotation undoes a stretch") {
  Dice dice;
  for (int i = 0; i < 20; ++i) {
    const Matrix3 r = by_eigen(dice.vector(2.9));
    const Matrix3 frame = by_eigen(dice.vector(1.0));
    const Matrix3 stretch = frame * Vector3(0.3, 1.0, 4.0).asDiagonal() * frame.transpose();
    CHECK((full::polar_rotation(r * stretch) - r).norm() < 1e-14);
    // one negative stretch, the smallest: still the rotation of the largest trace
    const Matrix3 turned_over = frame * Vector3(-0.3, 1.0, 4.0).asDiagonal() * frame.transpose();
    CHECK((full::polar_rotation(r * turned_over) - r).norm() < 1e-13);
  }
}

TEST_CASE("unit: poses move along the exponential and meet half way") {
  Dice dice;
  const full::Pose a{dice.vector(30.0), by_eigen(dice.vector(2.0))};
  mesh::Vector6 step;
  step << dice.vector(4.0), dice.vector(1.3);
  const full::Pose b = full::moved(a, step);
  CHECK((b.position_mm - a.position_mm - step.head<3>()).norm() < 1e-14);
  CHECK((b.rotation - by_eigen(step.tail<3>()) * a.rotation).norm() < 2e-15);
  CHECK((full::moved(a, mesh::Vector6::Zero()).rotation - a.rotation).norm() == 0.0);

  const full::Pose middle = full::half_way(a, b);
  CHECK((middle.rotation - by_eigen(0.5 * step.tail<3>()) * a.rotation).norm() < 3e-15);
  CHECK((middle.position_mm - a.position_mm - 0.5 * step.head<3>()).norm() < 1e-14);
  const full::Pose other_way = full::half_way(b, a);
  CHECK((middle.rotation - other_way.rotation).norm() < 3e-15);

  full::Pose walker = a;
  for (int i = 0; i < 100000; ++i) walker = full::moved(walker, step);
  CHECK((walker.rotation.transpose() * walker.rotation - Matrix3::Identity()).norm() < 3e-15);

  mesh::System system;
  system.bodies.push_back({.position_mm = {1, 2, 3}});
  full::Poses poses = full::reference_poses(system);
  const Vector3 point(4, 5, 7);
  CHECK((full::point_now(system, poses, {{0}, point}) - point).norm() == 0.0);
  poses[0] = full::moved(poses[0], step);
  const Vector3 there = Vector3(1, 2, 3) + step.head<3>() + by_eigen(step.tail<3>()) * Vector3(3, 3, 4);
  CHECK((full::point_now(system, poses, {{0}, point}) - there).norm() < 1e-14);
}
