// SPDX-License-Identifier: MIT
// S6: head stiffness of a screw in layered bone, by three routes outside the product: printed figures, a closed form in
// exponentials, and numerical integration of the differential equation.
#include <catch2/catch.hpp>

#include "tests/reference/beams.hpp"
#include "tests/reference/foundation.hpp"
#include "tests/reference/random.hpp"
#include "tests/reference/screw_seat.hpp"
#include "tests/verification/frame_model.hpp"

using namespace opisthion;
using namespace opisthion::verification;

namespace {

core::SeatLayer bone_layer(double length, double es, double lateral_factor = 1.0) {
  const double ei = reference::rod_35().bending_z_Nmm2;
  return {length,
          {.lateral_MPa = lateral_factor * reference::vesic_lateral(es, 0.3, 3.5, ei),
           .axial_MPa = reference::randolph_wroth_axial(es, 0.3, 1.75, 14.0),
           .torsional_N = reference::elastic_space_torsional(es, 0.3, 1.75)}};
}
void check(const Matrix6& k, const reference::HeadStiffness& expected, double tolerance = 1e-8) {
  CHECK_RELATIVE(k(0, 0), expected.axial, tolerance);
  for (const int i : {1, 2}) CHECK_RELATIVE(k(i, i), expected.vv, tolerance);
  for (const int i : {4, 5}) CHECK_RELATIVE(k(i, i), expected.thetatheta, tolerance);
  CHECK_RELATIVE(k(1, 5), expected.vtheta, tolerance);
  CHECK_RELATIVE(k(2, 4), -expected.vtheta, tolerance);
  CHECK_RELATIVE(k(3, 3), expected.torsional, tolerance);
  CHECK((k - k.transpose()).cwiseAbs().maxCoeff() == 0.0);
  Matrix6 rest = k;
  rest.diagonal().setZero();
  rest(1, 5) = rest(5, 1) = rest(2, 4) = rest(4, 2) = 0.0;
  CHECK(rest.cwiseAbs().maxCoeff() == 0.0);
}
Eigen::Matrix2d in_plane(const Matrix6& k) {
  Eigen::Matrix2d p;
  p << k(1, 1), k(1, 5), k(5, 1), k(5, 5);
  return p;
}
/// Largest difference relative to the diagonal.
double worst(const Eigen::Matrix2d& a, const Eigen::Matrix2d& b) {
  const Eigen::Vector2d d = b.diagonal().cwiseSqrt();
  return ((a - b).array() / (d * d.transpose()).array()).abs().maxCoeff();
}

}  // namespace

TEST_CASE("a screw head in a cortical and a cancellous layer has the printed 6 x 6") {
  const mesh::Section s = reference::rod_35();
  const std::vector<core::SeatLayer> bone{bone_layer(2, 10000), bone_layer(12, 300)};
  const Matrix6 k = core::seat_stiffness(s, bone);
  check(k, reference::kSeatTimoshenko);
  check(k, reference::kSeatFull, 1e-12);
  const Eigen::Matrix2d c = in_plane(k).inverse();
  CHECK_RELATIVE(c(0, 0), reference::kSeatFlexibilityVV, 1e-9);
  CHECK_RELATIVE(c(0, 1), reference::kSeatFlexibilityVT, 1e-9);
  CHECK_RELATIVE(c(1, 1), reference::kSeatFlexibilityTT, 1e-9);

  check(core::seat_stiffness(reference::without_shear(s), bone), reference::kSeatBernoulli);
  check(core::seat_stiffness(s, std::vector<core::SeatLayer>{bone_layer(14, 300)}), reference::kSeatCancellous);
  check(core::seat_stiffness(s, std::vector<core::SeatLayer>{bone_layer(2, 10000, 2.0), bone_layer(12, 300, 2.0)}),
        reference::kSeatDoubled);
}

TEST_CASE("a screw with a bending core thinner than its bearing diameter has the printed 6 x 6") {
  // Core 2.4 mm, bearing 3.5 mm: verification.md S6, last variant. The lateral modulus takes the core's EI.
  const mesh::Section s = reference::circle(2.4, 110000.0, 0.34);
  const auto layer = [&](double length, double es) {
    core::SeatLayer l = bone_layer(length, es);
    l.foundation.lateral_MPa = reference::vesic_lateral(es, 0.3, 3.5, s.bending_z_Nmm2);
    return l;
  };
  check(core::seat_stiffness(s, std::vector<core::SeatLayer>{layer(2, 10000), layer(12, 300)}), reference::kSeatCore);
}

TEST_CASE("layers cut in pieces change nothing") {
  const mesh::Section s = reference::rod_35();
  const Matrix6 whole = core::seat_stiffness(s, std::vector<core::SeatLayer>{bone_layer(2, 10000), bone_layer(12, 300)});
  std::vector<core::SeatLayer> pieces;
  for (const double l : {0.1, 0.9, 0.7, 0.3}) pieces.push_back(bone_layer(l, 10000));
  for (const double l : {5.0, 0.01, 3.99, 3.0}) pieces.push_back(bone_layer(l, 300));
  CHECK_SMALL((core::seat_stiffness(s, pieces) - whole).cwiseAbs().maxCoeff() / whole.cwiseAbs().maxCoeff(), 1e-11);
}

TEST_CASE("the chain of beams in a system condenses to the seat's 6 x 6") {
  const mesh::Section s = reference::rod_35();
  const std::vector<core::SeatLayer> bone{bone_layer(2, 10000), bone_layer(12, 300)};
  System system;
  const BodyId vertebra = add_bone(system, {5, -3, 2}, true);
  const Matrix3 frame = frame_along({0.3, 0.9, -0.2}, {0, 0, 1}, 0.7);
  double depth = 0.0;
  BodyId previous = add_body(system, Vector3::Zero(), false);
  for (const core::SeatLayer& layer : bone) {
    depth += layer.length_mm;
    const BodyId next = add_body(system, depth * frame.col(0), false);
    mesh::Beam& beam = add_beam(system, previous, next, s, frame);
    beam.bone = vertebra;
    beam.foundation = layer.foundation;
    previous = next;
  }
  const core::ReducedModel model = core::reduce_nothing(system);
  const Eigen::MatrixXd flexibility = model.stiffness.ldlt().solve(Eigen::MatrixXd::Identity(model.dofs, model.dofs));
  const int head = model.first_dof[1];
  const Matrix6 global = flexibility.block<6, 6>(head, head).inverse();
  Matrix6 turn = Matrix6::Zero();
  turn.topLeftCorner<3, 3>() = turn.bottomRightCorner<3, 3>() = frame;
  const Matrix6 k = turn.transpose() * global * turn;
  const Matrix6 seat = core::seat_stiffness(s, bone);
  CHECK_SMALL((k - seat).cwiseAbs().maxCoeff() / seat.cwiseAbs().maxCoeff(), 1e-11);
}

TEST_CASE("layered seats agree with a closed form in exponentials and with numerical integration") {
  reference::Random random(66);
  int tried = 0;
  for (int i = 0; i < 200; ++i) {
    mesh::Section s = reference::circle(random.between(2.0, 5.5), random.between(70e3, 210e3), 0.3);
    if (random.coin()) s.shear_y_N *= random.between(0.02, 1.0), s.shear_z_N = s.shear_y_N;
    const int n = random.whole(1, 4);
    std::vector<core::SeatLayer> layers;
    std::vector<reference::BedLayer> closed;
    Eigen::Matrix4d transfer = Eigen::Matrix4d::Identity();
    for (int j = 0; j < n; ++j) {
      const double length = random.between(0.5, 8.0);
      const double lateral = std::pow(10.0, random.between(0.0, 4.3));
      layers.push_back({length, {.lateral_MPa = lateral, .axial_MPa = 1.0, .torsional_N = 1.0}});
      closed.push_back({length, lateral, 1.0, 1.0});
      transfer = reference::transfer_by_runge_kutta(s.bending_z_Nmm2, s.shear_y_N, lateral, length, 2000) * transfer;
    }
    const Eigen::Matrix2d k = in_plane(core::seat_stiffness(s, layers));
    CHECK_SMALL(worst(k, reference::layered_head_stiffness(s.bending_z_Nmm2, s.shear_y_N, closed)), 1e-9);
    // A plain transfer matrix loses digits over many wavelengths: compare where it keeps them.
    double wavelengths = 0.0;
    for (const core::SeatLayer& l : layers)
      wavelengths += l.length_mm * reference::hetenyi_lambda(l.foundation.lateral_MPa, s.bending_z_Nmm2);
    if (wavelengths > 5.0) continue;
    ++tried;
    CHECK_SMALL(worst(k, reference::free_tip_head_stiffness(transfer)), 1e-7);
  }
  CHECK(tried > 50);
}

TEST_CASE("a beam on a bed has the end stiffness of the integrated differential equation") {
  reference::Random random(67);
  for (int i = 0; i < 100; ++i) {
    const mesh::Section s = reference::circle(random.between(2.0, 5.5), 110e3, 0.34);
    const double length = random.between(0.5, 15.0);
    const double lateral = i % 5 == 0 ? 0.0 : std::pow(10.0, random.between(-6.0, 4.0));
    const Eigen::Matrix4d t = reference::transfer_by_runge_kutta(s.bending_z_Nmm2, s.shear_y_N, lateral, length, 4000);
    // (v, theta)_b = T11 (v, theta)_a + T12 (M, Q)_a; forces on the beam: at a (-Q, -M), at b (Q, M).
    const Eigen::Matrix2d inverse = t.topRightCorner<2, 2>().inverse();
    Eigen::Matrix4d k;
    Eigen::Matrix<double, 2, 4> b;  // (M, Q)_a
    b << -inverse * t.topLeftCorner<2, 2>(), inverse;
    Eigen::Matrix<double, 2, 4> end;  // (M, Q)_b
    end = t.bottomRightCorner<2, 2>() * b;
    end.leftCols<2>() += t.bottomLeftCorner<2, 2>();
    k << -b.row(1), -b.row(0), end.row(1), end.row(0);
    const mesh::Matrix12 full =
        core::beam_stiffness(s, length, {.lateral_MPa = lateral, .axial_MPa = 2.0, .torsional_N = 3.0});
    const std::vector<int> xy{1, 5, 7, 11}, xz{2, 4, 8, 10};
    const Eigen::Vector4d sign(1, -1, 1, -1);
    const Eigen::Matrix4d y = full(xy, xy), z = sign.asDiagonal() * Eigen::Matrix4d(full(xz, xz)) * sign.asDiagonal();
    const Eigen::Vector4d d = y.diagonal().cwiseSqrt();
    CHECK_SMALL(((y - k).array() / (d * d.transpose()).array()).abs().maxCoeff(), 1e-8);
    CHECK_SMALL(((z - k).array() / (d * d.transpose()).array()).abs().maxCoeff(), 1e-8);
  }
}
