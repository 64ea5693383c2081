// SPDX-License-Identifier: MIT
// F1 to F7: beams on an elastic bed against Hetenyi's closed forms and independent integration.
#include <catch2/catch.hpp>
#include <numbers>

#include "tests/reference/beams.hpp"
#include "tests/reference/foundation.hpp"
#include "tests/verification/frame_model.hpp"

using namespace opisthion;
using namespace opisthion::verification;

namespace {

mesh::Section bernoulli(double ei) {
  mesh::Section s;
  s.axial_N = s.torsional_Nmm2 = 1.0;
  s.bending_y_Nmm2 = s.bending_z_Nmm2 = ei;
  return reference::without_shear(s);
}
Matrix6 head(const mesh::Section& s, const std::vector<core::SeatLayer>& layers) {
  return core::seat_stiffness(s, layers);
}

/// (v, theta) part of a head stiffness in the x-y plane.
Eigen::Matrix2d in_plane(const Matrix6& k) {
  Eigen::Matrix2d p;
  p << k(1, 1), k(1, 5), k(5, 1), k(5, 5);
  return p;
}

/// Beams on a bed along x leaning on a held bone; only uy and rz are free.
Frame bedded(const std::vector<double>& nodes, const mesh::Section& s, const std::vector<double>& lateral) {
  Frame f;
  for (const double x : nodes) add_body(f.system, {x, 0, 0}, false);
  const BodyId bone = add_bone(f.system, {1.0, 2.0, 3.0}, true);
  for (std::size_t i = 0; i + 1 < nodes.size(); ++i) {
    mesh::Beam& beam = add_beam(f.system, {static_cast<int>(i)}, {static_cast<int>(i) + 1}, s,
                                frame_along(Vector3::UnitX(), Vector3::UnitY()));
    beam.foundation.lateral_MPa = lateral[i];
    if (lateral[i] > 0.0) beam.bone = bone;
  }
  for (const int c : {0, 2, 3, 4}) f.hold_all(c);
  return f;
}
/// Section moment at end a of a beam (along +z on the part that follows), from its own stiffness.
double moment_at_a(const Frame& f, std::size_t beam, const Eigen::VectorXd& u) {
  const mesh::Beam& b = f.system.beams[beam];
  Eigen::Matrix<double, 12, 1> ends;
  ends << u.segment<6>(6 * b.a.value), u.segment<6>(6 * b.b.value);
  // The beam's frame is the global one here, and the bone is held.
  return -(core::beam_stiffness(b.section, b.length_mm, b.foundation) * ends)(5);
}

}  // namespace

TEST_CASE("a very long bed has Hetenyi's semi-infinite end stiffness") {
  const double k = 300.0, ei = reference::rod_35().bending_z_Nmm2;
  const mesh::Section s = bernoulli(ei);
  const double l = reference::hetenyi_lambda(k, ei);
  const Eigen::Matrix2d p = in_plane(head(s, {{20.0 / l, {.lateral_MPa = k}}}));
  CHECK_RELATIVE(p(0, 0), 4.0 * ei * l * l * l, 1e-12);
  CHECK_RELATIVE(p(0, 1), 2.0 * ei * l * l, 1e-12);
  CHECK_RELATIVE(p(1, 0), 2.0 * ei * l * l, 1e-12);
  CHECK_RELATIVE(p(1, 1), 2.0 * ei * l, 1e-12);
  const reference::EndFlexibility f = reference::hetenyi_semi_infinite(k, ei);
  const Eigen::Matrix2d c = p.inverse();
  CHECK_RELATIVE(c(0, 0), f.y_P, 1e-11);
  CHECK_RELATIVE(-c(0, 1), f.theta_P, 1e-11);
  CHECK_RELATIVE(c(1, 1), f.theta_M, 1e-11);

  // Infinite beam: two of them, loaded where they meet.
  Frame beam = bedded({-20 / l, 0, 20 / l}, s, {k, k});
  beam.loads = {load_at(beam.system, {1}, {0, 50, 0}, Vector3::Zero())};
  const Eigen::VectorXd u = beam.displacement();
  CHECK_RELATIVE(u(7), reference::hetenyi_infinite_deflection(k, ei, 50.0), 1e-11);
  CHECK_RELATIVE(std::abs(moment_at_a(beam, 1, u)), reference::hetenyi_infinite_moment(k, ei, 50.0), 1e-10);
}

TEST_CASE("a finite bed with free ends has Hetenyi's influence coefficients") {
  struct Row {
    double a, y_P, theta_P, theta_M;
  };
  // k = 4, EI = 1, so lambda = 1 (verification.md F2, printed to eleven digits).
  const Row rows[] = {{0.5, 2.0011899682, 6.0130904519, 24.1856686982},
                      {1.0, 1.0094592673, 1.5520768483, 3.3699800861},
                      {2.0, 0.5687930845, 0.5670724467, 1.0761937451},
                      {std::numbers::pi, 0.5018709366, 0.5, 1.0037418732},
                      {5.0, 0.5001536297, 0.5001670305, 1.0002084399}};
  for (const Row& row : rows) {
    const reference::EndFlexibility f = reference::hetenyi_finite(4.0, 1.0, row.a);
    CHECK_RELATIVE(f.y_P, row.y_P, 1e-9);
    CHECK_RELATIVE(f.theta_P, row.theta_P, 1e-9);
    CHECK_RELATIVE(f.theta_M, row.theta_M, 1e-9);
    const Eigen::Matrix2d c = in_plane(head(bernoulli(1.0), {{row.a, {.lateral_MPa = 4.0}}})).inverse();
    CHECK_RELATIVE(c(0, 0), f.y_P, 1e-11);
    CHECK_RELATIVE(-c(0, 1), f.theta_P, 1e-11);
    CHECK_RELATIVE(c(1, 1), f.theta_M, 1e-11);
  }
  // Nearly rigid (4P/kL, 6P/kL^2, 12M/kL^3 up to (lambda L)^4), and many wavelengths, where a plain transfer matrix would
  // lose its digits.
  const double k = 4.0, length = 1.0, stiff = 1e5;
  // (lambda L)^4 = 1e-5, of which a fifth shows. At (lambda L)^4 = 1e-12 half the digits of the difference to the free beam
  // are gone.
  const Eigen::Matrix2d rigid = in_plane(head(bernoulli(stiff), {{length, {.lateral_MPa = k}}}));
  Eigen::Matrix2d bed;
  bed << k * length, k * length * length / 2, k * length * length / 2, k * length * length * length / 3;
  CHECK_SMALL((rigid - bed).cwiseAbs().maxCoeff() / k, 4e-6);
  for (const double a : {8.0, 12.0, 16.0, 40.0, 200.0}) {
    const Eigen::Matrix2d c = in_plane(head(bernoulli(1.0), {{a, {.lateral_MPa = 4.0}}})).inverse();
    const reference::EndFlexibility f =
        a < 100.0 ? reference::hetenyi_finite(4.0, 1.0, a) : reference::hetenyi_semi_infinite(4.0, 1.0);
    CHECK_RELATIVE(c(0, 0), f.y_P, 1e-11);
    CHECK_RELATIVE(-c(0, 1), f.theta_P, 1e-11);
    CHECK_RELATIVE(c(1, 1), f.theta_M, 1e-11);
  }
  // Equal forces at both ends (37b).
  Frame f = bedded({0, 2}, bernoulli(1.0), {4.0});
  f.loads = {load_at(f.system, {0}, {0, 1, 0}, Vector3::Zero()), load_at(f.system, {1}, {0, 1, 0}, Vector3::Zero())};
  const Eigen::VectorXd u = f.displacement();
  CHECK_RELATIVE(u(1), reference::hetenyi_equal_end_forces(4.0, 1.0, 2.0, 1.0), 1e-10);
  CHECK_RELATIVE(u(7), u(1), 1e-11);
  CHECK_RELATIVE(u(1), 0.3688197122, 1e-9);
}

TEST_CASE("a beam on ground with three forces (SSLL15 type)") {
  // VPCS guide, SSLL15 (from memory); figures re-computed independently. N, m. lambda L = pi/2.
  const double length = std::numbers::pi * std::sqrt(10.0) / 2.0;
  const mesh::Section s = bernoulli(2.1e11 * 1e-4);
  Frame f = bedded({0, length / 2, length}, s, {8.4e5, 8.4e5});
  for (const int i : {0, 1, 2}) f.loads.push_back(load_at(f.system, {i}, {0, -10e3, 0}, Vector3::Zero()));
  const Eigen::VectorXd u = f.displacement();
  CHECK_RELATIVE(-u(1), 7.858837e-3, 1e-6);
  CHECK_RELATIVE(-u(7), 6.843375e-3, 1e-6);
  CHECK_RELATIVE(u(5), 7.06001e-4, 2e-6);
  CHECK_RELATIVE(std::abs(moment_at_a(f, 1, u)), 5758.748, 1e-6);
}

TEST_CASE("a bed that only pushes lets a long beam lift off pi/lambda apart") {
  // Weitsman 1970 (from memory), re-derived: deflection and moment are 1.0903314107 of the bonded ones, whatever the load.
  const double k = 4.0, ei = 1.0;
  for (const auto& [n, printed] : {std::pair{100, 1.090320}, std::pair{200, 1.090332}}) {
    Frame f;
    const double h = 10.0 / n;
    for (int i = 0; i <= n; ++i) add_body(f.system, {h * i, 0, 0}, false);
    for (int i = 0; i < n; ++i)
      add_beam(f.system, {i}, {i + 1}, bernoulli(ei), frame_along(Vector3::UnitX(), Vector3::UnitY()));
    for (const int c : {0, 2, 3, 4}) f.hold_all(c);
    std::vector<int> places;
    core::ReducedModel model;
    model.stiffness = f.stiffness(&places);
    model.dofs = static_cast<int>(places.size());
    REQUIRE(model.dofs == 2 * (n + 1));
    model.regularisation = Eigen::MatrixXd::Zero(model.dofs, model.dofs);
    model.force0 = Eigen::VectorXd::Zero(model.dofs);
    model.dof_scale.assign(static_cast<std::size_t>(model.dofs), 1.0);
    for (int i = 0; i <= n; ++i) {
      core::Functional spring;
      spring.blocks = 1;
      // A block is six unknowns wide; what it does not touch is zero.
      const int first = std::min(2 * i, model.dofs - 6);
      spring.first_dof[0] = first;
      spring.row[0] = Vector6::Zero();
      spring.row[0](2 * i - first) = -1.0;  // closes when the beam moves towards -y
      spring.law = mesh::ToeLinear{.stiffness = k * h * (i == 0 || i == n ? 0.5 : 1.0)};
      model.functionals.push_back(spring);
    }
    double first_ratio = 0.0;
    for (const double force : {1.0, 100.0}) {
      Eigen::VectorXd load = Eigen::VectorXd::Zero(model.dofs);
      load(n) = -force;  // uy of node n/2
      const Eigen::VectorXd q = solve(model, load);
      const double ratio = -q(n) / reference::hetenyi_infinite_deflection(k, ei, force);
      CHECK_RELATIVE(ratio, reference::kOneSidedBedRatio, 1e-3);
      CHECK(std::abs(ratio - printed) < 2e-6);
      if (first_ratio > 0.0) CHECK_RELATIVE(ratio, first_ratio, 1e-9);
      first_ratio = ratio;
      // Bending moment beside the load.
      Eigen::Matrix<double, 12, 1> ends = Eigen::Matrix<double, 12, 1>::Zero();
      ends(1) = q(n), ends(5) = q(n + 1), ends(7) = q(n + 2), ends(11) = q(n + 3);
      const double moment = std::abs((core::beam_stiffness(bernoulli(ei), h, {}) * ends)(5));
      if (n == 200)
        CHECK_RELATIVE(moment / reference::hetenyi_infinite_moment(k, ei, force), reference::kOneSidedBedRatio, 1e-3);
      int touching = 0;
      for (int i = 0; i <= n; ++i) touching += q(2 * i) < 0.0 ? 1 : 0;
      CHECK(std::abs(touching * h - std::numbers::pi) < 1.5 * h);  // contact length pi/lambda, lambda = 1
    }
  }
}

TEST_CASE("a bed that stiffens with depth gives Matlock and Reese's coefficients") {
  // EI = n_h = T = 1; layers of 0.02 T, each with the modulus of its middle: the error of that staircase falls as h^2
  // (5.06e-4 at 0.05 T).
  for (const reference::MatlockReese& row : {reference::kMatlockReese10, reference::kMatlockReese5}) {
    const double h = 0.02;
    const int n = static_cast<int>(std::lround(row.depth_over_T / h));
    std::vector<core::SeatLayer> layers;
    for (int i = 0; i < n; ++i) layers.push_back({h, {.lateral_MPa = (i + 0.5) * h}});
    const Eigen::Matrix2d k = in_plane(head(bernoulli(1.0), layers));
    const Eigen::Matrix2d c = k.inverse();
    CHECK_RELATIVE(c(0, 0), row.deflection_P, 1e-4);
    CHECK_RELATIVE(c(1, 0), row.slope_P, 1e-4);
    CHECK_RELATIVE(-c(0, 1), row.deflection_M, 1e-4);
    CHECK_RELATIVE(-c(1, 1), row.slope_M, 1e-4);
    if (row.depth_over_T == 10.0) {
      // Published long-pile table (from memory), 0.3 %.
      CHECK_RELATIVE(c(0, 0), 2.435, 3e-3);
      CHECK_RELATIVE(c(1, 0), -1.623, 3e-3);
      CHECK_RELATIVE(-c(1, 1), -1.750, 3e-3);
      // Head that cannot turn: deflection coefficient 0.927864, moment -0.927082 (published +-0.93).
      CHECK_RELATIVE(1.0 / k(0, 0), 0.927864, 1e-4);
      CHECK_RELATIVE(k(1, 0) / k(0, 0), 0.927082, 1e-4);
    }
  }
  // Along the depth, by a chain of beams, depth 5 T (the rows are those of the integration for that depth).
  const double h = 0.02;
  std::vector<double> nodes, lateral;
  for (int i = 0; i <= 250; ++i) nodes.push_back(i * h);
  for (int i = 0; i < 250; ++i) lateral.push_back((i + 0.5) * h);
  Frame f = bedded(nodes, bernoulli(1.0), lateral);
  struct Row {
    int node;
    double a_y, a_m, b_y, b_m;
  };
  const Row rows[] = {
      {25, 1.6410, 0.4577, 0.8717, 0.9745}, {50, 0.9609, 0.7246, 0.3634, 0.8507}, {100, 0.1394, 0.6266, -0.0722, 0.4038}};
  f.loads = {load_at(f.system, {0}, {0, 1, 0}, Vector3::Zero())};
  const Eigen::VectorXd by_force = f.displacement();
  f.loads = {load_at(f.system, {0}, Vector3::Zero(), {0, 0, -1})};
  const Eigen::VectorXd by_moment = f.displacement();
  for (const Row& row : rows) {
    CHECK(std::abs(by_force(6 * row.node + 1) - row.a_y) < 3e-4);
    CHECK(std::abs(std::abs(moment_at_a(f, static_cast<std::size_t>(row.node), by_force)) - row.a_m) < 3e-4);
    CHECK(std::abs(-by_moment(6 * row.node + 1) - row.b_y * (by_moment(1) < 0 ? 1.0 : -1.0)) < 3e-4);
    CHECK(std::abs(std::abs(moment_at_a(f, static_cast<std::size_t>(row.node), by_moment)) - row.b_m) < 3e-4);
  }
  double most = 0.0;
  for (std::size_t i = 0; i < 250; ++i) most = std::max(most, std::abs(moment_at_a(f, i, by_force)));
  CHECK_RELATIVE(most, 0.771386, 3e-4);  // at z = 1.328, between two nodes
}

TEST_CASE("a bar or shaft in a bed follows tanh, a layered one the recursion from its tip") {
  mesh::Section s = bernoulli(1.0);
  // EA = k = 1 (verification.md F6).
  for (const auto& [length, printed] :
       {std::pair{0.5, 0.46211716}, std::pair{1.0, 0.76159416}, std::pair{2.0, 0.96402758}}) {
    const Matrix6 k = head(s, {{length, {.lateral_MPa = 1.0, .axial_MPa = 1.0, .torsional_N = 1.0}}});
    CHECK_RELATIVE(k(0, 0), std::tanh(length), 1e-13);
    CHECK_RELATIVE(k(0, 0), printed, 1e-8);
    CHECK_RELATIVE(k(3, 3), std::tanh(length), 1e-13);
  }
  s.axial_N = 7.0e5;
  s.torsional_Nmm2 = 6.0e5;
  const std::vector<core::SeatLayer> layers{{2.0, {.lateral_MPa = 1e3, .axial_MPa = 9157.0, .torsional_N = 148017.0}},
                                            {3.0, {}},
                                            {9.0, {.lateral_MPa = 1e2, .axial_MPa = 275.0, .torsional_N = 4440.0}},
                                            {1.5, {.lateral_MPa = 1e3, .axial_MPa = 7000.0, .torsional_N = 90000.0}}};
  double axial = 0.0, torsional = 0.0;
  for (auto layer = layers.rbegin(); layer != layers.rend(); ++layer) {
    axial = reference::axial_on_bed(s.axial_N, layer->foundation.axial_MPa, layer->length_mm, axial);
    torsional = reference::axial_on_bed(s.torsional_Nmm2, layer->foundation.torsional_N, layer->length_mm, torsional);
  }
  const Matrix6 k = head(s, layers);
  CHECK_RELATIVE(k(0, 0), axial, 1e-12);
  CHECK_RELATIVE(k(3, 3), torsional, 1e-12);
}

TEST_CASE("moduli of the half-space formulas") {
  // verification.md F7, S35, L = 14, nu = 0.3. The formulas differ by a factor of three: a known model uncertainty.
  const double ei = reference::rod_35().bending_z_Nmm2;
  for (const auto& [es, vesic, glick] : {std::tuple{300.0, 168.418492, 535.7}, std::tuple{1000.0, 620.642839, 1785.6},
                                         std::tuple{10000.0, 7519.259658, 17856.0}}) {
    CHECK_RELATIVE(reference::vesic_lateral(es, 0.3, 3.5, ei), vesic, 1e-8);
    CHECK_RELATIVE(reference::glick_lateral(es, 0.3, 3.5, 14.0), glick, 1e-4);
  }
  CHECK_RELATIVE(reference::randolph_wroth_axial(10000.0, 0.3, 1.75, 14.0), 9157.09449132, 1e-10);
  CHECK_RELATIVE(reference::randolph_wroth_axial(300.0, 0.3, 1.75, 14.0), 274.71283474, 1e-10);
  CHECK_RELATIVE(reference::elastic_space_torsional(10000.0, 0.3, 1.75), 148017.34617875, 1e-10);
  CHECK_RELATIVE(reference::elastic_space_torsional(300.0, 0.3, 1.75), 4440.52038536, 1e-10);
}
