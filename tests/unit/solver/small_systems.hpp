// SPDX-License-Identifier: MIT
#pragma once
// Invented small systems for the unit tests of core: boxes of bone, screws on elastic beds, rods, one law of each kind.
#include <Eigen/Geometry>
#include <cmath>
#include <vector>

#include "mesh/system/component.hpp"
#include "solver/core/condense.hpp"
#include "solver/core/reduced.hpp"

namespace opisthion::tests {

inline mesh::Section titanium(double d) {
  const double e = 110000.0;
  const double g = e / 2.68;
  const double area = M_PI * d * d / 4.0;
  const double inertia = M_PI * d * d * d * d / 64.0;
  return {e * area, 2.0 * g * inertia, e * inertia, e * inertia, 0.889380531 * g * area, 0.889380531 * g * area};
}

inline mesh::Matrix3 frame_along(const mesh::Vector3& axis) {
  mesh::Matrix3 m;
  m.col(0) = axis.normalized();
  m.col(1) = m.col(0).unitOrthogonal();
  m.col(2) = m.col(0).cross(m.col(1));
  return m;
}

inline mesh::BodyId add_body(mesh::System& s, const mesh::Vector3& at, mesh::BodyKind kind, bool fixed = false) {
  s.bodies.push_back({.position_mm = at, .kind = kind, .fixed = fixed, .port = kind == mesh::BodyKind::bone});
  return {static_cast<int>(s.bodies.size()) - 1};
}

inline void add_beam(mesh::System& s, mesh::BodyId a, mesh::BodyId b, double d, mesh::BodyId bone = {},
                     const mesh::Foundation& bed = {}) {
  const mesh::Vector3 along = mesh::body(s, b).position_mm - mesh::body(s, a).position_mm;
  s.beams.push_back({.a = a,
                     .b = b,
                     .bone = bone,
                     .global_from_beam = frame_along(along),
                     .length_mm = along.norm(),
                     .section = titanium(d),
                     .foundation = bed});
}

/// A screw of two layers in a bone; returns its head.
inline mesh::BodyId add_screw(mesh::System& s, mesh::BodyId bone, const mesh::Vector3& entry, const mesh::Vector3& into) {
  const mesh::BodyId head = add_body(s, entry - 5.0 * into, mesh::BodyKind::metal);
  const mesh::BodyId mouth = add_body(s, entry, mesh::BodyKind::metal);
  const mesh::BodyId deep = add_body(s, entry + 2.0 * into, mesh::BodyKind::metal);
  const mesh::BodyId tip = add_body(s, entry + 14.0 * into, mesh::BodyKind::metal);
  add_beam(s, head, mouth, 3.5);
  add_beam(s, mouth, deep, 3.5, bone, {7519.0, 9157.0, 148017.0});
  add_beam(s, deep, tip, 3.5, bone, {168.0, 274.0, 4440.0});
  return head;
}

/// One side: `levels` bones, a screw each, a rod with `elements` per span through locks of 6x6 stiffness.
inline void add_side(mesh::System& s, const std::vector<mesh::BodyId>& bones, double side, int elements) {
  mesh::BodyId before{};
  for (const mesh::BodyId bone : bones) {
    const mesh::Vector3 at = mesh::body(s, bone).position_mm;
    const mesh::BodyId head =
        add_screw(s, bone, at + mesh::Vector3(-3.0, side * 12.0, 1.0), mesh::Vector3(0.85, side * 0.3, 0.1).normalized());
    const mesh::BodyId node =
        add_body(s, mesh::body(s, head).position_mm + mesh::Vector3(-1.0, 0.5 * side, 0.0), mesh::BodyKind::metal);
    mesh::Cushion lock{.a = head, .b = node, .point_mm = mesh::body(s, head).position_mm};
    lock.stiffness.diagonal() << 2e4, 2e4, 2e4, 3e5, 2e5, 1e5;
    s.cushions.push_back(lock);
    if (before.valid()) {
      const mesh::Vector3 from = mesh::body(s, before).position_mm;
      const mesh::Vector3 to = mesh::body(s, node).position_mm;
      mesh::BodyId last = before;
      for (int i = 1; i <= elements; ++i) {
        const mesh::BodyId next =
            i == elements ? node : add_body(s, from + (to - from) * (double(i) / elements), mesh::BodyKind::metal);
        add_beam(s, last, next, 3.5);
        last = next;
      }
    }
    before = node;
  }
}

/// `levels` bones in a column, the lowest held; a disc, two strands, two pads and a ring between neighbours; screws and rods
/// on `sides` sides (0, 1 or 2).
inline mesh::System neck(int levels, int sides, int elements = 4) {
  mesh::System s;
  std::vector<mesh::BodyId> bones;
  for (int i = 0; i < levels; ++i)
    bones.push_back(add_body(s, mesh::Vector3(0.6 * i, 0.1 * i, 16.0 * i), mesh::BodyKind::bone, i == 0));
  for (int i = 0; i + 1 < levels; ++i) {
    const mesh::BodyId low = bones[static_cast<std::size_t>(i)];
    const mesh::BodyId high = bones[static_cast<std::size_t>(i) + 1];
    const mesh::Vector3 at = mesh::body(s, low).position_mm;
    s.neighbours.push_back({high, low});
    mesh::AxisCushion disc{.a = low, .b = high, .point_mm = at + mesh::Vector3(2.0, 0.0, 8.0)};
    disc.global_from_cushion = Eigen::AngleAxisd(0.2, mesh::Vector3::UnitY()).toRotationMatrix();
    disc.laws = {mesh::two_slopes(60, 60),   mesh::two_slopes(60, 60),       mesh::two_slopes(500, 150),
                 mesh::two_slopes(2e4, 2e4), mesh::two_slopes(1.5e4, 2.5e4), mesh::two_slopes(3e4, 3e4)};
    s.axis_cushions.push_back(disc);
    for (const double side : {-1.0, 1.0}) {
      s.strands.push_back({{{low, at + mesh::Vector3(-20, side * 3, 0)}, {high, at + mesh::Vector3(-22, side * 2, 17)}},
                           mesh::ToeLinear{0.4, 0.8, 25.0},
                           {}});
      mesh::Pad pad{.a = {high, at + mesh::Vector3(-8, side * 14, 9)}, .b = low};
      pad.vertex_mm = at + mesh::Vector3(-8.5, side * 14.5, 8);
      pad.global_from_surface = Eigen::AngleAxisd(-0.7, mesh::Vector3::UnitY()).toRotationMatrix();
      pad.curvature_sagittal_per_mm = 0.03;
      pad.curvature_coronal_per_mm = -0.02;
      pad.law = mesh::ToeLinear{0.3, 0.0, 400.0};
      s.pads.push_back(pad);
    }
    mesh::Ring ring{.dens = low, .ring = high, .axis_point_mm = at + mesh::Vector3(6, 0, 12)};
    ring.arch = {0.8, 0.0, 900.0};
    ring.ligament_gain = 1.4;
    ring.ligament = {0.5, 0.5, 120.0};
    s.rings.push_back(ring);
  }
  for (int side = 0; side < sides; ++side) add_side(s, bones, side == 0 ? 1.0 : -1.0, elements);
  return s;
}

inline std::vector<core::CondensedComponent> condensed(const mesh::System& s) {
  std::vector<core::CondensedComponent> out;
  for (const mesh::Component& c : mesh::find_components(s)) out.push_back(core::condense(s, c).component);
  return out;
}

/// A model of one body without geometry: for problems stated as matrices.
inline core::ReducedModel plain_model(const Eigen::MatrixXd& stiffness) {
  core::ReducedModel m;
  m.dofs = static_cast<int>((stiffness.rows() + 5) / 6 * 6);
  m.stiffness = Eigen::MatrixXd::Identity(m.dofs, m.dofs);
  m.stiffness.topLeftCorner(stiffness.rows(), stiffness.cols()) = stiffness;
  m.regularisation = Eigen::MatrixXd::Zero(m.dofs, m.dofs);
  m.force0 = Eigen::VectorXd::Zero(m.dofs);
  m.dof_scale.assign(static_cast<std::size_t>(m.dofs), 1.0);
  for (int i = 0; i < m.dofs; i += 6) m.first_dof.push_back(i);
  return m;
}

inline void add_law(core::ReducedModel& m, const Eigen::VectorXd& row, const mesh::ScalarLaw& law) {
  core::Functional f;
  f.blocks = 1;
  f.first_dof[0] = 0;
  f.row[0].setZero();
  f.row[0].head(row.size()) = row;
  f.law = law;
  m.functionals.push_back(f);
}

}  // namespace opisthion::tests
