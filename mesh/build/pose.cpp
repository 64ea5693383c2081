// SPDX-License-Identifier: MIT
#include "mesh/build/pose.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include "mesh/build/frames.hpp"
#include "mesh/build/law_change.hpp"

namespace opisthion::mesh {

using Eigen::Isometry3d;
using models::Level;
using models::Side;

namespace {

struct BodyPose {
  Isometry3d rest = Isometry3d::Identity();
  Isometry3d built = Isometry3d::Identity();
};

/// Motion of b against a from rest to built, in library coordinates of a.
Isometry3d shift(const BodyPose& a, const BodyPose& b) {
  return (a.built.inverse() * b.built) * (a.rest.inverse() * b.rest).inverse();
}

/// Rotation vector of a rotation.
Vector3 rotation_vector(const Matrix3& rotation) {
  const Eigen::AngleAxisd turn(rotation);
  return turn.angle() * turn.axis();
}

class Mover {
 public:
  explicit Mover(Assembly& assembly, const NeckPose& pose) : system_(assembly.system()), poses_(system_.bodies.size()) {
    const models::Neck& neck = assembly.neck();
    for (int i = static_cast<int>(neck.upper); i <= static_cast<int>(neck.lower); ++i) {
      const auto level = static_cast<Level>(i);
      const BodyPose own{pose.rest[static_cast<std::size_t>(i)], pose.built[static_cast<std::size_t>(i)]};
      set(assembly.bone(level), own);
      for (const Side side : {Side::left, Side::right}) set(assembly.bone(level, side), own);
    }
    if (assembly.dens().valid() && assembly.dens() != assembly.bone(Level::C2))
      set(assembly.dens(), {pose.dens_rest, pose.dens_built});
  }

  void run() {
    for (Strand& strand : system_.strands) move(strand);
    for (Pad& pad : system_.pads) move(pad);
    for (Ring& ring : system_.rings) move(ring);
    for (AxisCushion& cushion : system_.axis_cushions) move(cushion);
    std::vector<Cushion> kept;
    for (Cushion& cushion : system_.cushions) move(cushion, kept);
    system_.cushions = std::move(kept);
    for (std::size_t i = 0; i < system_.bodies.size(); ++i)
      system_.bodies[i].position_mm = poses_[i].built * system_.bodies[i].position_mm;
  }

 private:
  void set(BodyId body, const BodyPose& pose) { poses_[static_cast<std::size_t>(body.value)] = pose; }
  const BodyPose& of(BodyId body) const { return poses_[static_cast<std::size_t>(body.value)]; }

  double length(const Strand& strand, Isometry3d BodyPose::*which) const {
    double sum = 0.0;
    for (std::size_t i = 0; i + 1 < strand.path.size(); ++i) {
      const Vector3 from = (of(strand.path[i].body).*which) * strand.path[i].point_mm;
      const Vector3 to = (of(strand.path[i + 1].body).*which) * strand.path[i + 1].point_mm;
      sum += (to - from).norm();
    }
    return sum;
  }

  void move(Strand& strand) const {
    strand.law = moved(strand.law, -(length(strand, &BodyPose::built) - length(strand, &BodyPose::rest)));
    for (Attachment& end : strand.path) end.point_mm = of(end.body).built * end.point_mm;
  }

  /// Distance of the pad's point from the surface, to first order.
  double distance(const Pad& pad, Isometry3d BodyPose::*which) const {
    const Vector3 on_b = (of(pad.b).*which).inverse() * ((of(pad.a.body).*which) * pad.a.point_mm);
    const Vector3 p = pad.global_from_surface.transpose() * (on_b - pad.vertex_mm);
    const double slope_x = pad.curvature_sagittal_per_mm * p.x();
    const double slope_y = pad.curvature_coronal_per_mm * p.y();
    const double height = p.z() - 0.5 * (slope_x * p.x() + slope_y * p.y());
    return height / std::sqrt(1.0 + slope_x * slope_x + slope_y * slope_y);
  }

  void move(Pad& pad) const {
    const double closed = distance(pad, &BodyPose::rest) - distance(pad, &BodyPose::built);
    pad.law = moved(pad.law, -closed);
    pad.a.point_mm = of(pad.a.body).built * pad.a.point_mm;
    pad.vertex_mm = of(pad.b).built * pad.vertex_mm;
    pad.global_from_surface = of(pad.b).built.linear() * pad.global_from_surface;
  }

  /// How far the dens has gone forward in the ring, against the library.
  double forward(const Ring& ring, Isometry3d BodyPose::*which) const {
    const Vector3 in_ring = (of(ring.ring).*which).inverse() * ((of(ring.dens).*which) * ring.axis_point_mm);
    return ring.anterior.dot(in_ring - ring.axis_point_mm);
  }

  void move(Ring& ring) const {
    const double rest = forward(ring, &BodyPose::rest);
    const double since = forward(ring, &BodyPose::built) - rest;
    ring.arch.slack = std::max(ring.arch.slack - rest, std::min(ring.arch.slack, 0.0)) - since;
    ring.ligament.slack += ring.ligament_gain * since;
    ring.axis_point_mm = of(ring.dens).built * ring.axis_point_mm;
    ring.axis = of(ring.dens).built.linear() * ring.axis;
    ring.anterior = across(of(ring.ring).built.linear() * ring.anterior, ring.axis);
  }

  /// Travel and turn of b against a from rest to built at the point where b is at rest, in the frame: translations first.
  Vector6 offset(BodyId a, BodyId b, const Vector3& point, const Matrix3& frame) const {
    const Isometry3d motion = shift(of(a), of(b));
    const Vector3 at_rest = of(a).rest.inverse() * (of(b).rest * point);
    Vector6 out;
    out << frame.transpose() * (motion * at_rest - at_rest), frame.transpose() * rotation_vector(motion.linear());
    return out;
  }

  Vector3 between(BodyId a, BodyId b, const Vector3& point) const {
    return 0.5 * (of(a).built * point + of(b).built * point);
  }

  void move(AxisCushion& cushion) const {
    const Vector6 by = offset(cushion.a, cushion.b, cushion.point_mm, cushion.global_from_cushion);
    for (std::size_t i = 0; i < 6; ++i) cushion.laws[i] = moved(cushion.laws[i], -by[static_cast<Eigen::Index>(i)]);
    cushion.point_mm = between(cushion.a, cushion.b, cushion.point_mm);
    cushion.global_from_cushion = of(cushion.a).built.linear() * cushion.global_from_cushion;
  }

  void move(Cushion& cushion, std::vector<Cushion>& kept) const {
    const Vector6 by = offset(cushion.a, cushion.b, cushion.point_mm, cushion.global_from_cushion);
    const Vector3 point = between(cushion.a, cushion.b, cushion.point_mm);
    const Matrix3 frame = of(cushion.a).built.linear() * cushion.global_from_cushion;
    // What rounding leaves of "nothing" is not an offset.
    constexpr double kNothing = 1e-9;
    if (by.lpNorm<Eigen::Infinity>() <= kNothing) {
      kept.push_back(cushion);
      kept.back().point_mm = point;
      kept.back().global_from_cushion = frame;
      return;
    }
    AxisCushion offset_one{
        .a = cushion.a, .b = cushion.b, .point_mm = point, .global_from_cushion = frame, .item = cushion.item};
    for (std::size_t i = 0; i < 6; ++i) {
      const auto axis = static_cast<Eigen::Index>(i);
      const double stiffness = cushion.stiffness(axis, axis);  // the neck's own cushions have nothing off the diagonal
      offset_one.laws[i] = moved(two_slopes(stiffness, stiffness), -by[axis]);
    }
    system_.axis_cushions.push_back(offset_one);
  }

  System& system_;
  std::vector<BodyPose> poses_;
};

}  // namespace

void apply_pose(Assembly& assembly) {
  std::optional<NeckPose> pose = neck_pose(assembly.neck(), assembly.number());
  if (!pose) return;
  Mover(assembly, *pose).run();
  assembly.set_pose(std::move(*pose));
}

}  // namespace opisthion::mesh
