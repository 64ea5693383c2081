// SPDX-License-Identifier: MIT
// Loads in finite rotation: tangents against differences in the chart, and what work each kind of moment does on the way
// from one attitude to another.
#include <catch2/catch.hpp>

#include <Eigen/Geometry>
#include <cmath>

#include "solver/core/full/loads.hpp"
#include "solver/core/full/minima.hpp"
#include "tests/reference/random.hpp"
#include "tests/verification/frame_model.hpp"

using namespace opisthion;
using core::full::answer;
using core::full::LoadAnswer;
using core::full::Moment;
using core::full::MomentKind;
using core::full::PointForce;
using core::full::Pose;
using mesh::Matrix3;
using mesh::Matrix6;
using mesh::Vector3;
using mesh::Vector6;
using reference::Random;

namespace {

Pose random_pose(Random& random) {
  return {random.vector(20.0), random.frame()};
}

/// Relative differences of gradient (to the energy, where there is one) and tangent (to the gradient in the chart).
template <typename Answer>
void check_tangent(const Answer& at, const Pose& pose, bool potential, double& worst) {
  const LoadAnswer here = at(pose);
  const auto in_chart = [&](const Vector6& step) {
    Vector6 g = at(core::full::moved(pose, step)).gradient;
    g.tail<3>() = core::full::left_jacobian(step.tail<3>()).transpose() * g.tail<3>().eval();
    return g;
  };
  Matrix6 tangent;
  Vector6 gradient;
  for (int j = 0; j < 6; ++j) {
    const auto slope = [&](double t) -> Vector6 {
      return (in_chart(t * Vector6::Unit(j)) - in_chart(-t * Vector6::Unit(j))) / (2.0 * t);
    };
    const auto climb = [&](double t) {
      return (at(core::full::moved(pose, t * Vector6::Unit(j))).energy_Nmm -
              at(core::full::moved(pose, -t * Vector6::Unit(j))).energy_Nmm) /
             (2.0 * t);
    };
    const double step = 4e-3;
    tangent.col(j) = (4.0 * slope(0.5 * step) - slope(step)) / 3.0;
    gradient[j] = (4.0 * climb(0.5 * step) - climb(step)) / 3.0;
  }
  const double size = here.gradient.norm();
  worst = std::max(worst, (tangent - here.tangent).norm() / size);
  if (!potential) {
    CHECK(here.energy_Nmm == 0.0);
    return;
  }
  worst = std::max(worst, (gradient - here.gradient).norm() / size);
  CHECK((here.tangent - here.tangent.transpose()).norm() < 1e-12 * size);
}

/// Work of the moment while the body turns by `turns` one after the other, each about its own axis; midpoint rule.
double work(const Moment& moment, const std::vector<Vector3>& turns) {
  constexpr int kParts = 4000;
  Pose pose;
  Vector3 branch = Vector3::Zero();
  double sum = 0.0;
  for (const Vector3& turn : turns) {
    const Vector3 spin = turn / kParts;
    for (int i = 0; i < kParts; ++i) {
      Vector6 half = Vector6::Zero();
      half.tail<3>() = 0.5 * spin;
      pose = core::full::moved(pose, half);
      branch = core::full::turned(moment, pose, branch);
      sum -= answer(moment, pose, branch).gradient.tail<3>().dot(spin);
      pose = core::full::moved(pose, half);
    }
  }
  return sum;
}

const double kQuarter = M_PI / 2.0;

}  // namespace

TEST_CASE("tangents of loads are the derivatives of their gradients in the chart") {
  Random random(31);
  double force_off = 0.0, conservative_off = 0.0, fixed_off = 0.0, following_off = 0.0;
  for (int i = 0; i < 40; ++i) {
    const Pose pose = random_pose(random);
    const PointForce force{{0}, random.vector(30.0), random.vector(50.0)};
    check_tangent([&](const Pose& p) { return answer(force, p); }, pose, true, force_off);
    Moment moment{{0}, random.vector(1500.0), MomentKind::conservative, random.frame()};
    const Vector3 branch = core::full::turned(moment, pose, Vector3::Zero());
    if (branch.norm() > 3.0) continue;  // differences must not cross the branch
    const auto at = [&](const Pose& p) { return answer(moment, p, branch); };
    check_tangent(at, pose, true, conservative_off);
    moment.kind = MomentKind::fixed_axis;
    check_tangent(at, pose, false, fixed_off);
    moment.kind = MomentKind::following;
    check_tangent(at, pose, false, following_off);
  }
  CHECK_SMALL(force_off, 1e-8);
  CHECK_SMALL(conservative_off, 1e-7);
  CHECK_SMALL(fixed_off, 1e-8);
  CHECK_SMALL(following_off, 1e-8);
}

TEST_CASE("moments without a potential have unsymmetric tangents and say so") {
  const Vector3 m(100, -300, 200);
  Pose pose;
  pose.rotation = Eigen::AngleAxisd(0.7, Vector3::UnitX()).toRotationMatrix();
  core::full::Loads loads;
  loads.forces.push_back({{0}, Vector3(1, 2, 3), Vector3(4, 5, 6)});
  loads.moments.push_back({{0}, m, MomentKind::conservative, Matrix3::Identity()});
  CHECK(core::full::conservative(loads));
  for (const MomentKind kind : {MomentKind::fixed_axis, MomentKind::following}) {
    loads.moments[0].kind = kind;
    CHECK_FALSE(core::full::conservative(loads));
    const Matrix6 t = answer(loads.moments[0], pose, Vector3::Zero()).tangent;
    CHECK((t + t.transpose()).norm() < 1e-12 * t.norm());
    CHECK(t.norm() == Approx(m.norm() / std::sqrt(2.0)).epsilon(1e-12));  // |[m]x| = sqrt 2 |m|, half of it
  }
  loads.moments[0].moment_Nmm.setZero();
  CHECK(core::full::conservative(loads));
}

TEST_CASE("two quarter turns and the one turn to the same attitude take different work from a fixed moment only") {
  // Ry(90) Rx(90) is one turn by 120 deg about (1, 1, -1)/sqrt 3 (by hand).
  const std::vector<Vector3> two{kQuarter * Vector3::UnitX(), kQuarter * Vector3::UnitY()};
  const std::vector<Vector3> one{2.0 * M_PI / (3.0 * std::sqrt(3.0)) * Vector3(1, 1, -1)};
  CHECK((core::full::exp_rotation(two[1]) * core::full::exp_rotation(two[0]) - core::full::exp_rotation(one[0])).norm() <
        1e-14);
  const double along = -2.0 * M_PI / (3.0 * std::sqrt(3.0));
  Moment moment{{0}, Vector3::UnitZ(), MomentKind::conservative, Matrix3::Identity()};
  CHECK_RELATIVE(work(moment, one), along, 1e-12);
  CHECK_RELATIVE(work(moment, two), along, 1e-6);  // the midpoint rule's own error
  moment.kind = MomentKind::fixed_axis;
  CHECK_RELATIVE(work(moment, one), along, 1e-12);
  CHECK(std::abs(work(moment, two)) < 1e-12);  // neither turn has a part about z
  // A following moment rides along: after Rx(90) it points along -y, against the second turn.
  moment.kind = MomentKind::following;
  CHECK_RELATIVE(work(moment, one), along, 1e-12);
  CHECK_RELATIVE(work(moment, two), -kQuarter, 1e-12);
}

TEST_CASE("a following moment rides on its body from the attitude that its rotation counts from") {
  const Vector3 m(10, 20, 30);
  const Matrix3 zero = Eigen::AngleAxisd(0.4, Vector3::UnitY()).toRotationMatrix();
  const Matrix3 turn = Eigen::AngleAxisd(1.9, Vector3(1, 1, 0).normalized()).toRotationMatrix();
  const Moment moment{{0}, m, MomentKind::following, zero};
  CHECK((answer(moment, {Vector3::Zero(), zero}, Vector3::Zero()).gradient.tail<3>() + m).norm() < 1e-12);
  CHECK((answer(moment, {Vector3::Zero(), turn * zero}, Vector3::Zero()).gradient.tail<3>() + turn * m).norm() < 1e-12);
}

TEST_CASE("a body turned past half a turn keeps its history") {
  const Moment moment{{0}, Vector3(0, 0, 50), MomentKind::conservative, Matrix3::Identity()};
  Vector3 branch = Vector3::Zero();
  Pose pose;
  for (int i = 1; i <= 50; ++i) {
    const double angle = 0.1 * i;
    pose.rotation = Eigen::AngleAxisd(angle, Vector3::UnitZ()).toRotationMatrix();
    branch = core::full::turned(moment, pose, branch);
    CHECK(branch.z() == Approx(angle).epsilon(1e-12));
    CHECK(answer(moment, pose, branch).energy_Nmm == Approx(-50.0 * angle).epsilon(1e-12));
    CHECK(answer(moment, pose, branch).gradient[5] == Approx(-50.0).epsilon(1e-12));
  }
  // Derivatives hold on that branch too, off the moment's axis.
  pose.rotation = core::full::exp_rotation(Vector3(1.5, -1.0, 3.0));
  branch = Vector3(1.5, -1.0, 3.0);
  REQUIRE(branch.norm() > M_PI);
  double worst = 0.0;
  check_tangent([&](const Pose& p) { return answer(moment, p, branch); }, pose, true, worst);
  CHECK_SMALL(worst, 1e-7);
}

TEST_CASE("a dead force does the work of its point's way along it") {
  const PointForce force{{0}, Vector3(0, 0, 10), Vector3(2, 0, 0)};
  const Pose before;
  const Pose after{Vector3(1, 1, 1), Eigen::AngleAxisd(kQuarter, Vector3::UnitY()).toRotationMatrix()};
  // The point goes from (0, 0, 10) to (11, 1, 1).
  CHECK(answer(force, before).energy_Nmm - answer(force, after).energy_Nmm == Approx(22.0).epsilon(1e-13));
}

TEST_CASE("a moment's stand-in with a potential agrees with it where it is taken, but for the skew part of its tangent") {
  Random random(77);
  for (const MomentKind kind : {MomentKind::fixed_axis, MomentKind::following, MomentKind::conservative}) {
    const core::full::Poses poses{random_pose(random), random_pose(random)};
    const Moment moment{
        .body = mesh::BodyId{1}, .moment_Nmm = random.vector(1000.0), .kind = kind, .zero_rotation = random.frame()};
    const core::full::LoadPath path = core::full::with_potential_at({.constant = {}, .growing = {{}, {moment}}}, poses);
    REQUIRE(core::full::conservative(path.growing));
    const Vector3 branch = core::full::turned(moment, poses[1], Vector3::Zero());
    const LoadAnswer own = answer(moment, poses[1], branch);
    const LoadAnswer other =
        answer(path.growing.moments[0], poses[1], kind == MomentKind::conservative ? branch : Vector3(Vector3::Zero()));
    CHECK((own.gradient - other.gradient).norm() < 1e-9);
    CHECK((0.5 * (own.tangent + own.tangent.transpose()) - other.tangent).norm() < 1e-9);
  }
}
