// SPDX-License-Identifier: MIT
// B1, B2 and the patch test: one exact element per span must give the closed forms to rounding.
#include <catch2/catch.hpp>

#include "tests/reference/beams.hpp"
#include "tests/reference/random.hpp"
#include "tests/verification/frame_model.hpp"

using namespace opisthion;
using namespace opisthion::verification;

namespace {

constexpr double kLength = 50.0, kForce = 100.0, kLine = 2.0;

/// Straight rod along x of `spans` elements, nodes 0..spans, nothing held.
Frame straight(int spans, const mesh::Section& s) {
  Frame f;
  for (int i = 0; i <= spans; ++i) add_body(f.system, {kLength * i / spans, 0, 0}, false);
  for (int i = 0; i < spans; ++i) add_beam(f.system, {i}, {i + 1}, s, frame_along(Vector3::UnitX(), Vector3::UnitY()));
  return f;
}
void clamp(Frame& f, int node) {
  for (int c = 0; c < 6; ++c) f.hold({node}, c);
}
/// Supported on y and z; nothing turns about x or slides at the first end.
void simple_ends(Frame& f, int last) {
  for (const int c : {0, 1, 2, 3}) f.hold({0}, c);
  f.hold({last}, 1);
  f.hold({last}, 2);
}
/// Consistent nodal loads of a line load q along +y on one element per span.
void line_load(Frame& f, int spans) {
  const double l = kLength / spans;
  for (int i = 0; i < spans; ++i) {
    f.loads.push_back(load_at(f.system, {i}, {0, kLine * l / 2, 0}, {0, 0, kLine * l * l / 12}));
    f.loads.push_back(load_at(f.system, {i + 1}, {0, kLine * l / 2, 0}, {0, 0, -kLine * l * l / 12}));
  }
}
mesh::BodyLoad force_y(const Frame& f, int node) {
  return load_at(f.system, {node}, {0, kForce, 0}, Vector3::Zero());
}

}  // namespace

TEST_CASE("shear coefficients are Cowper's") {
  // Table of verification.md B1 (formulas: Cowper 1966).
  const double nu[] = {0.0, 0.3, 0.34};
  const double table[3][4] = {{0.857142857, 0.833333333, 0.5, 0.588235294},
                              {0.886363636, 0.849673203, 0.530612245, 0.620229008},
                              {0.889380531, 0.851334180, 0.533864542, 0.623603872}};
  for (int i = 0; i < 3; ++i) {
    CHECK_RELATIVE(reference::cowper_circle(nu[i]), table[i][0], 1e-8);
    CHECK_RELATIVE(reference::cowper_rectangle(nu[i]), table[i][1], 1e-8);
    CHECK_RELATIVE(reference::cowper_thin_tube(nu[i]), table[i][2], 1e-8);
    CHECK_RELATIVE(reference::cowper_hollow(nu[i], 0.5), table[i][3], 1e-8);
    // The hollow formula ends in the other two.
    CHECK_RELATIVE(reference::cowper_hollow(nu[i], 0.0), reference::cowper_circle(nu[i]), 1e-14);
    CHECK_RELATIVE(reference::cowper_hollow(nu[i], 1.0), reference::cowper_thin_tube(nu[i]), 1e-14);
  }
}

TEST_CASE("a straight member gives the closed forms of beam theory with one element a span") {
  const mesh::Section s = reference::rod_55();
  const reference::Plane p = reference::plane_xy(s);
  const double exact = 1e-12, printed = 1e-9;

  SECTION("cantilever, end force: deflection and slope") {
    Frame f = straight(1, s);
    clamp(f, 0);
    f.loads = {force_y(f, 1)};
    const Eigen::VectorXd u = f.displacement();
    CHECK_RELATIVE(u(7), reference::cantilever_tip_force_deflection(p, kLength, kForce), exact);
    CHECK_RELATIVE(u(7), 0.8490521533, printed);
    CHECK_RELATIVE(u(11), reference::cantilever_tip_force_slope(p, kLength, kForce), exact);
    CHECK_RELATIVE(u(11), 0.02529861065, printed);
  }
  SECTION("cantilever, end force, without shear") {
    Frame f = straight(1, reference::without_shear(s));
    clamp(f, 0);
    f.loads = {force_y(f, 1)};
    CHECK_RELATIVE(f.displacement()(7), 0.8432870215, printed);
  }
  SECTION("cantilever, line load by consistent nodal loads") {
    Frame f = straight(1, s);
    clamp(f, 0);
    line_load(f, 1);
    const Eigen::VectorXd u = f.displacement();
    CHECK_RELATIVE(u(7), reference::cantilever_line_load_deflection(p, kLength, kLine), exact);
    CHECK_RELATIVE(u(7), 0.3191151989, printed);
  }
  SECTION("simply supported, centre force") {
    Frame f = straight(2, s);
    simple_ends(f, 2);
    f.loads = {force_y(f, 1)};
    const Eigen::VectorXd u = f.displacement();
    CHECK_RELATIVE(u(7), reference::simple_centre_force_deflection(p, kLength, kForce), exact);
    CHECK_RELATIVE(u(7), 0.05414672178, printed);
  }
  SECTION("simply supported, line load") {
    Frame f = straight(2, s);
    simple_ends(f, 2);
    line_load(f, 2);
    const Eigen::VectorXd u = f.displacement();
    CHECK_RELATIVE(u(7), reference::simple_line_load_deflection(p, kLength, kLine), exact);
    CHECK_RELATIVE(u(7), 0.03366154074, printed);
  }
  SECTION("clamped at both ends, centre force") {
    Frame f = straight(2, s);
    clamp(f, 0);
    clamp(f, 2);
    f.loads = {force_y(f, 1)};
    const Eigen::VectorXd u = f.displacement();
    CHECK_RELATIVE(u(7), reference::clamped_centre_force_deflection(p, kLength, kForce), exact);
    CHECK_RELATIVE(u(7), 0.01461764264, printed);
  }
  SECTION("propped cantilever, line load: prop force") {
    Frame f = straight(1, s);
    clamp(f, 0);
    f.hold({1}, 1);
    line_load(f, 1);
    const double prop = -f.reactions(f.displacement())(7);
    CHECK_RELATIVE(prop, reference::propped_line_load_reaction(p, kLength, kLine), exact);
    CHECK_RELATIVE(prop, 37.584876, 1e-8);
  }
  SECTION("propped cantilever, centre force: prop force") {
    Frame f = straight(2, s);
    clamp(f, 0);
    f.hold({2}, 1);
    f.loads = {force_y(f, 1)};
    const double prop = -f.reactions(f.displacement())(13);
    CHECK_RELATIVE(prop, reference::propped_centre_force_reaction(p, kLength, kForce), exact);
    CHECK_RELATIVE(prop, 31.37731399, printed);
  }
  SECTION("twist and stretch") {
    Frame f = straight(1, s);
    clamp(f, 0);
    f.loads = {load_at(f.system, {1}, {1000, 0, 0}, {1000, 0, 0})};
    const Eigen::VectorXd u = f.displacement();
    CHECK_RELATIVE(u(9), 1000.0 * kLength / s.torsional_Nmm2, exact);
    CHECK_RELATIVE(u(9), 0.01356005531, printed);
    CHECK_RELATIVE(u(6), 1000.0 * kLength / s.axial_N, exact);
    CHECK_RELATIVE(u(6), 0.0191320743, printed);
  }
}

TEST_CASE("a section stiff about one axis bends in the plane that belongs to it") {
  // Which of y and z is which: bending_z and shear_y work together for a force along y.
  mesh::Section s = reference::rod_55();
  s.bending_y_Nmm2 *= 3.0;
  s.shear_z_N *= 0.5;
  for (const int axis : {1, 2}) {
    Frame f = straight(1, s);
    clamp(f, 0);
    f.loads = {load_at(f.system, {1}, kForce * Vector3::Unit(axis), Vector3::Zero())};
    const reference::Plane p = axis == 1 ? reference::plane_xy(s) : reference::plane_xz(s);
    CHECK_RELATIVE(f.displacement()(6 + axis), reference::cantilever_tip_force_deflection(p, kLength, kForce), 1e-12);
  }
}

TEST_CASE("an oblique rod under six loads follows the vector closed form for any mesh and roll") {
  const mesh::Section s = reference::rod_55();
  const Vector3 force(10, -20, 30), moment(100, 200, -300);
  reference::Random random(20);
  struct Row {
    Vector3 t;
    double digits[6];
  };
  // Figures of verification.md B2, printed to eight and nine digits.
  const Row rows[] = {
      {Vector3(1, 1, 1), {0.51763917, -2.03553051, 1.51865662, 0.03123621, -0.00763715, -0.02359906}},
      {Vector3(1, 2, 2), {0.787964118, -1.97048936, 1.57708126, 0.0356789117, 5.21713571e-4, -0.0197171749}}};
  for (const Row& row : rows) {
    const Vector3 t = row.t.normalized();
    const Vector6 exact = reference::oblique_cantilever(s, 100.0, t, force, moment);
    for (int i = 0; i < 6; ++i) CHECK(std::abs(exact(i) - row.digits[i]) < 6e-9);
    for (const int elements : {1, 2, 5, 8}) {
      Frame f;
      std::vector<double> cut{0.0, 1.0};
      for (int i = 1; i < elements; ++i) cut.push_back(random.between(0.02, 0.98));
      std::sort(cut.begin(), cut.end());
      for (int i = 0; i <= elements; ++i) add_body(f.system, 100.0 * cut[static_cast<std::size_t>(i)] * t, i == 0);
      for (int i = 0; i < elements; ++i)
        add_beam(f.system, {i}, {i + 1}, s, frame_along(t, some_across(t), random.between(-3, 3)));
      f.loads = {load_at(f.system, {elements}, force, moment)};
      const Eigen::VectorXd u = f.displacement();
      CHECK_SMALL((u.tail<6>().head<3>() - exact.head<3>()).norm() / exact.head<3>().norm(), 1e-10);
      CHECK_SMALL((u.tail<3>() - exact.tail<3>()).norm() / exact.tail<3>().norm(), 1e-10);
      // Every node between lies on the field of the same closed form (patch test).
      for (int i = 1; i < elements; ++i) {
        const double x = 100.0 * cut[static_cast<std::size_t>(i)];
        const Vector6 here = reference::oblique_cantilever(s, x, t, force, moment + (100.0 - x) * t.cross(force));
        CHECK_SMALL((u.segment<3>(6 * i) - here.head<3>()).norm() / exact.head<3>().norm(), 1e-10);
        CHECK_SMALL((u.segment<3>(6 * i + 3) - here.tail<3>()).norm() / exact.tail<3>().norm(), 1e-10);
      }
    }
  }
}

TEST_CASE("constant tension, twist and bending pass the patch test on irregular elements") {
  const mesh::Section s = reference::rod_55();
  const Vector3 t = Vector3(1, 2, 2).normalized();
  const Vector3 across = some_across(t) - some_across(t).dot(t) * t;
  reference::Random random(21);
  Frame f;
  double x = 0.0;
  add_body(f.system, Vector3::Zero(), true);
  for (int i = 1; i <= 6; ++i) {
    x += random.between(1.0, 30.0);
    add_body(f.system, x * t, false);
    add_beam(f.system, {i - 1}, {i}, s, frame_along(t, some_across(t), random.between(-3, 3)));
  }
  f.loads = {load_at(f.system, {6}, 500.0 * t, 300.0 * t + 700.0 * across.normalized())};
  const Eigen::VectorXd u = f.displacement();
  for (int i = 0; i < 6; ++i) {
    const double l = (mesh::body(f.system, {i + 1}).position_mm - mesh::body(f.system, {i}).position_mm).norm();
    const Vector3 stretch = u.segment<3>(6 * i + 6) - u.segment<3>(6 * i);
    const Vector3 turn = u.segment<3>(6 * i + 9) - u.segment<3>(6 * i + 3);
    CHECK_RELATIVE(stretch.dot(t) / l, 500.0 / s.axial_N, 1e-10);
    CHECK_RELATIVE(turn.dot(t) / l, 300.0 / s.torsional_Nmm2, 1e-10);
    CHECK_RELATIVE(turn.dot(across.normalized()) / l, 700.0 / s.bending_y_Nmm2, 1e-10);
  }
}
