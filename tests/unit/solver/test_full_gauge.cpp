// SPDX-License-Identifier: MIT
#include <Eigen/Geometry>
#include <catch2/catch.hpp>
#include <cmath>
#include <string>

#include "dice.hpp"
#include "small_systems.hpp"
#include "solver/core/beam.hpp"
#include "solver/core/full/gauge.hpp"
#include "solver/core/functional.hpp"
#include "solver/core/prestress.hpp"
#include "tests/reference/geometric_and_mass.hpp"

namespace core = opisthion::core;
namespace full = opisthion::core::full;
namespace mesh = opisthion::mesh;
namespace tests = opisthion::tests;
using full::GaugeElement;
using full::Order;
using full::Poses;
using mesh::BodyId;
using mesh::Matrix3;
using mesh::Vector3;
using mesh::Vector6;
using opisthion::tests::Dice;

namespace {

constexpr double kStep = 2e-3;       // of differences, mm
constexpr double kStraight = 0.05;   // mm or rad
constexpr double kLength_mm = 20.0;  // rotations against translations, THEORY 1

struct Sample {
  std::string name{};
  mesh::System system{};
  GaugeElement element{};
  /// Stiffness on the bodies' unknowns from elsewhere, in the order of ports; empty: there is no other source.
  Eigen::MatrixXd expected{};
};

mesh::System some_bodies() {
  mesh::System s;
  for (int i = 0; i < 5; ++i)
    tests::add_body(s, Vector3(3.0 * i, i == 2 ? 6.0 : -1.5 * i, 14.0 * i + (i == 1 ? 3.0 : 0.0)), mesh::BodyKind::bone);
  return s;
}

/// No symmetry, every weight another, self-balanced self-stress; R_0 near the reference pose, not in it.
GaugeElement general_element(const mesh::System& s, Dice& dice, bool positions, bool self_stress = true) {
  GaugeElement out;
  const int count = 4;
  for (int i = 0; i < count; ++i) {
    full::GaugePort port{.body = {i}, .arm_mm = dice.vector(8.0)};
    port.position_weight = !positions || i == 2 ? 0.0 : 1.0 + 0.5 * dice.number();
    port.rotation_weight_mm2 = i == 1 ? 0.0 : 30.0 * (1.0 + 0.5 * dice.number());
    port.reference_mm = s.bodies[static_cast<std::size_t>(i)].position_mm + port.arm_mm + dice.vector(0.3);
    port.reference_rotation = dice.rotation(0.05);
    out.ports.push_back(port);
  }
  Eigen::MatrixXd root = Eigen::MatrixXd::NullaryExpr(6 * count, 6 * count, [&]() { return 10.0 * dice.number(); });
  Eigen::MatrixXd centred = Eigen::MatrixXd::Identity(6 * count, 6 * count);  // takes a common translation away
  for (int i = 0; i < count; ++i)
    for (int j = 0; j < count; ++j) centred.block<3, 3>(6 * i, 6 * j).diagonal().array() -= 1.0 / count;
  root *= centred;
  out.stiffness = root.transpose() * root;
  if (self_stress) out.force0 = centred * Eigen::VectorXd::NullaryExpr(6 * count, [&]() { return 300.0 * dice.number(); });
  return out;
}

std::vector<Sample> samples() {
  std::vector<Sample> out;
  {
    mesh::System s = some_bodies();
    tests::add_beam(s, {0}, {1}, 3.5);
    const mesh::Beam& beam = s.beams[0];
    out.push_back({"beam", s, full::beam_element(s, beam), core::beam_stiffness_global(s, beam)});
  }
  {
    mesh::System s = some_bodies();
    tests::add_beam(s, {1}, {2}, 3.5, {0}, {300.0, 500.0, 8000.0});
    const mesh::Beam& beam = s.beams[0];
    out.push_back({"bedded beam", s, full::bedded_beam_element(s, beam), core::beam_stiffness_global(s, beam)});
  }
  {
    mesh::System s = some_bodies();
    mesh::Cushion cushion{.a = {1}, .b = {3}, .point_mm = {4, 5, 25}, .global_from_cushion = Dice(3).rotation(1.0)};
    cushion.stiffness.diagonal() << 200, 300, 900, 4e4, 2e4, 3e4;
    cushion.stiffness(0, 4) = cushion.stiffness(4, 0) = 700;
    out.push_back({"cushion", s, full::cushion_element(s, cushion), core::cushion_stiffness_global(s, cushion)});
  }
  {
    mesh::System s = some_bodies();
    mesh::AxisCushion disc{.a = {0}, .b = {1}, .point_mm = {2, -3, 9}, .global_from_cushion = Dice(4).rotation(1.0)};
    mesh::Cushion same{.a = disc.a, .b = disc.b, .point_mm = disc.point_mm, .global_from_cushion = disc.global_from_cushion};
    same.stiffness.diagonal() << 60, 70, 150, 2e4, 2.5e4, 3e4;
    for (int i = 0; i < 6; ++i) {  // straight about zero, then stiffer, each side in its own way
      const double k = same.stiffness(i, i);
      mesh::Polygon law{.count = 2, .slope_below = (2.0 + 0.1 * i) * k, .slope_above = 3.0 * k};
      law.at = {-kStraight, kStraight};
      law.value = {-kStraight * k, kStraight * k};
      disc.laws[static_cast<std::size_t>(i)] = law;
    }
    out.push_back({"axis cushion", s, full::axis_cushion_element(s, disc), core::cushion_stiffness_global(s, same)});
  }
  {
    const mesh::System s = tests::neck(3, 1);
    const std::vector<core::CondensedComponent> parts = tests::condensed(s);
    REQUIRE(parts.size() == 1);
    std::vector<Vector3> points;
    Dice dice(5);
    for (const BodyId id : parts[0].ports) points.push_back(mesh::body(s, id).position_mm + dice.vector(12.0));
    out.push_back(
        {"component", s, full::component_element(s, parts[0].ports, parts[0].stiffness, points), parts[0].stiffness});
  }
  {
    Dice dice(6);
    const mesh::System s = some_bodies();
    out.push_back({"general", s, general_element(s, dice, true), {}});
    out.push_back({"general, rotations alone", s, general_element(s, dice, false), {}});
  }
  return out;
}

/// Turned as a whole by up to `common`, each body by up to `own` and moved by up to a few mm besides.
Poses random_poses(const mesh::System& s, Dice& dice, double common, double own, double shift_mm) {
  Poses poses = full::reference_poses(s);
  const Matrix3 whole = dice.rotation(common);
  for (full::Pose& pose : poses) {
    pose.position_mm = whole * (pose.position_mm + dice.vector(shift_mm));
    pose.rotation = dice.rotation(own) * whole;
  }
  return poses;
}

/// Poses after a step on the element's bodies, in the order of its ports.
Poses stepped(const GaugeElement& element, Poses poses, const Eigen::VectorXd& step) {
  for (std::size_t i = 0; i < element.ports.size(); ++i) {
    full::Pose& pose = poses[static_cast<std::size_t>(element.ports[i].body.value)];
    pose = full::moved(pose, step.segment<6>(static_cast<Eigen::Index>(6 * i)));
  }
  return poses;
}

struct Values {
  double energy = 0.0;
  Eigen::VectorXd gradient{};
  Eigen::MatrixXd hessian{};
};

Values at(const GaugeElement& element, const Poses& poses, Order order = Order::hessian) {
  full::GaugeWork work;
  full::Answer answer;
  full::evaluate(element, poses, order, work, answer);
  return {answer.energy_Nmm, answer.gradient, answer.hessian};
}

double energy_at(const GaugeElement& element, const Poses& poses) {
  return at(element, poses, Order::value).energy;
}

Eigen::VectorXd scale(Eigen::Index size) {
  Eigen::VectorXd out = Eigen::VectorXd::Ones(size);
  for (Eigen::Index i = 0; i < size; i += 6) out.segment<3>(i + 3).setConstant(1.0 / kLength_mm);
  return out;
}

double apart(const Eigen::VectorXd& a, const Eigen::VectorXd& b) {
  const Eigen::VectorXd s = scale(a.size());
  return (a - b).cwiseProduct(s).norm() / b.cwiseProduct(s).norm();
}

double apart(const Eigen::MatrixXd& a, const Eigen::MatrixXd& b) {
  const Eigen::VectorXd s = scale(a.rows());
  return (s.asDiagonal() * (a - b) * s.asDiagonal()).norm() / (s.asDiagonal() * b * s.asDiagonal()).norm();
}

/// Derivative at s = 0 of f(s), by five points: the error goes with the fourth power of h.
template <typename F>
auto slope(const F& f, double h) {
  return ((8.0 * (f(h) - f(-h)) - (f(2 * h) - f(-2 * h))) / (12.0 * h)).eval();
}

Eigen::VectorXd gradient_by_differences(const GaugeElement& element, const Poses& poses, Eigen::Index size) {
  Eigen::VectorXd out(size);
  for (Eigen::Index i = 0; i < size; ++i) {
    const auto energy = [&](double s) {
      return Eigen::Matrix<double, 1, 1>(energy_at(element, stepped(element, poses, s * Eigen::VectorXd::Unit(size, i))));
    };
    out[i] = slope(energy, i % 6 < 3 ? kStep : kStep / kLength_mm)[0];
  }
  return out;
}

/// Of the gradient in the chart of the base pose: moments there are L^T times those on the spin at the pose stepped to.
Eigen::MatrixXd hessian_by_differences(const GaugeElement& element, const Poses& poses, Eigen::Index size) {
  Eigen::MatrixXd out(size, size);
  for (Eigen::Index i = 0; i < size; ++i) {
    const auto gradient = [&](double s) {
      const Eigen::VectorXd step = s * Eigen::VectorXd::Unit(size, i);
      Eigen::VectorXd g = at(element, stepped(element, poses, step), Order::gradient).gradient;
      for (Eigen::Index j = 0; j < size; j += 6) {
        const Vector3 theta = step.segment<3>(j + 3);
        g.segment<3>(j + 3) = (full::left_jacobian(theta).transpose() * g.segment<3>(j + 3)).eval();
      }
      return g;
    };
    out.col(i) = slope(gradient, i % 6 < 3 ? kStep : kStep / kLength_mm);
  }
  return out;
}

double moved_mm(const GaugeElement& element, const Poses& poses, full::GaugeWork& work) {
  full::deformation(element, poses, work);
  return work.d.norm();
}

}  // namespace

TEST_CASE("unit: gauge elements' gradients and Hessians follow differences of their energies") {
  for (const Sample& sample : samples()) {
    INFO(sample.name);
    Dice dice(11);
    for (int round = 0; round < 4; ++round) {
      const Poses poses = random_poses(sample.system, dice, 3.0, round == 0 ? 0.02 : 0.35, round == 0 ? 0.2 : 3.0);
      const Values now = at(sample.element, poses);
      const Eigen::Index size = now.gradient.size();
      REQUIRE(size == static_cast<Eigen::Index>(6 * sample.element.ports.size()));
      CHECK(apart(now.gradient, gradient_by_differences(sample.element, poses, size)) < 1e-7);
      CHECK(apart(now.hessian, hessian_by_differences(sample.element, poses, size)) < 1e-7);
      CHECK((now.hessian - now.hessian.transpose()).norm() == 0.0);
    }
  }
}

TEST_CASE("unit: what a gauge element is asked for does not change what it answers, and nothing is allocated again") {
  full::GaugeWork work;
  full::Answer answer;
  for (const Sample& sample : samples()) {
    INFO(sample.name);
    Dice dice(12);
    const Poses poses = random_poses(sample.system, dice, 1.0, 0.3, 2.0);
    const Values all = at(sample.element, poses);
    const Eigen::Index size = all.gradient.size();
    CHECK(energy_at(sample.element, poses) == all.energy);
    CHECK((at(sample.element, poses, Order::gradient).gradient - all.gradient).norm() == 0.0);
    // one scratch for all kinds, larger ones before smaller ones or after
    full::evaluate(sample.element, poses, Order::hessian, work, answer);
    CHECK(answer.energy_Nmm == all.energy);
    CHECK((answer.gradient.head(size) - all.gradient).norm() == 0.0);
    CHECK((answer.hessian.topLeftCorner(size, size) - all.hessian).norm() == 0.0);
    const double* const place = answer.hessian.data();
    full::evaluate(samples()[0].element, poses, Order::hessian, work, answer);
    CHECK(answer.hessian.data() == place);
  }
}

TEST_CASE("unit: in the reference pose a gauge element has the stiffness of small kinematics") {
  for (const Sample& sample : samples()) {
    if (sample.expected.size() == 0) continue;
    INFO(sample.name);
    const Values now = at(sample.element, full::reference_poses(sample.system));
    CHECK(std::abs(now.energy) < 1e-18 * sample.expected.norm());
    CHECK(now.gradient.norm() < 1e-12 * sample.expected.norm());
    CHECK(apart(now.hessian, sample.expected) < 1e-10);
    // carried along by a rigid motion it turns, and stays
    const Matrix3 turn = Dice(1).rotation(2.0);
    Poses poses = full::reference_poses(sample.system);
    for (full::Pose& pose : poses) pose = {turn * pose.position_mm + Vector3(5, 6, 7), turn};
    Eigen::MatrixXd frame = Eigen::MatrixXd::Zero(now.gradient.size(), now.gradient.size());
    for (Eigen::Index i = 0; i < frame.rows(); i += 3) frame.block<3, 3>(i, i) = turn;
    CHECK(apart(at(sample.element, poses).hessian, frame * sample.expected * frame.transpose()) < 1e-10);
  }
}

TEST_CASE("unit: a self-stressed component has in the reference pose the geometric stiffness of small kinematics") {
  // prestress.hpp derives it from the mean rotation about the mean position (THEORY 9). A gauge by rotations alone, equal
  // weights, is that mean rotation to the order that counts.
  Dice dice(21);
  const mesh::System s = some_bodies();
  GaugeElement element = general_element(s, dice, false);
  for (full::GaugePort& port : element.ports) {
    port.arm_mm.setZero();
    port.rotation_weight_mm2 = 1.0;
    port.reference_mm = mesh::body(s, port.body).position_mm;
    port.reference_rotation.setIdentity();
  }
  const int count = static_cast<int>(element.ports.size());
  // a force and moment free of resultants, else no pose is one of equilibrium
  Vector3 resultant = Vector3::Zero();
  for (int i = 0; i < count; ++i) {
    const Vector3 force = element.force0.segment<3>(6 * i);
    resultant += mesh::body(s, {i}).position_mm.cross(force) + element.force0.segment<3>(6 * i + 3);
  }
  element.force0.segment<3>(3) -= resultant;
  GaugeElement bare = element;
  bare.force0.resize(0);

  const Poses poses = full::reference_poses(s);
  const Values with = at(element, poses);
  CHECK(apart(with.gradient, element.force0) < 1e-13);
  const Eigen::MatrixXd geometric = with.hessian - at(bare, poses).hessian;
  core::ForceGroup group{.bodies = {}, .force = element.force0};
  for (int i = 0; i < count; ++i) group.bodies.push_back({i});
  core::BlockList blocks;
  core::add_group_prestress(group, s, blocks);
  Eigen::MatrixXd expected = Eigen::MatrixXd::Zero(6 * count, 6 * count);
  for (const auto& block : blocks) {
    expected.block<6, 6>(6 * block.row.value, 6 * block.column.value) += block.block;
  }
  CHECK(apart(geometric, expected) < 1e-10);
}

TEST_CASE("unit: gauge elements do not know where they are and carry no force out of themselves") {
  for (const Sample& sample : samples()) {
    INFO(sample.name);
    Dice dice(13);
    for (int round = 0; round < 4; ++round) {
      const Poses poses = random_poses(sample.system, dice, 1.0, 0.35, 3.0);
      const Values before = at(sample.element, poses);
      const Matrix3 turn = dice.rotation(3.0);
      const Vector3 shift = dice.vector(100.0);
      Poses carried = poses;
      for (full::Pose& pose : carried) pose = {turn * pose.position_mm + shift, turn * pose.rotation};
      const Values after = at(sample.element, carried);
      CHECK(after.energy == Approx(before.energy).epsilon(1e-12));
      Eigen::VectorXd turned = before.gradient;
      for (Eigen::Index i = 0; i < turned.size(); i += 3)
        turned.segment<3>(i) = (turn * before.gradient.segment<3>(i)).eval();
      CHECK(apart(after.gradient, turned) < 1e-11);

      Vector3 force = Vector3::Zero();
      Vector3 moment = Vector3::Zero();
      double size = 0.0;
      for (std::size_t i = 0; i < sample.element.ports.size(); ++i) {
        const Vector3 f = before.gradient.segment<3>(static_cast<Eigen::Index>(6 * i));
        const Vector3 m = before.gradient.segment<3>(static_cast<Eigen::Index>(6 * i + 3));
        const Vector3 p = full::pose_of(poses, sample.element.ports[i].body).position_mm;
        force += f;
        moment += p.cross(f) + m;
        size += f.norm() * kLength_mm + m.norm();
      }
      CHECK(force.norm() * kLength_mm < 1e-12 * size);
      CHECK(moment.norm() < 1e-10 * size);
    }
  }
}

TEST_CASE("unit: the mirror image of a gauge element answers with the mirror image") {
  const Matrix3 mirror = Vector3(1, -1, 1).asDiagonal();
  for (const Sample& sample : samples()) {
    INFO(sample.name);
    GaugeElement other = sample.element;
    Eigen::VectorXd sign(static_cast<Eigen::Index>(6 * other.ports.size()));
    for (Eigen::Index i = 0; i < sign.size(); i += 6) sign.segment<6>(i) << 1, -1, 1, -1, 1, -1;  // turns are axial
    for (full::GaugePort& port : other.ports) {
      port.arm_mm = mirror * port.arm_mm;
      port.reference_mm = mirror * port.reference_mm;
      port.reference_rotation = mirror * port.reference_rotation * mirror;
    }
    if (other.by_laws) {
      other.axes = mirror * other.axes * mirror;
      for (const std::size_t i : {1u, 3u, 5u}) {
        auto& law = std::get<mesh::Polygon>(other.laws[i]);  // its points lie alike on both sides
        std::swap(law.slope_below, law.slope_above);
      }
    } else {
      other.stiffness = sign.asDiagonal() * other.stiffness * sign.asDiagonal();
      if (other.force0.size() > 0) other.force0 = sign.cwiseProduct(other.force0);
      if (other.bowing.there()) {
        other.bowing.stretch = sign.cwiseProduct(other.bowing.stretch);
        other.bowing.geometric = sign.asDiagonal() * other.bowing.geometric * sign.asDiagonal();
      }
    }
    Dice dice(14);
    const Poses poses = random_poses(sample.system, dice, 2.0, 0.35, 3.0);
    Poses mirrored = poses;
    for (full::Pose& pose : mirrored) pose = {mirror * pose.position_mm, mirror * pose.rotation * mirror};
    const Values here = at(sample.element, poses);
    const Values there = at(other, mirrored);
    CHECK(there.energy == Approx(here.energy).epsilon(1e-12));
    CHECK(apart(there.gradient, sign.cwiseProduct(here.gradient)) < 1e-11);
  }
}

TEST_CASE("unit: a reference that is taken anew is free of deformation and rides on") {
  for (Sample& sample : samples()) {
    INFO(sample.name);
    Dice dice(15);
    Poses poses = random_poses(sample.system, dice, 1.0, 0.3, 3.0);
    full::GaugeWork work;
    CHECK(moved_mm(sample.element, poses, work) > 0.01);
    const Matrix3 gauge = work.gauge;
    full::take_reference(sample.element, poses, work);
    CHECK(moved_mm(sample.element, poses, work) < 1e-12);
    CHECK((work.gauge - gauge).norm() < 1e-12);
    if (sample.element.force0.size() == 0) {
      const Values there = at(sample.element, poses);
      CHECK(there.gradient.norm() < 1e-12 * there.hessian.norm());
    }
    const Poses later = random_poses(sample.system, dice, 1.0, 0.2, 2.0);
    const Matrix3 turn = dice.rotation(2.0);
    Poses carried = later;
    for (full::Pose& pose : carried) pose = {turn * pose.position_mm + Vector3(9, 8, 7), turn * pose.rotation};
    CHECK(energy_at(sample.element, carried) == Approx(energy_at(sample.element, later)).epsilon(1e-12));
    const Values now = at(sample.element, later);
    CHECK(apart(now.hessian, hessian_by_differences(sample.element, later, now.gradient.size())) < 1e-7);
  }
}

TEST_CASE("unit: two ports with equal rotation weights ride in their mean frame, whichever comes first") {
  for (const Sample& sample : samples()) {
    const std::vector<full::GaugePort>& ports = sample.element.ports;
    if (ports.size() != 2 || ports[0].position_weight != 0.0) continue;
    INFO(sample.name);
    Dice dice(16);
    for (int round = 0; round < 5; ++round) {
      const Poses poses = random_poses(sample.system, dice, 2.0, 0.8, 3.0);
      const Matrix3 a = full::pose_of(poses, ports[0].body).rotation;
      const Matrix3 b = full::pose_of(poses, ports[1].body).rotation;
      const Eigen::AngleAxisd whole(a.transpose() * b);
      const Matrix3 half = Eigen::AngleAxisd(0.5 * whole.angle(), whole.axis()).toRotationMatrix();
      full::GaugeWork work;
      full::deformation(sample.element, poses, work);
      CHECK((work.gauge - a * half).norm() < 1e-14);
      const Vector3 turn = work.d.segment<3>(9) - work.d.segment<3>(3);
      CHECK((turn - whole.angle() * whole.axis()).norm() < 1e-13);

      GaugeElement swapped = sample.element;
      std::swap(swapped.ports[0], swapped.ports[1]);
      // the same motion of b relative to a is now minus that of the second relative to the first
      for (mesh::ScalarLaw& law : swapped.laws)
        if (auto* p = std::get_if<mesh::Polygon>(&law)) std::swap(p->slope_below, p->slope_above);
      CHECK(energy_at(swapped, poses) == Approx(energy_at(sample.element, poses)).epsilon(1e-13));
    }
  }
}

TEST_CASE("unit: the gauge is the rotation of the largest trace, however far the bodies have turned") {
  Dice dice(17);
  const mesh::System s = some_bodies();
  const GaugeElement element = general_element(s, dice, true);
  for (int round = 0; round < 200; ++round) {
    const Poses poses = random_poses(s, dice, 3.0, 3.0, 20.0);
    full::GaugeWork work;
    full::deformation(element, poses, work);
    // against a search among many rotations: none may be better
    Vector3 mean = Vector3::Zero();
    Vector3 mean_reference = Vector3::Zero();
    double weights = 0.0;
    for (const full::GaugePort& port : element.ports) {
      const full::Pose& pose = full::pose_of(poses, port.body);
      mean += port.position_weight * (pose.position_mm + pose.rotation * port.arm_mm);
      mean_reference += port.position_weight * port.reference_mm;
      weights += port.position_weight;
    }
    Matrix3 m = Matrix3::Zero();
    for (const full::GaugePort& port : element.ports) {
      const full::Pose& pose = full::pose_of(poses, port.body);
      m += port.position_weight * (pose.position_mm + pose.rotation * port.arm_mm - mean / weights) *
               (port.reference_mm - mean_reference / weights).transpose() +
           port.rotation_weight_mm2 * pose.rotation * port.reference_rotation.transpose();
    }
    CHECK((work.gauge.transpose() * work.gauge - Matrix3::Identity()).norm() < 1e-14);
    const double best = (work.gauge.transpose() * m).trace();
    double rival = -1e300;
    for (int i = 0; i < 200; ++i)
      rival = std::max(rival, (dice.rotation(i < 100 ? 3.0 : 0.1) * work.gauge).cwiseProduct(m).sum());
    CHECK(rival <= best);
    const Matrix3 n = m * work.gauge.transpose();
    CHECK((n - n.transpose()).norm() < 1e-12 * m.norm());
  }
}

TEST_CASE("unit: a cantilever of straight elements rolls up exactly under an end moment") {
  // Under a pure moment M no element carries a force, and between the ends of each the tangent turns by t = M a/EI, its
  // length a. Its ends come closer by what it bows, a t^2/24: the chord of the arc but for a t^4/1920. So the nodes lie on a
  // circle whose radius is that much off (regular polygon of n sides for M = 2 pi EI/L).
  for (const int count : {1, 4, 10}) {
    for (const double total : {0.3, 2.0, 2.0 * M_PI}) {
      const double length = 50.0;
      const double part = length / count;
      if (total / count > 1.6) continue;
      const Matrix3 frame = Dice(18).rotation(1.0);  // rolled up in some plane
      mesh::System s;
      for (int i = 0; i <= count; ++i) tests::add_body(s, frame * Vector3(part * i, 0, 0), mesh::BodyKind::metal);
      for (int i = 0; i < count; ++i) {
        tests::add_beam(s, {i}, {i + 1}, 3.5);
        s.beams.back().global_from_beam = frame;
        s.beams.back().section.bending_y_Nmm2 *= 0.7;
      }
      Poses poses = full::reference_poses(s);
      const double angle = total / count;
      const double shortened = part * (1.0 - angle * angle / 24.0);
      const double arc = 2.0 * std::sin(0.5 * angle) / angle * part;
      CHECK(std::abs(arc - shortened) < std::pow(angle, 4) / 1920.0 * part);  // an alternating series
      Vector3 p = Vector3::Zero();
      for (int i = 0; i <= count; ++i) {
        const Matrix3 turned = Eigen::AngleAxisd(i * angle, Vector3::UnitZ()).toRotationMatrix();
        poses[static_cast<std::size_t>(i)] = {frame * p, frame * turned * frame.transpose()};
        const double chord = (i + 0.5) * angle;
        p += shortened * Vector3(std::cos(chord), std::sin(chord), 0.0);
      }
      Eigen::VectorXd residual = Eigen::VectorXd::Zero(6 * (count + 1));
      double energy = 0.0;
      for (int i = 0; i < count; ++i) {
        const Values now = at(full::beam_element(s, s.beams[static_cast<std::size_t>(i)]), poses);
        residual.segment<12>(6 * i) += now.gradient;
        energy += now.energy;
      }
      const double moment = s.beams[0].section.bending_z_Nmm2 * total / length;
      const Vector3 axis = frame.col(2);
      INFO(count << " elements, " << total);
      CHECK((residual.tail<3>() - moment * axis).norm() < 1e-9 * moment);
      CHECK(energy == Approx(0.5 * moment * total).epsilon(1e-10));
      residual.tail<3>().setZero();
      residual.segment<3>(3) += moment * axis;
      for (Eigen::Index i = 0; i < residual.size(); i += 6) residual.segment<3>(i) *= kLength_mm;
      CHECK(residual.lpNorm<Eigen::Infinity>() < 1e-9 * moment);
    }
  }
}

TEST_CASE("unit: a free beam bows by the slopes of the exact deflection, and in bone it does not bow") {
  mesh::System s = some_bodies();
  for (const double diameter : {1.0, 3.5, 12.0}) {  // the last with a third of its bending in shear
    s.beams.clear();
    tests::add_beam(s, {0}, {1}, diameter);
    mesh::Beam& beam = s.beams[0];
    beam.section.bending_y_Nmm2 *= 0.6;
    const GaugeElement element = full::beam_element(s, beam);
    Eigen::MatrixXd frame = Eigen::MatrixXd::Zero(12, 12);
    for (int i = 0; i < 12; i += 3) frame.block<3, 3>(i, i) = beam.global_from_beam;
    // the reference integrates the shape functions of Przemieniecki, Theory of Matrix Structural Analysis (from memory)
    const Eigen::MatrixXd expected =
        frame * opisthion::reference::geometric_stiffness(beam.section, beam.length_mm) * frame.transpose();
    CHECK(apart(element.bowing.geometric, expected) < 1e-13);
    CHECK(element.bowing.axial_N_per_mm == Approx(beam.section.axial_N / beam.length_mm).epsilon(1e-15));
  }
  for (const Sample& sample : samples()) CHECK(sample.element.bowing.there() == (sample.name == "beam"));
}

TEST_CASE("unit: a free beam under thrust or tension has the consistent geometric stiffness of its force") {
  // With next to no stiffness of its own across, in twist and in bending, all that is left there is that of the force.
  mesh::System s = some_bodies();
  tests::add_beam(s, {0}, {1}, 3.5);
  mesh::Beam& beam = s.beams[0];
  for (double* own : {&beam.section.torsional_Nmm2, &beam.section.bending_y_Nmm2, &beam.section.bending_z_Nmm2})
    *own *= 1e-9;
  const GaugeElement element = full::beam_element(s, beam);
  const Eigen::MatrixXd before = at(element, full::reference_poses(s)).hessian;
  Eigen::MatrixXd frame = Eigen::MatrixXd::Zero(12, 12);
  for (int i = 0; i < 12; i += 3) frame.block<3, 3>(i, i) = beam.global_from_beam;
  for (const double strain : {-1e-6, 1e-6}) {
    Poses poses = full::reference_poses(s);
    poses[1].position_mm += strain * beam.length_mm * beam.global_from_beam.col(0);
    const Eigen::MatrixXd expected = strain * beam.section.axial_N * frame *
                                     opisthion::reference::geometric_stiffness(beam.section, beam.length_mm) *
                                     frame.transpose();
    CHECK(apart(at(element, poses).hessian - before, expected) < 1e-5);
  }
}

TEST_CASE("unit: a free beam that is bowed between held ends is stretched by its bow") {
  // Ends held at the distance L and turned by t/2, one against the other: strain t^2/24, the mean of v'^2/2 of a parabola;
  // turned alike: t^2/40, that of the cubic. Energy EA L/2 times its square besides that of bending.
  mesh::System s;
  tests::add_body(s, Vector3::Zero(), mesh::BodyKind::metal);
  tests::add_body(s, Vector3(30, 0, 0), mesh::BodyKind::metal);
  tests::add_beam(s, {0}, {1}, 3.5);
  mesh::Section& section = s.beams[0].section;
  section.shear_y_N = section.shear_z_N = 1e9 * section.bending_z_Nmm2;
  const GaugeElement beam = full::beam_element(s, s.beams[0]);
  const double turn = 0.1;
  for (const Vector3& axis : {Vector3(0, 1, 0), Vector3(0, 0, 1), Vector3(0, 0.6, 0.8)}) {
    for (const double other : {-1.0, 1.0}) {
      Poses poses = full::reference_poses(s);
      poses[0].rotation = Eigen::AngleAxisd(other * 0.5 * turn, axis).toRotationMatrix();
      poses[1].rotation = Eigen::AngleAxisd(0.5 * turn, axis).toRotationMatrix();
      const double strain = turn * turn * (other < 0.0 ? 1.0 / 24.0 : 1.0 / 40.0);
      const double bending = section.bending_z_Nmm2 / 30.0 * turn * turn * (other < 0.0 ? 0.5 : 1.5);
      // turned alike the frame follows by 0.02^2 and the sine of that is not quite it: hence the tolerance there
      CHECK(energy_at(beam, poses) - bending ==
            Approx(0.5 * section.axial_N * 30.0 * strain * strain).epsilon(other < 0.0 ? 1e-8 : 1e-4));
    }
  }
}

TEST_CASE("unit: rods roll with the mean of their ends and follow their chord") {
  mesh::System s;
  tests::add_body(s, Vector3::Zero(), mesh::BodyKind::metal);
  tests::add_body(s, Vector3(30, 0, 0), mesh::BodyKind::metal);
  tests::add_beam(s, {0}, {1}, 3.5);
  const GaugeElement rod = full::beam_element(s, s.beams[0]);
  Poses poses = full::reference_poses(s);
  poses[1].rotation = Eigen::AngleAxisd(0.8, Vector3::UnitX()).toRotationMatrix();
  full::GaugeWork work;
  full::deformation(rod, poses, work);
  CHECK((work.gauge - Eigen::AngleAxisd(0.4, Vector3::UnitX()).toRotationMatrix()).norm() < 1e-13);
  CHECK(energy_at(rod, poses) == Approx(0.5 * s.beams[0].section.torsional_Nmm2 / 30.0 * 0.64).epsilon(1e-12));
  // one end bent by 0.5: the frame stays on the chord to within the little that rotations count
  poses[1].rotation = Eigen::AngleAxisd(0.5, Vector3::UnitZ()).toRotationMatrix();
  full::deformation(rod, poses, work);
  CHECK(full::log_rotation(work.gauge).norm() < 0.5 * 0.002);
}

TEST_CASE("unit: a beam in bone feels its bone alone") {
  for (const Sample& sample : samples()) {
    if (sample.name != "bedded beam") continue;
    Dice dice(19);
    Poses poses = random_poses(sample.system, dice, 2.0, 0.4, 3.0);
    full::GaugeWork work;
    full::deformation(sample.element, poses, work);
    CHECK((work.gauge - full::pose_of(poses, sample.element.ports[2].body).rotation).norm() < 1e-14);
    CHECK(work.d.segment<3>(15).norm() < 1e-14);
  }
}
