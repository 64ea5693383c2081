// SPDX-License-Identifier: MIT
// P1 to P7: equilibrium of one-sided and piecewise-linear springs on models built by hand.
#include <algorithm>
#include <catch2/catch.hpp>

#include "tests/reference/beams.hpp"
#include "tests/reference/piecewise_oracle.hpp"
#include "tests/reference/random.hpp"
#include "tests/verification/frame_model.hpp"

using namespace opisthion;
using namespace opisthion::verification;

namespace {

/// Model of `n` unknowns padded to a whole number of bodies; the padding has unit stiffness and no load.
core::ReducedModel bare(const Eigen::MatrixXd& k) {
  const int n = static_cast<int>(k.rows());
  core::ReducedModel m;
  m.dofs = (n + 5) / 6 * 6;
  for (int i = 0; i < m.dofs; i += 6) m.first_dof.push_back(i);
  m.stiffness = Eigen::MatrixXd::Identity(m.dofs, m.dofs);
  m.stiffness.topLeftCorner(n, n) = k;
  m.regularisation = Eigen::MatrixXd::Zero(m.dofs, m.dofs);
  m.force0 = Eigen::VectorXd::Zero(m.dofs);
  m.dof_scale.assign(static_cast<std::size_t>(m.dofs), 1.0);
  return m;
}
core::Functional spring(const Eigen::VectorXd& row, const mesh::ScalarLaw& law) {
  core::Functional f;
  f.law = law;
  f.blocks = static_cast<int>((row.size() + 5) / 6);
  for (int b = 0; b < f.blocks; ++b) {
    const auto at = static_cast<std::size_t>(b);
    f.first_dof[at] = 6 * b;
    f.row[at].setZero();
    const int left = std::min<int>(6, static_cast<int>(row.size()) - 6 * b);
    f.row[at].head(left) = row.segment(6 * b, left);
  }
  return f;
}
core::Functional line(const Eigen::VectorXd& row, double slack, double stiffness) {
  return spring(row, mesh::ToeLinear{.slack = slack, .toe = 0.0, .stiffness = stiffness});
}
Eigen::VectorXd padded(const Eigen::VectorXd& f, const core::ReducedModel& m) {
  Eigen::VectorXd p = Eigen::VectorXd::Zero(m.dofs);
  p.head(f.size()) = f;
  return p;
}
struct Solved {
  Eigen::VectorXd q;
  core::EquilibriumOutcome outcome;
};
Solved solve_from(const core::ReducedModel& m, const Eigen::VectorXd& f, const Eigen::VectorXd& start) {
  core::EquilibriumWorkspace work;
  Solved s{padded(start, m), {}};
  s.outcome = core::solve_equilibrium(m, padded(f, m), {}, work, s.q);
  return s;
}
Eigen::VectorXd vec(std::initializer_list<double> v) {
  Eigen::VectorXd x(static_cast<Eigen::Index>(v.size()));
  std::copy(v.begin(), v.end(), x.data());
  return x;
}
Eigen::MatrixXd one(double k) {
  return Eigen::MatrixXd::Constant(1, 1, k);
}

}  // namespace

TEST_CASE("one unknown with a gap closes at its gap") {
  // P1: K0 = 100, k = 400, gap 0.5.
  core::ReducedModel m = bare(one(100));
  m.functionals = {line(vec({1}), 0.5, 400)};
  for (const auto& [f, u] : {std::pair{10.0, 0.1}, std::pair{50.0, 0.5}, std::pair{100.0, 0.6}}) {
    for (const double start : {0.0, 0.5, 3.0}) {
      const Solved s = solve_from(m, vec({f}), vec({start}));
      REQUIRE(s.outcome);
      CHECK_RELATIVE(s.q(0), u, 1e-12);
    }
  }
}

TEST_CASE("two opposed wires under pretension are twice as stiff until one goes slack") {
  // P2: k = 200, pretension 20, no other stiffness.
  core::ReducedModel m = bare(one(0));
  m.functionals = {line(vec({1}), -0.1, 200), line(vec({-1}), -0.1, 200)};
  for (const auto& [f, u] : {std::pair{20.0, 0.05}, std::pair{40.0, 0.1}, std::pair{60.0, 0.2}, std::pair{-60.0, -0.2}}) {
    const Solved s = solve_from(m, vec({f}), vec({0.0}));
    REQUIRE(s.outcome);
    CHECK_RELATIVE(s.q(0), u, 1e-12);
  }
}

TEST_CASE("a cantilever meets a stop") {
  // P3: R55, L = 100, Euler-Bernoulli, gap 0.5. Contact at P = 7.4114741961.
  Frame f;
  add_body(f.system, {0, 0, 0}, true);
  add_body(f.system, {100, 0, 0}, false);
  add_beam(f.system, {0}, {1}, reference::without_shear(reference::rod_55()));
  core::ReducedModel m = core::reduce_nothing(f.system);
  REQUIRE(m.dofs == 6);
  const Eigen::VectorXd load = vec({0, 20, 0, 0, 0, 0});
  CHECK_RELATIVE(7.4114741961 * solve(m, load / 20.0)(1), 0.5, 1e-10);
  m.functionals = {line(vec({0, 1, 0, 0, 0, 0}), 0.5, 100)};
  const double u = solve(m, load)(1);
  CHECK_RELATIVE(u, 0.609634232357, 1e-11);
  CHECK_RELATIVE(100 * (u - 0.5), 10.9634232357, 1e-10);
  // The rigid stop is the limit of stiff ones: reaction 12.5885258039, approached as 1/k.
  // (At k = 1e8 the rounding of k (u - gap) alone is above the solver's tolerance of 1e-10 of the load.)
  for (const double k : {1e5, 1e6, 1e7}) {
    m.functionals = {line(vec({0, 1, 0, 0, 0, 0}), 0.5, k)};
    CHECK_RELATIVE(k * (solve(m, load)(1) - 0.5), 12.5885258039, 20.0 / k + 1e-7);
  }
}

TEST_CASE("the model on which plain flipping of states cycles is solved") {
  // P4 (own search): flipping visits 111, 001, 010, 111 ... for ever; the equilibrium is unique.
  core::ReducedModel m = bare(Eigen::MatrixXd::Identity(2, 2));
  const Eigen::VectorXd b[] = {vec({-2, -1}), vec({1, 2}), vec({-2, 0})};
  const double gap[] = {1, 0, 1};
  for (int i = 0; i < 3; ++i) m.functionals.push_back(line(b[i], gap[i], 20));
  const Eigen::VectorXd f = vec({0, 2});

  // The cycle, so that the example stays a counter-example.
  std::vector<bool> active{true, true, true};
  std::vector<std::vector<bool>> seen;
  for (int i = 0; i < 6; ++i) {
    seen.push_back(active);
    Eigen::Matrix2d k = Eigen::Matrix2d::Identity();
    Eigen::Vector2d r = f;
    for (std::size_t j = 0; j < 3; ++j)
      if (active[j]) k += 20 * b[j] * b[j].transpose(), r += 20 * gap[j] * b[j];
    const Eigen::Vector2d u = k.inverse() * r;
    for (std::size_t j = 0; j < 3; ++j) active[j] = b[j].dot(u) > gap[j];
  }
  CHECK(seen[3] == seen[0]);
  CHECK(seen[4] == seen[1]);
  CHECK(seen[1] != seen[0]);

  for (const Eigen::VectorXd& start : {vec({0, 0}), vec({-5, -5}), vec({-5, 5}), vec({5, 5}), vec({5, -5})}) {
    const Solved s = solve_from(m, f, start);
    REQUIRE(s.outcome);
    CHECK(std::abs(s.q(0) + 0.5044826) < 6e-8);
    CHECK(std::abs(s.q(1) - 0.2738186) < 6e-8);
    CHECK(s.outcome.iterations <= 9);  // most of 4000 random models in the reference
    note_figure("P4 iterations", s.outcome.iterations, 2, 0, 1);
  }
}

TEST_CASE("the bounded quadratic program on which active sets cycle is solved") {
  // P5: F. E. Curtis, Z. Han, D. P. Robinson (2015) after I. Ben Gharbia, J. C. Gilbert (2012), from memory.
  // x <= 0 by stiff one-sided springs: the answer tends to (-0.5, 0, 0) as 1/k.
  Eigen::Matrix3d h;
  h << 4, 5, -5, 5, 9, -5, -5, -5, 7;
  const Eigen::VectorXd c = vec({2, 1, -3});
  for (const double k : {1e3, 1e6, 1e9}) {
    core::ReducedModel m = bare(h);
    for (int i = 0; i < 3; ++i) m.functionals.push_back(line(Eigen::Vector3d::Unit(i), 0.0, k));
    // With springs 2 and 3 closed the answer is that of a linear system.
    Eigen::Matrix3d closed = h;
    closed(1, 1) += k;
    closed(2, 2) += k;
    const Eigen::Vector3d exact = closed.fullPivLu().solve(-c);
    REQUIRE(exact(0) < 0.0);
    REQUIRE(std::min(exact(1), exact(2)) > 0.0);
    for (int bits = 0; bits < 8; ++bits) {
      const auto at = [&](int i) { return (bits >> i & 1) != 0 ? 1.0 : -1.0; };
      const Solved s = solve_from(m, -c, vec({at(0), at(1), at(2)}));
      REQUIRE(s.outcome);
      for (int i = 0; i < 3; ++i) CHECK(std::abs(s.q(i) - exact(i)) < 1e-9);
      CHECK((s.q.head<3>() - Eigen::Vector3d(-0.5, 0, 0)).norm() < 5.0 / k + 1e-9);
    }
  }
}

TEST_CASE("unloaded lines at their kink do not keep the solver flipping") {
  // P6: zero-slack lines across a load that leaves them unstrained but for rounding.
  reference::Random random(6);
  for (int round = 0; round < 50; ++round) {
    Eigen::MatrixXd k = Eigen::MatrixXd::Identity(6, 6) * random.between(0.1, 1e4);
    core::ReducedModel m = bare(k);
    const Matrix3 frame = random.frame();
    for (int i = 0; i < 8; ++i) {
      Eigen::VectorXd row = Eigen::VectorXd::Zero(6);
      const double angle = random.between(-3, 3);
      row.head<3>() = std::cos(angle) * frame.col(1) + std::sin(angle) * frame.col(2);
      m.functionals.push_back(line(row, 0.0, std::pow(10.0, random.between(0, 5))));
    }
    Eigen::VectorXd f = Eigen::VectorXd::Zero(6);
    f.head<3>() = random.between(1, 100) * frame.col(0);
    const Solved s = solve_from(m, f, Eigen::VectorXd::Zero(6));
    REQUIRE(s.outcome);
    CHECK(s.outcome.iterations <= 10);
    CHECK_SMALL((s.q.head<6>() - f / k(0, 0)).norm() / f.norm() * k(0, 0), 1e-10);
  }
}

TEST_CASE("an unloaded model at its kinks stays where it is") {
  core::ReducedModel m = bare(Eigen::MatrixXd::Identity(6, 6));
  for (int i = 0; i < 6; ++i) m.functionals.push_back(line(Vector6::Unit(i), 0.0, 100));
  const Solved s = solve_from(m, Vector6::Zero(), Vector6::Zero());
  REQUIRE(s.outcome);
  CHECK(s.q.norm() == 0.0);
}

TEST_CASE("a toe is followed exactly") {
  // F = k x^2 / 2 toe up to the toe, then k (x - toe/2): solved by hand for one unknown beside a spring K0.
  const double k0 = 30, k = 200, toe = 0.4, slack = 0.1;
  core::ReducedModel m = bare(one(k0));
  m.functionals = {spring(vec({1}), mesh::ToeLinear{slack, toe, k})};
  const double inside = 12.0, beyond = 150.0;
  // K0 (slack + x) + k x^2/2toe = f
  const double a = k / (2 * toe), x = (-k0 + std::sqrt(k0 * k0 + 4 * a * (inside - k0 * slack))) / (2 * a);
  REQUIRE(x < toe);
  CHECK_RELATIVE(solve(m, padded(vec({inside}), m))(0), slack + x, 1e-9);
  CHECK_RELATIVE(solve(m, padded(vec({beyond}), m))(0), (beyond + k * (slack + toe / 2)) / (k0 + k), 1e-11);
}

namespace {

/// A random small model with its oracle.
struct RandomModel {
  core::ReducedModel model;
  std::vector<reference::PieceSpring> springs;
  Eigen::VectorXd load;
};
RandomModel random_model(reference::Random& random) {
  const int n = random.whole(1, 6);
  Eigen::MatrixXd a(n, n);
  for (int i = 0; i < n; ++i)
    for (int j = 0; j < n; ++j) a(i, j) = random.between(-1, 1);
  const Eigen::MatrixXd k = a * a.transpose() + random.between(0.01, 1.0) * Eigen::MatrixXd::Identity(n, n);
  RandomModel r{bare(0.5 * (k + k.transpose())), {}, Eigen::VectorXd(n)};
  for (int i = 0; i < n; ++i) r.load(i) = random.between(-5, 5);
  const int count = random.whole(1, 6);
  for (int i = 0; i < count; ++i) {
    Eigen::VectorXd row(n);
    for (int j = 0; j < n; ++j) row(j) = random.coin() ? random.between(-2, 2) : static_cast<double>(random.whole(-2, 2));
    const double stiffness = std::pow(10.0, random.between(-2, 2));
    if (random.unit() < 0.6) {
      const double slack = random.coin() ? random.between(-1, 1) : 0.0;
      r.model.functionals.push_back(line(row, slack, stiffness));
      r.springs.push_back({row, reference::one_sided(slack, stiffness)});
      continue;
    }
    mesh::Polygon p;
    p.count = random.whole(1, 3);
    double at = random.between(-2, 0), value = random.between(-2, 0);
    std::vector<double> xs, ys;
    for (int j = 0; j < p.count; ++j) {
      p.at[static_cast<std::size_t>(j)] = at;
      p.value[static_cast<std::size_t>(j)] = value;
      xs.push_back(at), ys.push_back(value);
      const double step = random.between(0.1, 1.0);
      at += step;
      value += random.coin() ? 0.0 : step * std::pow(10.0, random.between(-1, 1.5));
    }
    if (p.count == 1) p.at[0] = p.value[0] = 0.0, xs = {0.0}, ys = {0.0};
    p.slope_below = random.coin() ? 0.0 : stiffness;
    p.slope_above = random.coin() ? 0.0 : std::pow(10.0, random.between(-2, 2));
    r.model.functionals.push_back(spring(row, p));
    r.springs.push_back({row, reference::polygon(xs, ys, p.slope_below, p.slope_above)});
  }
  return r;
}

}  // namespace

TEST_CASE("two thousand random piecewise-linear models agree with the enumeration of their pieces") {
  reference::Random random(2000);
  int most_iterations = 0, compared = 0;
  double worst = 0.0;
  for (int i = 0; i < 2000; ++i) {
    const RandomModel r = random_model(random);
    const int n = static_cast<int>(r.load.size());
    const Solved s = solve_from(r.model, r.load, Eigen::VectorXd::Zero(n));
    CAPTURE(i, s.outcome.iterations, s.outcome.residual);
    REQUIRE(s.outcome);
    most_iterations = std::max(most_iterations, s.outcome.iterations);
    const Eigen::VectorXd u = s.q.head(n);
    // The energy is convex, so a zero gradient, computed here, is proof of equilibrium.
    Eigen::VectorXd gradient = r.model.stiffness.topLeftCorner(n, n) * u - r.load;
    double scale = r.load.norm();
    for (const reference::PieceSpring& p : r.springs) {
      const double force = reference::force_at(p, p.row.dot(u));
      gradient += force * p.row;
      scale += std::abs(force) * p.row.norm();
    }
    CHECK(gradient.norm() / scale < 1e-9);
    const auto oracle = reference::enumerate_equilibrium(r.model.stiffness.topLeftCorner(n, n), r.load, r.springs);
    REQUIRE(oracle);
    ++compared;
    const double difference = (u - *oracle).norm() / (1.0 + oracle->norm());
    worst = std::max(worst, difference);
    CHECK(difference < 1e-8);
  }
  CHECK(compared == 2000);
  CHECK(most_iterations <= 20);
  note_figure("2000 random models: worst difference to the oracle", worst, 0, worst, 1e-8);
  note_figure("2000 random models: most iterations", most_iterations, 9, 0, 1);
}

TEST_CASE("the answer does not depend on the order of springs, the start or the load steps") {
  // P7, 1e-10.
  reference::Random random(77);
  double worst = 0.0;
  for (int i = 0; i < 300; ++i) {
    const RandomModel r = random_model(random);
    const int n = static_cast<int>(r.load.size());
    const Solved base = solve_from(r.model, r.load, Eigen::VectorXd::Zero(n));
    REQUIRE(base.outcome);
    const double scale = 1.0 + base.q.norm();
    const auto same = [&](const Solved& s) {
      REQUIRE(s.outcome);
      const double difference = (s.q - base.q).norm() / scale;
      worst = std::max(worst, difference);
      CHECK(difference < 1e-10);
    };
    core::ReducedModel turned = r.model;
    std::reverse(turned.functionals.begin(), turned.functionals.end());
    same(solve_from(turned, r.load, Eigen::VectorXd::Zero(n)));
    for (int start = 0; start < 3; ++start) {
      Eigen::VectorXd from(n);
      for (int j = 0; j < n; ++j) from(j) = random.between(-20, 20);
      same(solve_from(r.model, r.load, from));
    }
    for (const int steps : {3, 10}) {
      Solved s{Eigen::VectorXd::Zero(r.model.dofs), {}};
      for (int step = 1; step <= steps; ++step) {
        s = solve_from(r.model, r.load * (static_cast<double>(step) / steps), s.q);
        REQUIRE(s.outcome);
      }
      same(s);
    }
  }
  note_figure("P7: worst difference", worst, 0, worst, 1e-10);
}
