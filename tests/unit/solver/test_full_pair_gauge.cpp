// SPDX-License-Identifier: MIT
// Pairs of bodies in their mean frame: the closed form against the fitted frame, which knows nothing of it.
#include <Eigen/Geometry>
#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <string>
#include <utility>
#include <vector>

#include "dice.hpp"
#include "small_systems.hpp"
#include "solver/core/full/pair_gauge.hpp"

namespace full = opisthion::core::full;
namespace mesh = opisthion::mesh;
namespace tests = opisthion::tests;
using full::GaugeElement;
using full::Order;
using full::Pose;
using full::Poses;
using mesh::Matrix3;
using mesh::Vector3;
using opisthion::tests::Dice;

namespace {

constexpr double kLength_mm = 20.0;  // rotations against translations, THEORY 1
constexpr double kStep_mm = 5e-4;    // of differences: laws stay on their piece
constexpr double kLastDigit = 2.2e-16;
constexpr double kDegree = 3.14159265358979323846 / 180.0;

struct Sample {
  std::string name{};
  GaugeElement element{};
  bool kinks_at_zero = false;  ///< of turns: there rounding takes the side
};

/// Arms, references apart from each other and R_0 that are no identity: as after a reference has been taken anew.
GaugeElement bare_pair(Dice& dice) {
  GaugeElement out;
  for (int i = 0; i < 2; ++i) {
    full::GaugePort port{.body = {i}, .arm_mm = dice.vector(15.0)};
    port.rotation_weight_mm2 = 2.5;
    port.reference_mm = dice.vector(10.0);
    port.reference_rotation = dice.rotation(0.2);
    out.ports.push_back(port);
  }
  return out;
}

mesh::Polygon polygon(double k, double size) {
  mesh::Polygon out{.count = 4, .slope_below = 4.0 * k, .slope_above = 3.0 * k};
  out.at = {-size, -0.3 * size, 0.4 * size, 1.1 * size};
  out.value = {-0.9 * k * size, -0.2 * k * size, 0.3 * k * size, 1.2 * k * size};
  return out;
}

/// Slack on one side, on the toe and beyond on the other; the second is taut from far before zero.
std::array<mesh::ScalarLaw, 3> one_sided(double k, double size) {
  return {mesh::ToeLinear{.slack = 0.1 * size, .toe = 0.5 * size, .stiffness = k},
          mesh::ToeLinear{.slack = -4.0 * size, .toe = 6.0 * size, .stiffness = 2.0 * k},
          mesh::ToeLinear{.slack = 0.2 * size, .toe = 0.0, .stiffness = 1.5 * k}};
}

std::array<mesh::ScalarLaw, 3> two_sided(double k, double size) {
  return {polygon(k, size), mesh::two_slopes(k, 2.0 * k), mesh::two_slopes(1.3 * k, 1.3 * k)};
}

constexpr double kSlide_N_per_mm = 120.0;
constexpr double kTurn_Nmm = 4e4;
constexpr double kSlide_mm = 1.0;
constexpr double kTurn_rad = 0.05;

GaugeElement with_laws(Dice& dice, const std::array<mesh::ScalarLaw, 3>& slides,
                       const std::array<mesh::ScalarLaw, 3>& turns) {
  GaugeElement out = bare_pair(dice);
  out.by_laws = true;
  out.axes = dice.rotation(1.0);
  std::copy(slides.begin(), slides.end(), out.laws.begin());
  std::copy(turns.begin(), turns.end(), out.laws.begin() + 3);
  return out;
}

/// No symmetry but its own; nothing answers to a common translation.
GaugeElement with_stiffness(Dice& dice, bool self_stress) {
  GaugeElement out = bare_pair(dice);
  Eigen::MatrixXd centred = Eigen::MatrixXd::Identity(12, 12);
  for (int i = 0; i < 12; i += 6)
    for (int j = 0; j < 12; j += 6) centred.block<3, 3>(i, j).diagonal().array() -= 0.5;
  const Eigen::MatrixXd root = Eigen::MatrixXd::NullaryExpr(12, 12, [&]() { return 10.0 * dice.number(); }) * centred;
  out.stiffness = root.transpose() * root;
  if (self_stress) out.force0 = centred * Eigen::VectorXd::NullaryExpr(12, [&]() { return 300.0 * dice.number(); });
  return out;
}

mesh::System two_bodies() {
  mesh::System s;
  tests::add_body(s, Vector3(1, -2, 0), mesh::BodyKind::bone);
  tests::add_body(s, Vector3(3, 2, 16), mesh::BodyKind::bone);
  return s;
}

std::vector<Sample> samples() {
  std::vector<Sample> out;
  Dice dice(31);
  out.push_back({"polygons", with_laws(dice, two_sided(kSlide_N_per_mm, kSlide_mm), two_sided(kTurn_Nmm, kTurn_rad)), true});
  out.push_back({"slack and toes on slides",
                 with_laws(dice, one_sided(kSlide_N_per_mm, kSlide_mm), two_sided(kTurn_Nmm, kTurn_rad)), true});
  out.push_back(
      {"slack and toes on turns", with_laws(dice, two_sided(kSlide_N_per_mm, kSlide_mm), one_sided(kTurn_Nmm, kTurn_rad))});
  out.push_back({"stiffness", with_stiffness(dice, false)});
  out.push_back({"stiffness and self-stress", with_stiffness(dice, true)});
  const mesh::System s = two_bodies();
  mesh::Cushion cushion{.a = {0}, .b = {1}, .point_mm = {4, 5, 9}, .global_from_cushion = dice.rotation(1.0)};
  cushion.stiffness.diagonal() << 200, 300, 900, 4e4, 2e4, 3e4;
  cushion.stiffness(0, 4) = cushion.stiffness(4, 0) = 700;
  out.push_back({"cushion", full::cushion_element(s, cushion)});
  mesh::AxisCushion disc{.a = {0}, .b = {1}, .point_mm = {2, -3, 9}, .global_from_cushion = dice.rotation(1.0)};
  for (std::size_t i = 0; i < 6; ++i) disc.laws[i] = i < 3 ? polygon(90.0, 0.5) : polygon(3e4, 0.06);
  out.push_back({"axis cushion", full::axis_cushion_element(s, disc)});
  return out;
}

/// Turned as a whole; b by `turn` about some axis relative to a, and its point off its place by up to `shift_mm` a way.
Poses poses_of(const GaugeElement& element, Dice& dice, double turn, double shift_mm) {
  const Matrix3 whole = dice.rotation(3.0);
  const Vector3 axis = dice.vector(1.0).normalized();
  const full::GaugePort& a = element.ports[0];
  const full::GaugePort& b = element.ports[1];
  Poses out(2);
  out[0].rotation = whole * full::exp_rotation(-0.5 * turn * axis) * a.reference_rotation;
  out[1].rotation = whole * full::exp_rotation(0.5 * turn * axis) * b.reference_rotation;
  out[0].position_mm = dice.vector(30.0);
  const Vector3 point = out[0].position_mm + out[0].rotation * a.arm_mm;
  const Vector3 apart = b.reference_mm - a.reference_mm + dice.vector(shift_mm);
  out[1].position_mm = point + whole * apart - out[1].rotation * b.arm_mm;
  return out;
}

struct Values {
  double energy = 0.0;
  Eigen::VectorXd gradient{};
  Eigen::MatrixXd hessian{};
};

Values at(const GaugeElement& element, const Poses& poses, Order order = Order::hessian) {
  full::Answer answer;
  full::evaluate_pair(element, poses, order, answer);
  return {answer.energy_Nmm, answer.gradient, answer.hessian};
}

Values fitted_at(const GaugeElement& element, const Poses& poses) {
  full::GaugeWork work;
  full::Answer answer;
  full::detail::evaluate_fitted(element, poses, Order::hessian, work, answer);
  return {answer.energy_Nmm, answer.gradient, answer.hessian};
}

Eigen::VectorXd scale() {
  Eigen::VectorXd out = Eigen::VectorXd::Ones(12);
  for (Eigen::Index i = 3; i < 12; i += 6) out.segment<3>(i).setConstant(1.0 / kLength_mm);
  return out;
}

double size_of(const Eigen::VectorXd& g) {
  return g.cwiseProduct(scale()).norm();
}

double size_of(const Eigen::MatrixXd& h) {
  return (scale().asDiagonal() * h * scale().asDiagonal()).norm();
}

template <typename Derivative>
double apart(const Derivative& a, const Derivative& b) {
  return size_of(Derivative(a - b)) / size_of(b);
}

Poses stepped(Poses poses, const Eigen::VectorXd& step) {
  for (std::size_t i = 0; i < 2; ++i) poses[i] = full::moved(poses[i], step.segment<6>(static_cast<Eigen::Index>(6 * i)));
  return poses;
}

/// Derivative at s = 0 of f(s), by five points: the error goes with the fourth power of h.
template <typename F>
auto slope(const F& f, double h) {
  return ((8.0 * (f(h) - f(-h)) - (f(2 * h) - f(-2 * h))) / (12.0 * h)).eval();
}

double step_of(Eigen::Index unknown) {
  return unknown % 6 < 3 ? kStep_mm : kStep_mm / kLength_mm;
}

Eigen::VectorXd gradient_by_differences(const GaugeElement& element, const Poses& poses) {
  Eigen::VectorXd out(12);
  for (Eigen::Index i = 0; i < 12; ++i) {
    const auto energy = [&](double s) {
      return Eigen::Matrix<double, 1, 1>(at(element, stepped(poses, s * Eigen::VectorXd::Unit(12, i)), Order::value).energy);
    };
    out[i] = slope(energy, step_of(i))[0];
  }
  return out;
}

/// Of the gradient in the chart of the base pose: moments there are L^T times those on the spin at the pose stepped to.
Eigen::MatrixXd hessian_by_differences(const GaugeElement& element, const Poses& poses) {
  Eigen::MatrixXd out(12, 12);
  for (Eigen::Index i = 0; i < 12; ++i) {
    const auto gradient = [&](double s) {
      const Eigen::VectorXd step = s * Eigen::VectorXd::Unit(12, i);
      Eigen::VectorXd g = at(element, stepped(poses, step), Order::gradient).gradient;
      for (Eigen::Index j = 3; j < 12; j += 6)
        g.segment<3>(j) = (full::left_jacobian(step.segment<3>(j)).transpose() * g.segment<3>(j)).eval();
      return g;
    };
    out.col(i) = slope(gradient, step_of(i));
  }
  return out;
}

mesh::ScalarLaw reversed(const mesh::ScalarLaw& law) {
  const auto& p = std::get<mesh::Polygon>(law);
  mesh::Polygon out{.count = p.count, .slope_below = p.slope_above, .slope_above = p.slope_below};
  for (int i = 0; i < p.count; ++i) {
    out.at[static_cast<std::size_t>(i)] = -p.at[static_cast<std::size_t>(p.count - 1 - i)];
    out.value[static_cast<std::size_t>(i)] = -p.value[static_cast<std::size_t>(p.count - 1 - i)];
  }
  return out;
}

/// What each unknown may be off by.
Eigen::VectorXd off_by(double mm, double rad) {
  Eigen::VectorXd out = Eigen::VectorXd::Constant(12, mm);
  for (Eigen::Index i = 3; i < 12; i += 6) out.segment<3>(i).setConstant(rad);
  return out;
}

}  // namespace

TEST_CASE("unit: pairs in their mean frame answer in closed form what the fitted frame does, for every angle") {
  for (const Sample& sample : samples()) {
    Dice dice(41);
    for (const double turn :
         {0.0, 1e-9, 1e-7, 1e-5, 1e-3, 0.05, 0.2, 0.28, 0.29, 0.6, 0.99, 1.01, 2.0, 150.0 * kDegree, 170.0 * kDegree}) {
      // near 180 deg the fit is all but undefined and loses digits of its own
      const double digits = turn < 2.1 ? 5e-14 : 1e-11;
      INFO(sample.name << ", turned by " << turn);
      for (int round = 0; round < 20; ++round) {
        const Poses poses = poses_of(sample.element, dice, turn, 3.0);
        const Values fitted = fitted_at(sample.element, poses);
        const Values now = at(sample.element, poses);
        // A law that is taut at zero has an energy of first order in the turn, which passes zero there: it keeps the digits
        // of the turn, not its own. So the last digit of places up to 60 mm and of rotations counts, too.
        const double last_digit_Nmm = fitted.gradient.cwiseAbs().dot(off_by(60.0 * kLastDigit, kLastDigit));
        CHECK(std::abs(now.energy - fitted.energy) <= digits * std::abs(fitted.energy) + last_digit_Nmm);
        CHECK(apart(now.gradient, fitted.gradient) < digits);
        if (turn > 0.0 || !sample.kinks_at_zero) CHECK(apart(now.hessian, fitted.hessian) < digits);
        CHECK((now.hessian - now.hessian.transpose()).norm() == 0.0);
      }
    }
  }
}

TEST_CASE("unit: pairs that all but stand in their reference answer alike to the rounding of their poses") {
  // of positions of 30 mm plus arms, and of rotations
  constexpr double kRounding_mm = 1e-13;
  constexpr double kRounding_rad = 2e-15;
  for (const Sample& sample : samples()) {
    Dice dice(42);
    for (const double turn : {0.0, 1e-9, 1e-6, 1e-3}) {
      INFO(sample.name << ", turned by " << turn);
      const Poses poses = poses_of(sample.element, dice, turn, kLength_mm * turn);
      const Values fitted = fitted_at(sample.element, poses);
      const Values now = at(sample.element, poses);
      const Eigen::VectorXd rounding = off_by(kRounding_mm, kRounding_rad);
      const Eigen::VectorXd force = fitted.hessian.cwiseAbs() * rounding;
      CHECK(std::abs(now.energy - fitted.energy) <=
            1e-11 * std::abs(fitted.energy) + (fitted.gradient.cwiseAbs() + force).dot(rounding));
      CHECK(size_of(Eigen::VectorXd(now.gradient - fitted.gradient)) <= 1e-11 * size_of(fitted.gradient) + size_of(force));
      if (turn > 0.0) CHECK(apart(now.hessian, fitted.hessian) < 1e-11);  // else slides are on kinks too
    }
  }
}

TEST_CASE("unit: derivatives of pairs in their mean frame follow differences of their energies") {
  for (const Sample& sample : samples()) {
    Dice dice(43);
    for (const double turn : {0.0, 1e-6, 0.05, 0.3, 1.2, 2.5}) {
      INFO(sample.name << ", turned by " << turn);
      if (turn < kStep_mm / kLength_mm && sample.kinks_at_zero) continue;  // steps would reach kinks
      const Poses poses = poses_of(sample.element, dice, turn, 3.0);
      const Values now = at(sample.element, poses);
      CHECK(apart(now.gradient, gradient_by_differences(sample.element, poses)) < 1e-6);
      CHECK(apart(now.hessian, hessian_by_differences(sample.element, poses)) < 1e-6);
    }
  }
}

TEST_CASE("unit: pairs in their mean frame do not know where they are and carry no force out of themselves") {
  for (const Sample& sample : samples()) {
    Dice dice(44);
    for (const double turn : {1e-6, 0.1, 0.8, 2.6}) {
      INFO(sample.name << ", turned by " << turn);
      const Poses poses = poses_of(sample.element, dice, turn, 3.0);
      const Matrix3 whole = dice.rotation(3.0);
      const Vector3 shift = dice.vector(50.0);
      Poses carried = poses;
      for (Pose& pose : carried) pose = {whole * pose.position_mm + shift, whole * pose.rotation};
      Eigen::MatrixXd frame = Eigen::MatrixXd::Zero(12, 12);
      for (Eigen::Index i = 0; i < 12; i += 3) frame.block<3, 3>(i, i) = whole;
      const Values before = at(sample.element, poses);
      const Values after = at(sample.element, carried);
      CHECK(after.energy == Approx(before.energy).epsilon(1e-12));
      CHECK(apart(after.gradient, Eigen::VectorXd(frame * before.gradient)) < 1e-12);
      CHECK(apart(after.hessian, Eigen::MatrixXd(frame * before.hessian * frame.transpose())) < 1e-12);

      const Vector3 on_a = before.gradient.segment<3>(0);
      const Vector3 on_b = before.gradient.segment<3>(6);
      const Vector3 moment = poses[0].position_mm.cross(on_a) + poses[1].position_mm.cross(on_b) +
                             before.gradient.segment<3>(3) + before.gradient.segment<3>(9);
      CHECK((on_a + on_b).norm() == 0.0);
      CHECK(moment.norm() < 1e-12 * kLength_mm * size_of(before.gradient));
    }
  }
}

TEST_CASE("unit: the mirror image of a pair in its mean frame answers with the mirror image") {
  const Matrix3 mirror = Vector3(1, -1, 1).asDiagonal();
  Eigen::VectorXd sign(12);  // turns are axial
  for (Eigen::Index i = 0; i < 12; i += 6) sign.segment<6>(i) << 1, -1, 1, -1, 1, -1;
  for (const Sample& sample : samples()) {
    GaugeElement other = sample.element;
    for (full::GaugePort& port : other.ports) {
      port.arm_mm = mirror * port.arm_mm;
      port.reference_mm = mirror * port.reference_mm;
      port.reference_rotation = mirror * port.reference_rotation * mirror;
    }
    if (other.by_laws) {
      // Axes count one by one, so a left-handed set will do: slides keep their sign in it and turns do not. In the set with
      // all signs changed it is the other way round. Laws with a toe are one-sided and must keep theirs.
      const bool turns_change = !std::holds_alternative<mesh::ToeLinear>(other.laws[3]);
      other.axes = (turns_change ? 1.0 : -1.0) * mirror * other.axes;
      for (std::size_t i = 0; i < 3; ++i) {
        mesh::ScalarLaw& law = other.laws[turns_change ? i + 3 : i];
        law = reversed(law);
      }
    } else {
      other.stiffness = sign.asDiagonal() * other.stiffness * sign.asDiagonal();
      if (other.force0.size() > 0) other.force0 = sign.cwiseProduct(other.force0);
    }
    Dice dice(45);
    for (const double turn : {1e-6, 0.1, 0.8, 2.6}) {
      INFO(sample.name << ", turned by " << turn);
      const Poses poses = poses_of(sample.element, dice, turn, 3.0);
      Poses mirrored = poses;
      for (Pose& pose : mirrored) pose = {mirror * pose.position_mm, mirror * pose.rotation * mirror};
      const Values here = at(sample.element, poses);
      const Values there = at(other, mirrored);
      CHECK(there.energy == Approx(here.energy).epsilon(1e-12));
      CHECK(apart(there.gradient, Eigen::VectorXd(sign.cwiseProduct(here.gradient))) < 1e-12);
      CHECK(apart(there.hessian, Eigen::MatrixXd(sign.asDiagonal() * here.hessian * sign.asDiagonal())) < 1e-12);
    }
  }
}

TEST_CASE("unit: it does not matter which body of a pair in its mean frame comes first") {
  Dice dice(46);
  const GaugeElement element = with_stiffness(dice, true);
  GaugeElement swapped = element;
  std::swap(swapped.ports[0], swapped.ports[1]);
  Eigen::MatrixXd exchange = Eigen::MatrixXd::Zero(12, 12);
  exchange.block<6, 6>(0, 6).setIdentity();
  exchange.block<6, 6>(6, 0).setIdentity();
  swapped.stiffness = exchange * element.stiffness * exchange;
  swapped.force0 = exchange * element.force0;
  for (const double turn : {1e-6, 0.1, 0.8, 2.6}) {
    const Poses poses = poses_of(element, dice, turn, 3.0);
    const Values here = at(element, poses);
    const Values there = at(swapped, poses);
    CHECK(there.energy == Approx(here.energy).epsilon(1e-12));
    CHECK(apart(there.gradient, Eigen::VectorXd(exchange * here.gradient)) < 1e-12);
    CHECK(apart(there.hessian, Eigen::MatrixXd(exchange * here.hessian * exchange)) < 1e-12);
  }
}

TEST_CASE("unit: pairs in their mean frame, and no other gauge elements, go by the closed form") {
  for (const Sample& sample : samples()) {
    INFO(sample.name);
    CHECK(full::rides_in_mean_frame(sample.element));
    Dice dice(47);
    const Poses poses = poses_of(sample.element, dice, 0.1, 2.0);
    full::GaugeWork work;
    full::Answer answer;
    answer.gradient.setZero(18);
    answer.hessian.setZero(18, 18);
    const double* const place = answer.hessian.data();
    full::evaluate(sample.element, poses, Order::hessian, work, answer);
    const Values own = at(sample.element, poses);
    CHECK(answer.energy_Nmm == own.energy);
    CHECK((answer.gradient.head(12) - own.gradient).norm() == 0.0);
    CHECK((answer.hessian.topLeftCorner(12, 12) - own.hessian).norm() == 0.0);
    CHECK(answer.hessian.data() == place);
    CHECK(answer.hessian.bottomRows(6).norm() + answer.hessian.rightCols(6).norm() == 0.0);
    // asked for less it answers with the same bits
    CHECK(at(sample.element, poses, Order::value).energy == own.energy);
    CHECK((at(sample.element, poses, Order::gradient).gradient - own.gradient).norm() == 0.0);

    GaugeElement other = sample.element;
    other.ports[1].rotation_weight_mm2 *= 2.0;
    CHECK_FALSE(full::rides_in_mean_frame(other));
    other = sample.element;
    other.ports[0].position_weight = 1.0;
    CHECK_FALSE(full::rides_in_mean_frame(other));
    other = sample.element;
    other.ports.push_back(other.ports[0]);
    CHECK_FALSE(full::rides_in_mean_frame(other));
  }
  mesh::System s = two_bodies();
  tests::add_beam(s, {0}, {1}, 3.5);
  GaugeElement beam = full::beam_element(s, s.beams[0]);
  CHECK_FALSE(full::rides_in_mean_frame(beam));
  for (full::GaugePort& port : beam.ports) port.position_weight = 0.0;
  CHECK_FALSE(full::rides_in_mean_frame(beam));  // it bows
}

TEST_CASE("unit: pairs in their mean frame turn by half the angle each and have finite derivatives half a turn apart") {
  Dice dice(48);
  GaugeElement element = bare_pair(dice);
  element.by_laws = true;
  for (std::size_t i = 3; i < 6; ++i) element.laws[i] = mesh::two_slopes(kTurn_Nmm, kTurn_Nmm);
  for (const double turn : {1e-4, 0.3, 1.7, 179.0 * kDegree, 180.0 * kDegree}) {
    const Values now = at(element, poses_of(element, dice, turn, 3.0));
    // k phi^2/2, and what turns b on about the axis is k phi
    CHECK(now.energy == Approx(0.5 * kTurn_Nmm * turn * turn).epsilon(1e-11));
    CHECK(now.gradient.segment<3>(9).norm() == Approx(kTurn_Nmm * turn).epsilon(1e-11));
    CHECK(now.hessian.allFinite());
  }
}
