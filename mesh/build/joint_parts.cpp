// SPDX-License-Identifier: MIT
#include "mesh/build/joint_parts.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cassert>
#include <cmath>

#include "mesh/build/frames.hpp"
#include "mesh/build/law_change.hpp"

namespace opisthion::mesh {

namespace {

double tuned_slack(double slack_mm, const JointTuning& tuned) {
  return tuned.closed ? std::min(slack_mm, 0.0) : slack_mm;
}

/// A measured curve as a monotone polygon: nothing below its first point, its last slope beyond its end.
Polygon polygon(const std::vector<std::pair<double, double>>& curve, double factor, double slack_mm) {
  assert(curve.size() >= 2 && curve.size() <= static_cast<std::size_t>(Polygon::kMost));
  Polygon p;
  p.count = static_cast<int>(curve.size());
  for (std::size_t i = 0; i < curve.size(); ++i) {
    p.at[i] = slack_mm + curve[i].first;
    p.value[i] = factor * curve[i].second;
  }
  const std::size_t last = curve.size() - 1;
  p.slope_above = (p.value[last] - p.value[last - 1]) / (p.at[last] - p.at[last - 1]);
  return p;
}

/// Half the pads' distance as a share of the size: 1/(2 sqrt 3) gives the second moment of a uniform bed.
const double kPadStation = 0.5 / std::sqrt(3.0);

/// What is left of a stretch of a surface, from `start` to `end` of the way from its medial to its lateral edge, once it is
/// gone from the medial edge on but for a share.
double left_of(double start, double end, double share) {
  return std::clamp((end - (1.0 - share)) / (end - start), 0.0, 1.0);
}

/// 1 where the coronal tangent points to the patient's middle, -1 where away from it.
double medial_way(const Facing& face) {
  return face.centre_mm.y() * face.frame(1, 1) > 0.0 ? -1.0 : 1.0;
}

}  // namespace

JointTuning tuning(const Assembly& assembly, models::JointId joint) {
  if (assembly.neck().state(joint) != models::JointState::stiff) return {};
  return {.factor = assembly.number().scalar("joint.stiff.factor"), .closed = true};
}

ScalarLaw ligament_law(const models::ParameterReader& number, const std::string& stem, double share,
                       const JointTuning& tuned) {
  const double slack = tuned_slack(number.scalar(stem + ".slack"), tuned);
  if (number.has(stem + ".curve")) return polygon(number.curve(stem + ".curve"), share * tuned.factor, slack);
  return ToeLinear{.slack = slack,
                   .toe = number.scalar(stem + ".toe"),
                   .stiffness = share * tuned.factor * number.scalar(stem + ".stiffness")};
}

ScalarLaw with_slack(const ScalarLaw& law, double slack_mm, const JointTuning& tuned) {
  ToeLinear moved = std::get<ToeLinear>(law);
  moved.slack = tuned_slack(slack_mm, tuned);
  return moved;
}

ToeLinear contact_law(double gap_mm, double stiffness_N_per_mm, const JointTuning& tuned) {
  return {.slack = tuned_slack(gap_mm, tuned), .toe = 0.0, .stiffness = tuned.factor * stiffness_N_per_mm};
}

void add_midline_ligament(Assembly& assembly, const std::string& name, const Attachment& upper, const Attachment& lower,
                          double half_width_mm, const std::string& stem, double share, const JointTuning& tuned) {
  const ItemId item = assembly.item(OriginKind::ligament, name);
  const bool wide = half_width_mm > 0.0;
  const ScalarLaw law = ligament_law(assembly.number(), stem, wide ? 0.5 * share : share, tuned);
  const auto add = [&](double y) {
    const Vector3 off = y * Vector3::UnitY();
    assembly.system().strands.push_back(
        {.path = {{upper.body, upper.point_mm + off}, {lower.body, lower.point_mm + off}}, .law = law, .item = item});
  };
  add(half_width_mm);
  if (wide) add(-half_width_mm);
}

Facing facing(std::string name, BodyId upper, BodyId lower, const Vector3& upper_centre, const Vector3& upper_normal,
              const Vector3& lower_centre, const Vector3& lower_normal, const Vector3& forward, double length_mm,
              double width_mm) {
  Facing face;
  face.name = std::move(name);
  face.upper = upper;
  face.lower = lower;
  face.centre_mm = 0.5 * (upper_centre + lower_centre);
  face.frame = surface_frame(forward, lower_normal.normalized() - upper_normal.normalized());
  face.half_length_mm = 0.5 * length_mm;
  face.half_width_mm = 0.5 * width_mm;
  return face;
}

void add_pads(Assembly& assembly, const Facing& face, double curvature_sagittal_per_mm, double curvature_coronal_per_mm,
              double gap_mm, double stiffness_N_per_mm, const JointTuning& tuned, const SurfaceState& state) {
  if (state.share <= 0.0) return;
  const ItemId item = assembly.item(OriginKind::contact, face.name);
  const double x = 2.0 * kPadStation * face.half_length_mm;
  const double y = 2.0 * kPadStation * face.half_width_mm;
  for (const double at_x : {x, -x})
    for (const double at_y : {y, -y}) {
      const bool medial = at_y * medial_way(face) > 0.0;
      const double share = medial ? left_of(0.0, 0.5, state.share) : left_of(0.5, 1.0, state.share);
      if (share <= 0.0) continue;
      const double height = 0.5 * (curvature_sagittal_per_mm * at_x * at_x + curvature_coronal_per_mm * at_y * at_y);
      const Vector3 point = face.centre_mm + face.frame * Vector3(at_x, at_y, height);
      assembly.system().pads.push_back(
          {.a = {face.upper, point},
           .b = face.lower,
           .vertex_mm = face.centre_mm,
           .global_from_surface = face.frame,
           .curvature_sagittal_per_mm = curvature_sagittal_per_mm,
           .curvature_coronal_per_mm = curvature_coronal_per_mm,
           .law = moved(contact_law(gap_mm, share * (0.25 * stiffness_N_per_mm), tuned), state.widened_mm),
           .item = item});
    }
}

std::vector<Fibre> capsule_fibres(const Facing& face, double length_mm, double cross_mm) {
  const Vector3 normal = face.frame.col(2);
  const Vector3 sagittal = face.frame.col(0);
  const Vector3 coronal = face.frame.col(1);
  struct FibrePlace {
    Vector3 at;
    Vector3 along_rim;
    double coronal;
  };
  const std::array<FibrePlace, 4> stations{{{face.half_length_mm * sagittal, coronal, 0.0},
                                            {-face.half_length_mm * sagittal, coronal, 0.0},
                                            {face.half_width_mm * coronal, sagittal, 1.0},
                                            {-face.half_width_mm * coronal, sagittal, -1.0}}};
  std::vector<Fibre> fibres;
  for (const FibrePlace& s : stations)
    for (const double way : {1.0, -1.0}) {
      const Vector3 middle = face.centre_mm + s.at;
      const Vector3 half = 0.5 * length_mm * normal + way * cross_mm * s.along_rim;
      fibres.push_back({{face.upper, middle + half}, {face.lower, middle - half}, s.coronal});
    }
  return fibres;
}

double elongation_by_turning(const Fibre& fibre, const Vector3& axis_point_mm, const Vector3& axis, double angle_rad) {
  const Vector3 turned =
      axis_point_mm + Eigen::AngleAxisd(angle_rad, axis.normalized()) * (fibre.upper.point_mm - axis_point_mm);
  return (turned - fibre.lower.point_mm).norm() - (fibre.upper.point_mm - fibre.lower.point_mm).norm();
}

void add_capsule(Assembly& assembly, const Facing& face, const std::string& joint_id, const std::string& stem, double share,
                 const JointTuning& tuned, const SurfaceState& state) {
  if (state.share <= 0.0) return;
  const models::ParameterReader& number = assembly.number();
  const std::vector<Fibre> fibres =
      capsule_fibres(face, number.scalar(joint_id + ".capsule.length"), number.scalar(joint_id + ".capsule.cross"));
  const ItemId item = assembly.item(OriginKind::ligament, "capsule of the " + face.name);
  const ScalarLaw law = ligament_law(number, stem, share / static_cast<double>(fibres.size()), tuned);
  const bool by_angle = number.has(stem + ".slack_rotation");
  for (const Fibre& fibre : fibres) {
    const double at = fibre.coronal * medial_way(face);
    const double left = at > 0.0   ? left_of(0.0, 0.25, state.share)
                        : at < 0.0 ? left_of(0.75, 1.0, state.share)
                                   : left_of(0.25, 0.75, state.share);
    if (left <= 0.0) continue;
    ScalarLaw own = law;
    if (by_angle) {
      // The library knows the rotation at which this capsule starts to pull; each fibre's slack follows from where it runs.
      const double angle = number.scalar(stem + ".slack_rotation");
      const Vector3 axis_point = assembly.point(models::Level::C2, "dens_base_centre");
      const Vector3 axis = assembly.point(models::Level::C2, "dens_tip") - axis_point;
      const double slack = std::max(elongation_by_turning(fibre, axis_point, axis, angle),
                                    elongation_by_turning(fibre, axis_point, axis, -angle));
      own = with_slack(law, slack, tuned);
    }
    assembly.system().strands.push_back(
        {.path = {fibre.upper, fibre.lower}, .law = moved(scaled(own, left), state.widened_mm), .item = item});
  }
}

}  // namespace opisthion::mesh
