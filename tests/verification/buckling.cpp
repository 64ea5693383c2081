// SPDX-License-Identifier: MIT
// B10: buckling loads from the product's stiffness and a geometric stiffness of the test's own.
// Sources: Euler; Timoshenko & Gere, Theory of Elastic Stability (from memory, re-derived); Hetenyi 1946 for the bed.
#include <Eigen/Eigenvalues>
#include <catch2/catch.hpp>
#include <numbers>

#include "tests/reference/beams.hpp"
#include "tests/reference/geometric_and_mass.hpp"
#include "tests/verification/frame_model.hpp"

using namespace opisthion;
using namespace opisthion::verification;

namespace {

constexpr double kPi = std::numbers::pi;

/// Smallest P at which K - P G turns singular; `thrust` is the compression of each beam at P = 1.
double buckling_load(const Frame& f, const std::vector<double>& thrust) {
  std::vector<int> places;
  const Eigen::MatrixXd k = f.stiffness(&places);
  Eigen::MatrixXd g = Eigen::MatrixXd::Zero(6 * static_cast<Eigen::Index>(f.system.bodies.size()),
                                            6 * static_cast<Eigen::Index>(f.system.bodies.size()));
  for (std::size_t i = 0; i < f.system.beams.size(); ++i) {
    const mesh::Beam& b = f.system.beams[i];
    mesh::Matrix12 turn = mesh::Matrix12::Zero();
    for (int j = 0; j < 12; j += 3) turn.block<3, 3>(j, j) = b.global_from_beam.transpose();
    const mesh::Matrix12 local = turn.transpose() * reference::geometric_stiffness(b.section, b.length_mm) * turn;
    const int at[] = {6 * b.a.value, 6 * b.b.value};
    for (int r = 0; r < 2; ++r)
      for (int c = 0; c < 2; ++c) g.block<6, 6>(at[r], at[c]) += thrust[i] * local.block<6, 6>(6 * r, 6 * c);
  }
  // G v = mu K v with K factorised: the largest mu is the smallest load (safe when G is indefinite).
  const Eigen::MatrixXd small = g(places, places);
  const Eigen::GeneralizedSelfAdjointEigenSolver<Eigen::MatrixXd> solver(small, k, Eigen::EigenvaluesOnly);
  return 1.0 / solver.eigenvalues().tail<1>()(0);
}

enum class End { free, pinned, clamped };

/// Column along x in the x-y plane.
Frame column(const mesh::Section& s, double length, int n, End first, End last) {
  Frame f;
  for (int i = 0; i <= n; ++i) add_body(f.system, {length * i / n, 0, 0}, false);
  for (int i = 0; i < n; ++i) add_beam(f.system, {i}, {i + 1}, s, frame_along(Vector3::UnitX(), Vector3::UnitY()));
  for (const int c : {2, 3, 4}) f.hold_all(c);
  f.hold({0}, 0);
  const auto end = [&](int node, End kind) {
    if (kind != End::free) f.hold({node}, 1);
    if (kind == End::clamped) f.hold({node}, 5);
  };
  end(0, first);
  end(n, last);
  return f;
}
double column_load(const mesh::Section& s, int n, End first, End last) {
  return buckling_load(column(s, 100.0, n, first, last), std::vector<double>(static_cast<std::size_t>(n), 1.0));
}

}  // namespace

TEST_CASE("columns buckle at Euler's loads, with Hermite's error on coarse meshes") {
  const mesh::Section s = reference::without_shear(reference::rod_55());
  const double unit = s.bending_z_Nmm2 / 1e4;
  struct Row {
    End first, last;
    double factor, printed;
    int n;
    double ratio;  ///< printed for that n, 0: not printed
  };
  const double clamped_pinned = 20.190728556427;
  const Row rows[] = {{End::pinned, End::pinned, kPi * kPi, 4876.55455629, 1, 1.2158542},
                      {End::pinned, End::pinned, kPi * kPi, 4876.55455629, 2, 1.0075223},
                      {End::pinned, End::pinned, kPi * kPi, 4876.55455629, 4, 1.0005121},
                      {End::pinned, End::pinned, kPi * kPi, 4876.55455629, 8, 1.0000328},
                      {End::clamped, End::free, kPi * kPi / 4, 1219.13863907, 4, 0.0},
                      {End::clamped, End::pinned, clamped_pinned, 9976.20424642, 4, 1.0020546},
                      {End::clamped, End::pinned, clamped_pinned, 9976.20424642, 8, 1.0001357},
                      {End::clamped, End::clamped, 4 * kPi * kPi, 19506.21822515, 4, 1.0075223},
                      {End::clamped, End::clamped, 4 * kPi * kPi, 19506.21822515, 8, 0.0}};
  for (const Row& row : rows) {
    CHECK_RELATIVE(row.factor * unit, row.printed, 1e-9);
    const double load = column_load(s, row.n, row.first, row.last);
    if (row.ratio > 0.0) CHECK(std::abs(load / row.printed - row.ratio) < 1e-7);
    // Four elements a half-wave (of pinned-pinned length): 5.2e-4, the printed "5e-4".
    if (row.n == 8 || row.last == End::free) CHECK_RELATIVE(load, row.printed, 5.2e-4);
  }
}

TEST_CASE("columns that shear buckle at Engesser's loads") {
  const mesh::Section s = reference::rod_55();
  struct Row {
    End first, last;
    double euler, printed;
  };
  for (const Row& row : {Row{End::pinned, End::pinned, 4876.55455629, 4849.28799973},
                         Row{End::clamped, End::free, 1219.13863907, 1217.42730277},
                         Row{End::clamped, End::clamped, 19506.21822515, 19077.15053196}}) {
    CHECK_RELATIVE(row.euler / (1.0 + row.euler / s.shear_y_N), row.printed, 1e-9);
    CHECK_RELATIVE(column_load(s, 16, row.first, row.last), row.printed, 5e-4);
    CHECK_RELATIVE(column_load(s, 32, row.first, row.last), row.printed, 1e-4);
  }
}

TEST_CASE("a portal of three equal members buckles sideways") {
  // Sway: hinged bases kL tan kL = 6, fixed bases kL/tan kL = -6 (Timoshenko & Gere).
  mesh::Section s = reference::without_shear(reference::rod_55());
  const double length = 100.0, unit = s.bending_z_Nmm2 / (length * length);
  s.axial_N = 1e6 * unit;  // inextensible but for 1e-6
  for (const auto& [hinged, exact, printed] :
       {std::tuple{true, 1.8212928240, 1.82130444}, std::tuple{false, 7.3791535608, 7.38070262}}) {
    const int n = 4;
    Frame f;
    std::vector<double> thrust;
    for (int i = 0; i <= n; ++i) add_body(f.system, {0, length * i / n, 0}, false);
    for (int i = 1; i <= n; ++i) add_body(f.system, {length * i / n, length, 0}, false);
    for (int i = 1; i <= n; ++i) add_body(f.system, {length, length * (n - i) / n, 0}, false);
    for (int i = 0; i < 3 * n; ++i) {
      const Vector3 along = mesh::body(f.system, {i + 1}).position_mm - mesh::body(f.system, {i}).position_mm;
      add_beam(f.system, {i}, {i + 1}, s, frame_along(along, Vector3::UnitZ().cross(along)));
      thrust.push_back(i < n || i >= 2 * n ? 1.0 : 0.0);
    }
    for (const int c : {2, 3, 4}) f.hold_all(c);
    for (const int base : {0, 3 * n}) {
      f.hold({base}, 0);
      f.hold({base}, 1);
      if (!hinged) f.hold({base}, 5);
    }
    const double load = buckling_load(f, thrust) / unit;
    CHECK_RELATIVE(load, printed, 1e-5);
    CHECK_RELATIVE(load, exact, 5e-4);
  }
}

TEST_CASE("a pinned column on a bed buckles in Hetenyi's number of waves") {
  // P = P_E min over m of (m^2 + beta/m^2), beta = k L^4/(pi^4 EI).
  const mesh::Section s = reference::without_shear(reference::rod_55());
  const double length = 100.0, ei = s.bending_z_Nmm2, euler = kPi * kPi * ei / (length * length);
  for (const auto& [k, printed] :
       {std::pair{10.0, 15008.672921}, std::pair{200.0, 66404.809594}, std::pair{2000.0, 202970.810821}}) {
    const double beta = k * std::pow(length, 4) / (std::pow(kPi, 4) * ei);
    double exact = 1e300;
    for (int m = 1; m < 40; ++m) exact = std::min(exact, euler * (m * m + beta / (m * m)));
    CHECK_RELATIVE(exact, printed, 1e-9);
    for (const int n : {16, 32}) {
      Frame f = column(s, length, n, End::pinned, End::pinned);
      const BodyId bone = add_bone(f.system, {5, 5, 5}, true);
      for (mesh::Beam& b : f.system.beams) {
        b.bone = bone;
        b.foundation.lateral_MPa = k;
      }
      const double load = buckling_load(f, std::vector<double>(static_cast<std::size_t>(n), 1.0));
      // 16 elements are fewer than four a half-wave at k = 2000.
      CHECK_RELATIVE(load, exact, n == 16 && k > 1000 ? 1e-3 : 5e-4);
    }
  }
}
