// SPDX-License-Identifier: MIT
// B7 and P9: rigid arms are exact transformations, never stiff links.
#include <catch2/catch.hpp>

#include "tests/reference/beams.hpp"
#include "tests/verification/frame_model.hpp"

using namespace opisthion;
using namespace opisthion::verification;

TEST_CASE("a rigid arm carries a stiffness to another point exactly") {
  // Derived: u_p = u + theta x r, K' = T^T K T (verification.md B7).
  const Vector3 r(10, 20, 30);
  Vector6 d;
  d << 1000, 2000, 3000, 1e5, 2e5, 3e5;
  Matrix6 expected;
  expected << 1000, 0, 0, 0, 30000, -20000,  //
      0, 2000, 0, -60000, 0, 20000,          //
      0, 0, 3000, 60000, -30000, 0,          //
      0, -60000, 60000, 3.1e6, -6e5, -6e5,   //
      30000, 0, -30000, -6e5, 1.4e6, -6e5,   //
      -20000, 20000, 0, -6e5, -6e5, 9e5;
  const Matrix6 arm = core::rigid_arm(r);
  CHECK(arm.determinant() == Approx(1.0).epsilon(1e-14));
  CHECK((arm.transpose() * d.asDiagonal() * arm - expected).cwiseAbs().maxCoeff() == 0.0);

  System s;
  const BodyId ground = add_bone(s, {-7, 3, 11}, true);
  const BodyId body = add_bone(s, {0, 0, 0}, false);
  s.cushions.push_back({.a = ground, .b = body, .point_mm = r, .stiffness = d.asDiagonal()});
  const core::ReducedModel model = core::reduce_nothing(s);
  CHECK((model.stiffness - expected).cwiseAbs().maxCoeff() == 0.0);

  const mesh::BodyLoad load{.at = {.body = body, .point_mm = r}, .force_N = {3, -1, 2}};
  Vector6 wrench;
  wrench << 3, -1, 2, 70, 70, -70;
  const Eigen::VectorXd f = core::load_vector(s, model, std::vector<mesh::BodyLoad>{load});
  CHECK((f - wrench).cwiseAbs().maxCoeff() == 0.0);
}

TEST_CASE("a load on a rigid arm is exact where a stiff link errs with its stiffness") {
  // P9: cantilever of 100 mm, loaded across at the end of an arm of 20 mm along the rod.
  const mesh::Section s = reference::rod_55();
  const Vector3 force(0, 10, 0), arm(20, 0, 0), none = Vector3::Zero();
  const Vector6 end = reference::oblique_cantilever(s, 100.0, Vector3::UnitX(), force, arm.cross(force));
  const double exact = (end.head<3>() + end.tail<3>().cross(arm)).y();

  Frame rigid;
  add_body(rigid.system, none, true);
  const BodyId tip = add_body(rigid.system, {100, 0, 0}, false);
  add_beam(rigid.system, {0}, tip, s);
  rigid.loads = {{.at = {.body = tip, .point_mm = {120, 0, 0}}, .force_N = force}};
  const Vector6 u = rigid.displacement().tail<6>();
  CHECK_RELATIVE((u.head<3>() + u.tail<3>().cross(arm)).y(), exact, 1e-12);

  double previous = 0.0;
  for (const double stiffer : {1e2, 1e4}) {
    mesh::Section link = s;
    for (double* v :
         {&link.axial_N, &link.torsional_Nmm2, &link.bending_y_Nmm2, &link.bending_z_Nmm2, &link.shear_y_N, &link.shear_z_N})
      *v *= stiffer;
    Frame penalty;
    add_body(penalty.system, none, true);
    add_body(penalty.system, {100, 0, 0}, false);
    add_body(penalty.system, {120, 0, 0}, false);
    add_beam(penalty.system, {0}, {1}, s);
    add_beam(penalty.system, {1}, {2}, link);
    penalty.loads = {load_at(penalty.system, {2}, force, none)};
    const double error = std::abs(penalty.displacement()(13) - exact) / exact;
    // The link's own bending: (L^3/3EI + L/kGA)/stiffer.
    const double own = reference::cantilever_tip_force_deflection(reference::plane_xy(link), 20.0, 10.0) / exact;
    CHECK_RELATIVE(error, own, 1e-3);  // from 1e4 on rounding of the ill-conditioned matrix shows
    if (previous > 0.0) CHECK_RELATIVE(previous / error, 100.0, 1e-3);
    previous = error;
  }
}
