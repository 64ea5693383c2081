// SPDX-License-Identifier: MIT
#pragma once
// Random necks with constructs: every kind of element, for tests that compare two routes to the same answer.
#include <algorithm>
#include <vector>

#include "mesh/system/component.hpp"
#include "solver/core/condense.hpp"
#include "tests/reference/beams.hpp"
#include "tests/reference/random.hpp"
#include "tests/verification/frame_model.hpp"

namespace opisthion::verification {

struct RandomNeckOptions {
  bool joints = true, left = true, right = true;
  bool one_sided = true;  ///< strands, pads, ring, curves per axis
  bool cross_link = false;
};

inline Matrix6 random_spring(reference::Random& random, double translation, double rotation) {
  Matrix6 a;
  for (int i = 0; i < 6; ++i)
    for (int j = 0; j < 6; ++j) a(i, j) = random.between(-1, 1);
  Vector6 d;
  d << Vector3::Constant(std::sqrt(translation)), Vector3::Constant(std::sqrt(rotation));
  const Matrix6 k = d.asDiagonal() * (0.2 * a * a.transpose() + Matrix6::Identity()) * d.asDiagonal();
  return 0.5 * (k + k.transpose());
}

/// Three bones (the lowest held), two sides of screws, locks and contoured rods. The numbers drawn do not depend on the
/// options, so that parts of one neck can be built alone.
inline System random_neck(std::uint64_t start, const RandomNeckOptions& options) {
  reference::Random random(start);
  System s;
  std::vector<BodyId> bones;
  for (int i = 0; i < 3; ++i) bones.push_back(add_bone(s, Vector3(0, 0, 18.0 * i) + random.vector(2.0), i == 0));
  for (int i = 0; i < 2; ++i)
    s.neighbours.push_back({bones[static_cast<std::size_t>(i) + 1], bones[static_cast<std::size_t>(i)]});
  for (std::size_t i = 0; i < 2; ++i) {
    const Matrix3 frame = random.frame();
    const Matrix6 k = random_spring(random, 200.0, 5e4);
    const Vector3 point = Vector3(5, 0, 18.0 * static_cast<double>(i) + 9.0) + random.vector(2.0);
    if (options.joints) s.cushions.push_back({bones[i], bones[i + 1], point, frame, k, {}});
  }
  BodyId link_end[2];
  std::vector<BodyId> rod_nodes;
  for (int side = 0; side < 2; ++side) {
    const bool wanted = side == 0 ? options.left : options.right;
    const double y = side == 0 ? 14.0 : -14.0;
    System part = s;  // built aside, so that an unwanted side still draws its numbers
    const mesh::Section rod = reference::circle(random.between(3.2, 5.5), 110e3, 0.34);
    const mesh::Section screw = reference::circle(random.between(2.5, 4.0), 110e3, 0.34);
    BodyId previous_rod{};
    for (int level = 0; level < 3; ++level) {
      const BodyId bone = bones[static_cast<std::size_t>(level)];
      const Vector3 entry = Vector3(-8, y, 18.0 * level) + random.vector(2.0);
      const Matrix3 frame = frame_along(Vector3(1, 0, 0) + random.vector(0.4), {0, 0, 1}, random.between(-3, 3));
      const BodyId head = add_body(part, entry, false);
      BodyId previous = head;
      double depth = 0.0;
      for (int layer = 0; layer < 2; ++layer) {
        const double length = random.between(1.0, 7.0);
        depth += length;
        const BodyId next = add_body(part, entry + depth * frame.col(0), false);
        mesh::Beam& beam = add_beam(part, previous, next, screw, frame);
        beam.bone = bone;
        beam.foundation = {.lateral_MPa = std::pow(10.0, random.between(1, 3.5)),
                           .axial_MPa = std::pow(10.0, random.between(1, 3.5)),
                           .torsional_N = std::pow(10.0, random.between(2, 4.5))};
        previous = next;
      }
      const BodyId rod_node = add_body(part, entry - 6.0 * frame.col(0) + random.vector(1.0), false);
      rod_nodes.push_back(rod_node);
      const Matrix3 lock_frame = random.frame();
      part.cushions.push_back({head, rod_node, entry - 3.0 * frame.col(0), lock_frame, random_spring(random, 5e3, 1e5), {}});
      if (level > 0) {
        const Vector3 from = mesh::body(part, previous_rod).position_mm, to = mesh::body(part, rod_node).position_mm;
        const int pieces = random.whole(1, 4);
        BodyId at = previous_rod;
        for (int i = 1; i <= pieces; ++i) {
          const Vector3 bulge = random.vector(1.0);
          const BodyId next =
              i == pieces ? rod_node : add_body(part, from + (to - from) * (static_cast<double>(i) / pieces) + bulge, false);
          add_beam(part, at, next, rod);
          if (level == 1 && i == 1) link_end[side] = next;
          at = next;
        }
      }
      previous_rod = rod_node;
    }
    if (wanted) s = part;
  }
  if (options.cross_link) add_beam(s, link_end[0], link_end[1], reference::rod_35());
  if (!options.one_sided) return s;

  const auto on = [&](BodyId b) { return mesh::Attachment{b, mesh::body(s, b).position_mm + random.vector(12.0)}; };
  for (int i = 0; i < 5; ++i) {
    mesh::Strand strand;
    strand.path = {on(bones[0]), on(bones[static_cast<std::size_t>(random.whole(1, 2))])};
    if (i == 0) strand.path.push_back(on(bones[static_cast<std::size_t>(strand.path[1].body.value == 1 ? 2 : 1)]));
    if (i == 1 && options.left) {
      const BodyId metal = rod_nodes[1];
      s.bodies[static_cast<std::size_t>(metal.value)].port = true;
      strand.path.back() = {metal, mesh::body(s, metal).position_mm + Vector3(0, 3, 0)};
    }
    strand.law = mesh::ToeLinear{
        .slack = random.between(-0.1, 0.1), .toe = random.coin() ? 0.0 : 0.2, .stiffness = random.between(20, 300)};
    s.strands.push_back(strand);
  }
  for (int i = 0; i < 4; ++i) {
    mesh::Pad pad;
    pad.a = on(bones[static_cast<std::size_t>(random.whole(1, 2))]);
    pad.b = bones[pad.a.body.value == 1 ? 2 : 1];
    if (i == 0 && options.right) {
      const BodyId metal = rod_nodes.back();
      s.bodies[static_cast<std::size_t>(metal.value)].port = true;
      pad.a = {metal, mesh::body(s, metal).position_mm + Vector3(1, 0, 0)};
      pad.b = bones[1];
    }
    pad.vertex_mm = pad.a.point_mm;
    pad.global_from_surface = random.frame();
    pad.law = mesh::ToeLinear{.slack = random.between(-0.05, 0.05), .toe = 0.0, .stiffness = random.between(100, 2000)};
    s.pads.push_back(pad);
  }
  mesh::Ring ring;
  ring.dens = bones[1];
  ring.ring = bones[2];
  ring.axis_point_mm = {3, 0, 30};
  ring.arch = {.slack = 0.02, .toe = 0.0, .stiffness = 500.0};
  ring.ligament = {.slack = 0.0, .toe = 0.1, .stiffness = 200.0};
  ring.ligament_gain = 1.2;
  s.rings.push_back(ring);
  mesh::AxisCushion axes{.a = bones[1], .b = bones[2], .point_mm = {4, 1, 27}, .global_from_cushion = random.frame()};
  for (std::size_t i = 0; i < 6; ++i) {
    const double scale = i < 3 ? 1.0 : 400.0;
    mesh::Polygon p;
    p.count = 3;
    p.at = {-0.02, 0.0, 0.03};
    p.value = {-4.0 * scale, 0.0, 3.0 * scale};
    p.slope_below = 500.0 * scale;
    p.slope_above = 90.0 * scale;
    axes.laws[i] = p;
  }
  s.axis_cushions.push_back(axes);
  return s;
}

struct Condensed {
  std::vector<core::CondensedComponent> parts{};
  core::ReducedModel model{};
};
inline Condensed condensed(const System& s) {
  Condensed c;
  for (const mesh::Component& component : mesh::find_components(s)) {
    core::CondenseOutcome outcome = core::condense(s, component);
    REQUIRE(outcome.regular);
    c.parts.push_back(std::move(outcome.component));
  }
  c.model = core::reduce(s, c.parts);
  return c;
}
inline Vector6 of_body(const core::ReducedModel& model, const Eigen::VectorXd& q, BodyId b) {
  const int first = model.first_dof[static_cast<std::size_t>(b.value)];
  return first < 0 ? Vector6(Vector6::Zero()) : Vector6(q.segment<6>(first));
}
/// Norm with rotations scaled by 20 mm.
inline double scaled_norm(Vector6 v) {
  v.tail<3>() *= core::kRotationScale_mm;
  return v.norm();
}

/// Every place and direction turned by a rotation and moved: the same neck seen from another frame.
inline System moved(System s, const Matrix3& turn, const Vector3& shift) {
  const auto place = [&](Vector3& p) { p = turn * p + shift; };
  for (mesh::Body& b : s.bodies) place(b.position_mm);
  for (mesh::Beam& b : s.beams) b.global_from_beam = turn * b.global_from_beam;
  for (mesh::Cushion& c : s.cushions) place(c.point_mm), c.global_from_cushion = turn * c.global_from_cushion;
  for (mesh::AxisCushion& c : s.axis_cushions) place(c.point_mm), c.global_from_cushion = turn * c.global_from_cushion;
  for (mesh::Strand& t : s.strands)
    for (mesh::Attachment& a : t.path) place(a.point_mm);
  for (mesh::Pad& p : s.pads) place(p.a.point_mm), place(p.vertex_mm), p.global_from_surface = turn * p.global_from_surface;
  for (mesh::Ring& r : s.rings) place(r.axis_point_mm), r.axis = turn * r.axis, r.anterior = turn * r.anterior;
  return s;
}

inline mesh::ScalarLaw reversed(const mesh::ScalarLaw& law) {
  const auto* p = std::get_if<mesh::Polygon>(&law);
  REQUIRE(p != nullptr);
  mesh::Polygon r = *p;
  for (int i = 0; i < p->count; ++i) {
    const auto to = static_cast<std::size_t>(i), from = static_cast<std::size_t>(p->count - 1 - i);
    r.at[to] = -p->at[from];
    r.value[to] = -p->value[from];
  }
  std::swap(r.slope_below, r.slope_above);
  return r;
}
/// Mirror image in the sagittal plane (y -> -y). Frames stay right-handed: one of their columns turns round, and what it
/// carries with it. A translation v goes to M v, a rotation w to -M w.
inline System mirrored(System s) {
  const Vector3 m(1, -1, 1);
  const auto mirror = [&](Vector3& p) { p = m.cwiseProduct(p); };
  const auto frame = [&](Matrix3& f, const Vector3& d) { f = m.asDiagonal() * f * d.asDiagonal(); };
  const Vector3 d(1, -1, 1);
  Vector6 sign;
  sign << d, -d;
  for (mesh::Body& b : s.bodies) mirror(b.position_mm);
  for (mesh::Beam& b : s.beams) frame(b.global_from_beam, d);
  for (mesh::Cushion& c : s.cushions) {
    mirror(c.point_mm);
    frame(c.global_from_cushion, d);
    c.stiffness = sign.asDiagonal() * c.stiffness * sign.asDiagonal();
  }
  for (mesh::AxisCushion& c : s.axis_cushions) {
    mirror(c.point_mm);
    frame(c.global_from_cushion, d);
    for (int i = 0; i < 6; ++i)
      if (sign(i) < 0) c.laws[static_cast<std::size_t>(i)] = reversed(c.laws[static_cast<std::size_t>(i)]);
  }
  for (mesh::Strand& t : s.strands)
    for (mesh::Attachment& a : t.path) mirror(a.point_mm);
  for (mesh::Pad& p : s.pads) mirror(p.a.point_mm), mirror(p.vertex_mm), frame(p.global_from_surface, d);
  for (mesh::Ring& r : s.rings) {
    mirror(r.axis_point_mm);
    mirror(r.anterior);
    mirror(r.axis);
  }
  return s;
}

}  // namespace opisthion::verification
