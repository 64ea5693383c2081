// SPDX-License-Identifier: MIT
#include <algorithm>
#include <cassert>
#include <cmath>

#include "solver/core/beam.hpp"
#include "solver/core/full/gauge.hpp"

namespace opisthion::core::full {
namespace {

// A beam's frame is its chord; its ends' rotations only say how it rolls about it. Nothing pulls them against the chord
// then: with this share of the length they count for 0.3 % across it.
constexpr double kBeamGauge = 0.02;
// Condensed metal: rotations of the ports stand in for shape where ports are few or in line.
constexpr double kComponentGauge = 0.15;
constexpr double kLeastComponentGauge_mm = 1.0;

GaugePort port_at(const mesh::System& system, BodyId body, const Vector3& point_mm) {
  return {.body = body, .arm_mm = point_mm - mesh::body(system, body).position_mm, .reference_mm = point_mm};
}

GaugePort port_at_body(const mesh::System& system, BodyId body) {
  return port_at(system, body, mesh::body(system, body).position_mm);
}

/// Two bodies in their mean frame.
GaugeElement pair_at(const mesh::System& system, BodyId a, BodyId b, const Vector3& point_mm) {
  GaugeElement out;
  out.ports = {port_at(system, a, point_mm), port_at(system, b, point_mm)};
  return out;
}

/// g = integral of (v'^2 + w'^2)/2 over the beam, d in gauge axes. The slope v' of the exact Timoshenko deflection is the
/// chord's p = (v_b - v_a)/L, s (1 - 2x) of even bending and q (1 - 6x + 6x^2) of bending with shear, x = 0..1: three that
/// are orthogonal, of squares 1, 1/3, 1/5, where
///   s = (theta_a - theta_b)/2,  q = ((theta_a + theta_b)/2 - p)/(1 + Phi),  Phi = 12 EI/(kGA L^2)
/// (Phi = 0: 6/5L, 1/10, 2L/15, -L/30 of the Hermite cubic, Przemieniecki, Theory of Matrix Structural Analysis, from
/// memory). With its mean over the beam as the axial strain, even bending stretches nothing to the order h^4.
Bowing bowing_of(const mesh::Beam& beam) {
  const double length = beam.length_mm;
  Bowing out;
  out.axial_N_per_mm = beam.section.axial_N / length;
  const auto difference = [&](int axis, double factor) {  // of the ends' translations
    Eigen::VectorXd row = Eigen::VectorXd::Zero(12);
    row.segment<3>(0) = -factor * beam.global_from_beam.col(axis);
    row.segment<3>(6) = factor * beam.global_from_beam.col(axis);
    return row;
  };
  out.stretch = difference(0, 1.0);
  out.geometric.setZero(12, 12);
  for (const int across : {1, 2}) {
    // v' goes with the turn about z, w' against that about y
    const Vector3 axis = across == 1 ? Vector3(beam.global_from_beam.col(2)) : Vector3(-beam.global_from_beam.col(1));
    const double bending = across == 1 ? beam.section.bending_z_Nmm2 : beam.section.bending_y_Nmm2;
    const double shear = across == 1 ? beam.section.shear_y_N : beam.section.shear_z_N;
    const double phi = shear > 0.0 ? 12.0 * bending / (shear * length * length) : 0.0;
    const Eigen::VectorXd chord = difference(across, 1.0 / length);
    Eigen::VectorXd even = Eigen::VectorXd::Zero(12);
    even.segment<3>(3) = 0.5 * axis;
    even.segment<3>(9) = -0.5 * axis;
    Eigen::VectorXd uneven = -chord;
    uneven.segment<3>(3) += 0.5 * axis;
    uneven.segment<3>(9) += 0.5 * axis;
    uneven /= 1.0 + phi;
    out.geometric += length * (chord * chord.transpose());
    out.geometric += length / 3.0 * (even * even.transpose());
    out.geometric += length / 5.0 * (uneven * uneven.transpose());
  }
  return out;
}

/// The same 6x6 on the motion of the second relative to the first.
Eigen::MatrixXd on_relative_motion(const Matrix6& k) {
  Eigen::MatrixXd out(12, 12);
  out << k, -k, -k, k;
  return out;
}

}  // namespace

GaugeElement beam_element(const mesh::System& system, const mesh::Beam& beam) {
  assert(!beam.bone.valid());
  const double length = kBeamGauge * beam.length_mm;
  GaugeElement out;
  out.ports = {port_at_body(system, beam.a), port_at_body(system, beam.b)};
  for (GaugePort& port : out.ports) {
    port.position_weight = 1.0;
    port.rotation_weight_mm2 = length * length;
  }
  out.stiffness = beam_stiffness_global(system, beam);
  out.bowing = bowing_of(beam);
  out.item = beam.item;
  return out;
}

GaugeElement bedded_beam_element(const mesh::System& system, const mesh::Beam& beam) {
  assert(beam.bone.valid());
  GaugeElement out;
  out.ports = {port_at_body(system, beam.a), port_at_body(system, beam.b), port_at_body(system, beam.bone)};
  out.ports[0].rotation_weight_mm2 = 0.0;
  out.ports[1].rotation_weight_mm2 = 0.0;
  out.stiffness = beam_stiffness_global(system, beam);
  out.item = beam.item;
  return out;
}

GaugeElement cushion_element(const mesh::System& system, const mesh::Cushion& cushion) {
  GaugeElement out = pair_at(system, cushion.a, cushion.b, cushion.point_mm);
  Matrix6 frame = Matrix6::Zero();
  frame.topLeftCorner<3, 3>() = cushion.global_from_cushion;
  frame.bottomRightCorner<3, 3>() = cushion.global_from_cushion;
  const Matrix6 k = frame * cushion.stiffness * frame.transpose();
  out.stiffness = on_relative_motion(0.5 * (k + k.transpose()));
  out.item = cushion.item;
  return out;
}

GaugeElement axis_cushion_element(const mesh::System& system, const mesh::AxisCushion& cushion) {
  GaugeElement out = pair_at(system, cushion.a, cushion.b, cushion.point_mm);
  out.by_laws = true;
  out.axes = cushion.global_from_cushion;
  out.laws = cushion.laws;
  out.item = cushion.item;
  return out;
}

GaugeElement component_element(const mesh::System& system, std::span<const BodyId> ports, const Eigen::MatrixXd& stiffness,
                               std::span<const Vector3> points_mm) {
  const std::size_t count = ports.size();
  const Eigen::Index size = static_cast<Eigen::Index>(6 * count);
  assert(points_mm.size() == count && stiffness.rows() == size && stiffness.cols() == size);
  Vector3 mean = Vector3::Zero();
  for (const Vector3& point : points_mm) mean += point;
  mean /= static_cast<double>(std::max<std::size_t>(count, 1));
  double square = 0.0;
  for (const Vector3& point : points_mm) square += (point - mean).squaredNorm();
  const double spread = std::sqrt(square / static_cast<double>(std::max<std::size_t>(count, 1)));
  const double length = std::max(kComponentGauge * spread, kLeastComponentGauge_mm);

  GaugeElement out;
  std::vector<Matrix6> body_from_point(count);
  for (std::size_t i = 0; i < count; ++i) {
    out.ports.push_back(port_at(system, ports[i], points_mm[i]));
    out.ports.back().position_weight = 1.0;
    out.ports.back().rotation_weight_mm2 = length * length;
    body_from_point[i] = rigid_arm(-out.ports.back().arm_mm);
  }
  out.stiffness.resize(size, size);
  for (std::size_t j = 0; j < count; ++j) {
    for (std::size_t i = 0; i < count; ++i) {
      const Eigen::Index row = static_cast<Eigen::Index>(6 * i);
      const Eigen::Index column = static_cast<Eigen::Index>(6 * j);
      out.stiffness.block<6, 6>(row, column) =
          body_from_point[i].transpose() * stiffness.block<6, 6>(row, column) * body_from_point[j];
    }
  }
  const Eigen::MatrixXd turned = out.stiffness.transpose();
  out.stiffness = 0.5 * (out.stiffness + turned);
  return out;
}

}  // namespace opisthion::core::full
