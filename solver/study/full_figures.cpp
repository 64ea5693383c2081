// SPDX-License-Identifier: MIT
#include "solver/study/full_figures.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

#include "models/quantity/units.hpp"
#include "solver/study/figure.hpp"

namespace opisthion::study {
namespace {

using core::full::pose_of;
using core::full::Poses;
using mesh::Attachment;

constexpr double kGimbal = 1e-12;  // cosine of bending below which flexion and rotation turn about one axis

double plain(double value) {
  return std::abs(value) < kRounding ? 0.0 : value;
}
Eigen::Vector3d plain(const Eigen::Vector3d& v) {
  return v.unaryExpr([](double value) { return plain(value); });
}

Eigen::Matrix3d lower_from_upper(const Poses& poses, mesh::BodyId upper, mesh::BodyId lower) {
  return pose_of(poses, lower).rotation.transpose() * pose_of(poses, upper).rotation;
}

/// Where a point of the upper body is, in coordinates that ride on the lower body and are the global ones in the reference
/// pose.
Eigen::Vector3d on_lower(const mesh::Mesh& mesh, const Poses& poses, const Attachment& upper, mesh::BodyId lower) {
  const core::full::Pose& frame = pose_of(poses, lower);
  return mesh::body(mesh.system, lower).position_mm +
         frame.rotation.transpose() * (core::full::point_now(mesh.system, poses, upper) - frame.position_mm);
}

PoseFigures between(const mesh::Mesh& mesh, const Attachment& upper, mesh::BodyId lower, const Poses& now,
                    const Poses& neutral) {
  const Eigen::Matrix3d turned =
      lower_from_upper(now, upper.body, lower) * lower_from_upper(neutral, upper.body, lower).transpose();
  PoseFigures out;
  out.cardan_rad = plain(cardan_of(turned));
  out.vector_rad = plain(core::full::log_rotation(turned));
  out.point_at_neutral_mm = on_lower(mesh, neutral, upper, lower);
  out.translation_mm = plain(Eigen::Vector3d(on_lower(mesh, now, upper, lower) - out.point_at_neutral_mm));
  return out;
}

/// The named point of an upper body: that of a probe, else the body's reference point.
Attachment named_point(const mesh::Mesh& mesh, std::string_view probe, mesh::BodyId upper) {
  const int index = mesh.find_probe(probe);
  if (index >= 0) return mesh.probes[static_cast<std::size_t>(index)].moving;
  return {.body = upper, .point_mm = mesh::body(mesh.system, upper).position_mm};
}

std::optional<double> read(const mesh::Mesh& mesh, std::string_view probe, const Poses& poses) {
  const int index = mesh.find_probe(probe);
  if (index < 0) return std::nullopt;
  return probe_value(mesh, mesh.probes[static_cast<std::size_t>(index)], poses);
}

std::array<double, 3> in_degrees(const Eigen::Vector3d& rad) {
  return {models::to_deg(rad.x()), models::to_deg(rad.y()), models::to_deg(rad.z())};
}

}  // namespace

Eigen::Vector3d cardan_of(const Eigen::Matrix3d& rotation) {
  const double cosine = std::hypot(rotation(1, 0), rotation(1, 1));
  const double bending = std::atan2(-rotation(1, 2), cosine);
  if (cosine < kGimbal) return {std::atan2(-rotation(2, 0), rotation(0, 0)), bending, 0.0};
  return {std::atan2(rotation(0, 2), rotation(2, 2)), bending, std::atan2(rotation(1, 0), rotation(1, 1))};
}

double probe_value(const mesh::Mesh& mesh, const mesh::Probe& probe, const Poses& poses) {
  const Eigen::Matrix3d& base = pose_of(poses, probe.base.body).rotation;
  if (probe.kind == mesh::ProbeKind::rotation)
    return probe.value_at_reference +
           probe.axis.dot(core::full::log_rotation(lower_from_upper(poses, probe.moving.body, probe.base.body)));
  const Eigen::Vector3d apart =
      core::full::point_now(mesh.system, poses, probe.moving) - core::full::point_now(mesh.system, poses, probe.base);
  return probe.value_at_reference + probe.axis.dot(base.transpose() * apart - (probe.moving.point_mm - probe.base.point_mm));
}

double full_probe_change(const mesh::Mesh& mesh, std::string_view probe, const Poses& now, const Poses& neutral) {
  const auto at = read(mesh, probe, now);
  const auto before = read(mesh, probe, neutral);
  return at && before ? plain(*at - *before) : 0.0;
}

FullFigures read_full_figures(const mesh::Mesh& mesh, const Poses& now, const Poses& neutral) {
  FullFigures out;
  if (mesh.top.valid() && mesh.bottom.valid())
    out.overall = between(mesh, named_point(mesh, "overall/rotation/flexion", mesh.top), mesh.bottom, now, neutral);
  for (const mesh::JointProbes& joint : mesh.joints)
    out.joints.push_back(
        between(mesh, named_point(mesh, joint.name + "/translation/x", joint.upper), joint.lower, now, neutral));
  out.measures.atlas_dens_interval_mm = read(mesh, "atlas_dens_interval", now);
  if (mesh.find_probe("c1_slip") >= 0) out.measures.c1_slip_mm = full_probe_change(mesh, "c1_slip", now, neutral);
  for (const char* room : {"cord_room/arch_to_dens", "cord_room/arch_to_C2", "cord_room/dens_to_lamina"})
    if (const auto mm = read(mesh, room, now))
      out.measures.cord_room_mm = out.measures.cord_room_mm ? std::min(*out.measures.cord_room_mm, *mm) : *mm;
  return out;
}

double rotation_deg(const PoseFigures& figures, models::Motion motion) {
  const Eigen::Vector3d about(figures.cardan_rad[1], figures.cardan_rad[0], figures.cardan_rad[2]);  // x, y, z
  return models::to_deg(models::moment_axis(motion).dot(about));
}

Figures as_figures(const FullFigures& figures) {
  Figures out{.overall_rad = figures.overall.vector_rad, .joints = {}, .measures = figures.measures};
  for (const PoseFigures& joint : figures.joints)
    out.joints.push_back({.rotation_rad = joint.vector_rad, .translation_mm = joint.translation_mm});
  return out;
}

std::vector<JointMotion> joint_motions(const mesh::Mesh& mesh, const FullFigures& figures, models::Motion motion) {
  std::vector<JointMotion> out;
  for (std::size_t i = 0; i < figures.joints.size() && i < mesh.joints.size(); ++i) {
    const PoseFigures& joint = figures.joints[i];
    const Eigen::Vector3d p = named_point(mesh, mesh.joints[i].name + "/translation/x", mesh.joints[i].upper).point_mm;
    out.push_back({.joint = mesh.joints[i].name,
                   .rotation_deg = rotation_deg(joint, motion),
                   .rotations_deg = in_degrees(joint.cardan_rad),
                   .rotation_vector_deg = in_degrees(joint.vector_rad),
                   .translation_mm = {joint.translation_mm.x(), joint.translation_mm.y(), joint.translation_mm.z()},
                   .translation_point = "reference point of the upper body at (" + figure(p.x(), 1) + ", " +
                                        figure(p.y(), 1) + ", " + figure(p.z(), 1) + ") mm",
                   .floats = false});
  }
  return out;
}

}  // namespace opisthion::study
