// SPDX-License-Identifier: MIT
// Length of a strand in finite geometry.
#include <algorithm>
#include <utility>

#include "solver/core/at_index.hpp"
#include "solver/core/full/point_measure.hpp"
#include "solver/core/full/three_by_three.hpp"

namespace opisthion::core::full {
namespace {

constexpr double kSquare = 0.5;  // as in prestress.cpp: a leg along the way it could slide on has no place square to it
constexpr double kNoLength_mm = 1e-9;  // shorter is rounding: a segment without a direction

int place_of(StrandGeometry& strand, BodyId id) {
  const auto at = std::find(strand.bodies.begin(), strand.bodies.end(), id);
  const auto place = static_cast<int>(at - strand.bodies.begin());
  if (at == strand.bodies.end()) strand.bodies.push_back(id);
  return place;
}

/// The slides of one segment. Where several stand at one end they are made square to each other, so that what they span is
/// taken out once; where both ends could slide the first end in the list does.
void add_slides(const mesh::System& system, const std::vector<SlidesAlong>& all, const mesh::Attachment& from,
                const mesh::Attachment& to, int segment, StrandGeometry& out) {
  const Vector3 along = to.point_mm - from.point_mm;
  const double length = along.norm();
  if (!(length > kNoLength_mm) || from.body == to.body) return;
  const Vector3 n = along / length;
  const std::size_t first = out.slides.size();
  for (const SlidesAlong& slide : all) {
    if (slide.body != from.body && slide.body != to.body) continue;
    const bool at_end = slide.body == to.body;
    if (out.slides.size() > first && out.slides[first].at_end != at_end) continue;
    Vector3 way = slide.direction - slide.direction.dot(n) * n;
    for (std::size_t i = first; i < out.slides.size(); ++i)
      way -= way.dot(out.slides[i].direction) * out.slides[i].direction;
    if (way.norm() < kSquare) continue;
    const Vector3 d = way.normalized();
    const mesh::Attachment& metal = at_end ? to : from;
    const BodyId bone = at_end ? from.body : to.body;
    out.slides.push_back({segment, at_end, d, d.dot(metal.point_mm - mesh::body(system, bone).position_mm)});
  }
}

void add_leg(const mesh::System& system, const std::vector<SlidesAlong>& all, const mesh::Attachment& from,
             const mesh::Attachment& to, int segment, StrandGeometry& out) {
  const auto first = static_cast<int>(out.slides.size());
  add_slides(system, all, from, to, segment, out);
  StrandGeometry::Leg leg{.from = segment,
                          .to = segment + 1,
                          .a = to.body,
                          .b = from.body,
                          .first_slide = first,
                          .slides = static_cast<int>(out.slides.size()) - first};
  if (leg.slides > 0 && !out.slides.back().at_end) {
    std::swap(leg.from, leg.to);
    std::swap(leg.a, leg.b);
  }
  out.legs.push_back(leg);
}

/// To the bit what the sum of the plain legs gives, each point placed once.
double plain_length(const StrandGeometry& strand, std::span<const Pose> poses) {
  const auto point = [&](const StrandGeometry::Point& at) -> Vector3 {
    const Pose& pose = pose_of(poses, strand.bodies[at_index(at.body)]);
    return pose.position_mm + pose.rotation * at.arm_mm;
  };
  double sum = 0.0;
  Vector3 before = point(strand.points.front());
  for (std::size_t i = 1; i < strand.points.size(); ++i) {
    const Vector3 here = point(strand.points[i]);
    sum += (here - before).norm();
    before = here;
  }
  return sum;
}

const Pose& pose_at(const StrandGeometry& strand, const StrandGeometry::Point& point, std::span<const Pose> poses) {
  return pose_of(poses, strand.bodies[at_index(point.body)]);
}

/// Length of a segment of which one end slides: as seen from the other end's body, with the motion along the ways taken out.
PointMeasure sliding(const StrandGeometry& strand, const StrandGeometry::Leg& leg, std::span<const Pose> poses,
                     Order order) {
  const StrandGeometry::Point& metal = strand.points[at_index(leg.to)];
  const StrandGeometry::Point& bone = strand.points[at_index(leg.from)];
  const std::span<const StrandGeometry::Slide> slides =
      std::span(strand.slides).subspan(at_index(leg.first_slide), at_index(leg.slides));
  const Pose& seen_by = pose_at(strand, bone, poses);
  PointMeasure out;
  out.at = relative_point(pose_at(strand, metal, poses), metal.arm_mm, seen_by);
  const Vector3 y = seen_by.rotation.transpose() * out.at.arm_b_mm;
  Vector3 way = y - bone.arm_mm;
  for (const StrandGeometry::Slide& slide : slides) way -= slide.direction * (slide.direction.dot(y) - slide.at_mm);
  out.value = way.norm();
  if (order == Order::value || !(out.value > kNoLength_mm)) return out;
  out.moves = true;
  // |P y + constant| with the projector P = I - sum d d^T. The leg stays square to every d, as it was made in the reference
  // pose, so n = leg/L and B = (P - n n^T)/L.
  const Vector3 n = way / out.value;
  out.slope = seen_by.rotation * n;
  if (order != Order::hessian) return out;
  Matrix3 across = Matrix3::Identity();
  for (const StrandGeometry::Slide& slide : slides) across -= slide.direction * slide.direction.transpose();
  out.bend = seen_by.rotation * ((across - n * n.transpose()) / out.value) * seen_by.rotation.transpose();
  return out;
}

PointMeasure plain(const StrandGeometry& strand, const StrandGeometry::Leg& leg, std::span<const Pose> poses, Order order,
                   double acts_from) {
  const StrandGeometry::Point& from = strand.points[at_index(leg.from)];
  const StrandGeometry::Point& to = strand.points[at_index(leg.to)];
  const Pose& seen_by = pose_at(strand, from, poses);
  const Pose& other = pose_at(strand, to, poses);
  PointMeasure out;
  out.at.arm_a_mm = product(other.rotation, to.arm_mm);
  const Vector3 end = other.position_mm + out.at.arm_a_mm;
  const Vector3 way = end - (seen_by.position_mm + product(seen_by.rotation, from.arm_mm));
  const double squared = way.squaredNorm();
  if (acts_from > 0.0 && squared < acts_from * acts_from) {  // a root and a quotient take as long as all else here
    out.value = kAlways;
    return out;
  }
  out.value = std::sqrt(squared);
  if (order == Order::value || leg.a == leg.b || !(out.value > kNoLength_mm)) return out;
  out.moves = true;
  out.at.arm_b_mm = end - seen_by.position_mm;
  out.slope = way / out.value;
  if (order != Order::hessian) return out;
  out.bend.setZero();
  add_to_diagonal(1.0 / out.value, out.bend);
  add_outer(-out.slope / out.value, out.slope, out.bend);
  return out;
}

}  // namespace

StrandGeometry strand_geometry(const mesh::System& system, int strand) {
  const std::vector<mesh::Attachment>& path = system.strands[at_index(strand)].path;
  assert(path.size() >= 2);
  StrandGeometry out;
  for (const mesh::Attachment& at : path)
    out.points.push_back({place_of(out, at.body), at.point_mm - mesh::body(system, at.body).position_mm});
  const std::vector<SlidesAlong> slides = slides_of(system, strand);
  for (std::size_t i = 0; i + 1 < path.size(); ++i) add_leg(system, slides, path[i], path[i + 1], static_cast<int>(i), out);
  Measure at_rest;
  measure(out, reference_poses(system), Order::value, at_rest);
  out.reference_length_mm = at_rest.value;
  return out;
}

PointMeasure point_measure(const StrandGeometry& strand, int leg, std::span<const Pose> poses, Order order,
                           double acts_from) {
  const StrandGeometry::Leg& which = strand.legs[at_index(leg)];
  return which.slides > 0 ? sliding(strand, which, poses, order) : plain(strand, which, poses, order, acts_from);
}

void measure(const StrandGeometry& strand, std::span<const Pose> poses, Order order, Measure& out) {
  out.bodies = strand.bodies;
  if (order == Order::value && strand.slides.empty()) {
    out.value = plain_length(strand, poses) - strand.reference_length_mm;
    return;
  }
  clear_derivatives(order, out);
  double sum = 0.0;
  for (std::size_t i = 0; i < strand.legs.size(); ++i) {
    const PointMeasure leg = point_measure(strand, static_cast<int>(i), poses, order);
    sum += leg.value;
    if (leg.moves)
      add_derivatives(leg.at, leg.slope, leg.bend, strand.points[at_index(strand.legs[i].to)].body,
                      strand.points[at_index(strand.legs[i].from)].body, order, out);
  }
  out.value = sum - strand.reference_length_mm;
}

}  // namespace opisthion::core::full
