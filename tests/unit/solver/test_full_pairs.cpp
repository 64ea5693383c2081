// SPDX-License-Identifier: MIT
#include <catch2/catch.hpp>

#include "dice.hpp"
#include "small_systems.hpp"
#include "solver/core/full/neighbour_tie.hpp"
#include "solver/core/full/pair_sum.hpp"
#include "solver/core/full/point_measure.hpp"
#include "solver/core/functional.hpp"

namespace core = opisthion::core;
namespace full = opisthion::core::full;
namespace mesh = opisthion::mesh;
namespace tests = opisthion::tests;
using full::Order;
using full::Poses;
using mesh::Matrix3;
using mesh::Matrix6;
using mesh::Vector3;
using mesh::Vector6;
using opisthion::tests::Dice;
using Vector12 = Eigen::Matrix<double, 12, 1>;
using Matrix12 = Eigen::Matrix<double, 12, 12>;

namespace {

mesh::System two_bodies() {
  mesh::System s;
  tests::add_body(s, Vector3(4, -2, 17), mesh::BodyKind::bone);
  tests::add_body(s, Vector3(-3, 1, 2), mesh::BodyKind::bone);
  return s;
}

Poses random_poses(const mesh::System& s, Dice& dice, double turn, double shift_mm) {
  Poses poses = full::reference_poses(s);
  for (full::Pose& pose : poses) pose = {pose.position_mm + dice.vector(shift_mm), dice.rotation(turn)};
  return poses;
}

full::NeighbourTie some_tie(const mesh::System& s, Dice& dice) {
  full::NeighbourTie tie = full::neighbour_tie(s, {{0}, {1}});
  tie.stiffness_N_per_mm = 3.0;
  tie.stiffness_Nmm_per_rad = 500.0;
  tie.force_N = dice.vector(5.0);
  tie.moment_Nmm = dice.vector(200.0);
  tie.reference = dice.rotation(0.4);
  return tie;
}

Poses stepped(Poses poses, const Vector12& step) {
  for (int i = 0; i < 2; ++i)
    poses[static_cast<std::size_t>(i)] = full::moved(poses[static_cast<std::size_t>(i)], step.segment<6>(6 * i));
  return poses;
}

struct Derivatives {
  Vector12 gradient;
  Matrix12 hessian;
};

Derivatives spread(full::PairSum pair, const Poses& poses) {
  full::PairDerivatives d;
  full::spread(pair, poses[1].position_mm - poses[0].position_mm, Order::hessian, d);
  Derivatives out;
  out.gradient << d.gradient_a, d.gradient_b;
  out.hessian << d.aa, d.ab, d.ab.transpose(), d.bb;
  return out;
}

full::PairSum pair_of_both() {
  full::PairSum pair;
  pair.a = {0};
  pair.b = {1};
  return pair;
}

Derivatives derivatives(const full::NeighbourTie& tie, const Poses& poses) {
  full::PairSum pair = pair_of_both();
  full::add(tie, full::stretch(tie, poses), poses, Order::hessian, pair);
  return spread(pair, poses);
}

double energy(const full::NeighbourTie& tie, const Poses& poses) {
  return full::energy_Nmm(tie, full::stretch(tie, poses));
}

/// Gradient and Hessian of a function of poses along the exponential retraction, by differences of the fourth order.
template <typename Energy>
Derivatives by_differences(const Energy& energy, const Poses& poses) {
  constexpr double kStep = 4e-3;  // mm; rotations a twentieth
  const auto unit = [](int i) {
    Vector12 e = Vector12::Zero();
    e[i] = i % 6 < 3 ? kStep : kStep / 20.0;
    return e;
  };
  Derivatives out;
  for (int i = 0; i < 12; ++i) {
    const Vector12 e = unit(i);
    const auto at = [&](double t) { return energy(stepped(poses, t * e)); };
    out.gradient[i] = (8.0 * (at(1) - at(-1)) - (at(2) - at(-2))) / (12.0 * e[i]);
    for (int j = 0; j <= i; ++j) {
      const Vector12 f = unit(j);
      const auto mixed = [&](double t) {
        return (energy(stepped(poses, t * (e + f))) - energy(stepped(poses, t * (e - f))) -
                energy(stepped(poses, t * (f - e))) + energy(stepped(poses, -t * (e + f)))) /
               (4.0 * t * t * e[i] * f[j]);
      };
      out.hessian(i, j) = out.hessian(j, i) = (4.0 * mixed(1) - mixed(2)) / 3.0;
    }
  }
  return out;
}

/// Largest difference of entries, rotations over 20 mm, relative to the largest.
double apart(const Derivatives& a, const Derivatives& b) {
  Vector12 scale;
  for (int i = 0; i < 12; ++i) scale[i] = i % 6 < 3 ? 1.0 : 1.0 / 20.0;
  const auto scaled = [&](const Matrix12& m) { return Matrix12(scale.asDiagonal() * m * scale.asDiagonal()); };
  const double gradient = (a.gradient - b.gradient).cwiseProduct(scale).norm() / b.gradient.cwiseProduct(scale).norm();
  return std::max(gradient, scaled(a.hessian - b.hessian).norm() / scaled(b.hessian).norm());
}

}  // namespace

TEST_CASE("a tie between neighbours answers with the slopes of its energy") {
  const mesh::System s = two_bodies();
  Dice dice(3);
  for (int i = 0; i < 10; ++i) {
    const full::NeighbourTie tie = some_tie(s, dice);
    const Poses poses = random_poses(s, dice, 0.7, 8.0);
    CHECK(apart(derivatives(tie, poses), by_differences([&](const Poses& p) { return energy(tie, p); }, poses)) < 1e-6);
  }
}

TEST_CASE("laws between two bodies are summed to the slopes of their energies") {
  mesh::System s = two_bodies();
  s.strands.push_back({.path = {{{0}, {1, 2, 12}}, {{1}, {-2, 3, 5}}}});
  const full::StrandGeometry strand = full::strand_geometry(s, 0);
  full::PadGeometry pad{.a = {0}, .b = {1}, .arm_mm = {1, -6, 2}, .vertex_arm_mm = {3, 1, 9}};
  pad.surface = Dice(8).rotation(1.0);
  pad.curvature_sagittal_per_mm = 0.05;
  pad.curvature_coronal_per_mm = -0.03;
  const full::SlideGeometry slide{.a = {0}, .b = {1}, .arm_mm = {-3, 2, 1}, .direction = {0.4, -0.2, 0.9}};
  // force F = 2 + 3 e, so that both the force and the stiffness count
  const auto law = [](double e) { return 2.0 * e + 1.5 * e * e; };
  Dice dice(5);
  for (int i = 0; i < 10; ++i) {
    const Poses poses = random_poses(s, dice, 0.6, 3.0);
    full::PairSum ordered = pair_of_both();  // pads and slides are seen by b
    full::PairSum reverse;                   // of a strand the first point's body sees
    reverse.a = {1};
    reverse.b = {0};
    const auto add = [&](const full::PointMeasure& m, double e, full::PairSum& to) {
      const double force = 2.0 + 3.0 * e;
      REQUIRE(m.moves);
      to.add(m.at.arm_b_mm, force * m.slope, force * m.bend + 3.0 * m.slope * m.slope.transpose());
    };
    const full::PointMeasure by_strand = full::point_measure(strand, 0, poses, Order::hessian);
    const full::PointMeasure by_pad = full::point_measure(pad, poses, Order::hessian);
    const full::PointMeasure by_slide = full::point_measure(slide, poses, Order::hessian);
    add(by_pad, by_pad.value, ordered);
    add(by_slide, by_slide.value, ordered);
    add(by_strand, by_strand.value, reverse);
    Derivatives sum = spread(ordered, poses);
    full::PairDerivatives d;
    full::spread(reverse, poses[0].position_mm - poses[1].position_mm, Order::hessian, d);
    sum.gradient.head<6>() += d.gradient_b;
    sum.gradient.tail<6>() += d.gradient_a;
    sum.hessian.topLeftCorner<6, 6>() += d.bb;
    sum.hessian.bottomRightCorner<6, 6>() += d.aa;
    sum.hessian.bottomLeftCorner<6, 6>() += d.ab;
    sum.hessian.topRightCorner<6, 6>() += d.ab.transpose();
    const auto energy = [&](const Poses& p) {
      return law(full::point_measure(strand, 0, p, Order::value).value) +
             law(full::point_measure(pad, p, Order::value).value) + law(full::point_measure(slide, p, Order::value).value);
    };
    CHECK(apart(sum, by_differences(energy, poses)) < 1e-6);
  }
}

TEST_CASE("a tie that nothing has moved is that of small kinematics") {
  const mesh::System s = two_bodies();
  const mesh::NeighbourPair pair{{0}, {1}};
  const core::NeighbourBlocks blocks = core::neighbour_blocks(s, pair);
  Matrix12 expected;
  expected << blocks.uu, blocks.ul, blocks.ul.transpose(), blocks.ll;
  const Derivatives d = derivatives(full::neighbour_tie(s, pair), full::reference_poses(s));
  CHECK(d.gradient.norm() == 0.0);
  CHECK((d.hessian - expected).norm() < 1e-14 * expected.norm());
}

TEST_CASE("a tie does not see a motion of both bodies as one") {
  const mesh::System s = two_bodies();
  Dice dice(11);
  const full::NeighbourTie tie = some_tie(s, dice);
  const Poses poses = random_poses(s, dice, 0.7, 8.0);
  Poses turned = poses;
  const Matrix3 whole = dice.rotation(2.0);
  for (full::Pose& pose : turned) pose = {whole * pose.position_mm + Vector3(3, 4, 5), whole * pose.rotation};
  CHECK(energy(tie, turned) == Approx(energy(tie, poses)).epsilon(1e-13));
}

TEST_CASE("a tie that takes a new reference holds there what it held, and its energy is level from there on") {
  const mesh::System s = two_bodies();
  Dice dice(13);
  full::NeighbourTie tie = full::neighbour_tie(s, {{0}, {1}});
  const Poses poses = random_poses(s, dice, 0.7, 8.0);
  const Derivatives before = derivatives(tie, poses);
  full::take_reference(tie, poses);
  const full::TieStretch rest = full::stretch(tie, poses);
  CHECK(rest.slide_mm.norm() < 1e-13);
  CHECK(rest.turn_rad.norm() < 1e-14);
  CHECK(energy(tie, poses) == Approx(0.0).margin(1e-14));
  CHECK((derivatives(tie, poses).gradient - before.gradient).norm() < 1e-13 * before.gradient.norm());
}
