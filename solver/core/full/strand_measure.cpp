// SPDX-License-Identifier: MIT
// Length of a strand in finite geometry.
#include <algorithm>

#include "solver/core/full/relative_point.hpp"

namespace opisthion::core::full {
namespace {

constexpr double kSquare = 0.5;  // as in prestress.cpp: a leg along the way it could slide on has no place square to it
constexpr double kNoLength_mm = 1e-9;  // shorter is rounding: a segment without a direction

std::size_t at_index(int i) {
  return static_cast<std::size_t>(i);
}

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

/// To the bit what the sum of `add_plain` gives, each point placed once.
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

/// Length of a segment of which one end slides: as seen from the other end's body, with the motion along the ways taken out.
double add_sliding(const StrandGeometry& strand, std::size_t segment, std::span<const StrandGeometry::Slide> slides,
                   std::span<const Pose> poses, Order order, Measure& out) {
  const bool at_end = slides.front().at_end;
  const StrandGeometry::Point& metal = strand.points[at_end ? segment + 1 : segment];
  const StrandGeometry::Point& bone = strand.points[at_end ? segment : segment + 1];
  const Pose& seen_by = pose_of(poses, strand.bodies[at_index(bone.body)]);
  const RelativePoint at = relative_point(pose_of(poses, strand.bodies[at_index(metal.body)]), metal.arm_mm, seen_by);
  const Vector3 y = seen_by.rotation.transpose() * at.arm_b_mm;
  Vector3 leg = y - bone.arm_mm;
  for (const StrandGeometry::Slide& slide : slides) leg -= slide.direction * (slide.direction.dot(y) - slide.at_mm);
  const double length = leg.norm();
  if (order == Order::value || !(length > kNoLength_mm)) return length;
  // |P y + constant| with the projector P = I - sum d d^T. The leg stays square to every d, as it was made in the reference
  // pose, so n = leg/L and B = (P - n n^T)/L.
  const Vector3 n = leg / length;
  Matrix3 across = Matrix3::Identity();
  for (const StrandGeometry::Slide& slide : slides) across -= slide.direction * slide.direction.transpose();
  const Matrix3 bend = (across - n * n.transpose()) / length;
  add_derivatives(at, seen_by.rotation * n, seen_by.rotation * bend * seen_by.rotation.transpose(), metal.body, bone.body,
                  order, out);
  return length;
}

double add_plain(const StrandGeometry& strand, std::size_t segment, std::span<const Pose> poses, Order order, Measure& out) {
  const StrandGeometry::Point& from = strand.points[segment];
  const StrandGeometry::Point& to = strand.points[segment + 1];
  const Pose& seen_by = pose_of(poses, strand.bodies[at_index(from.body)]);
  const Pose& other = pose_of(poses, strand.bodies[at_index(to.body)]);
  const RelativePoint at = relative_point(other, to.arm_mm, seen_by);
  const Vector3 leg = (other.position_mm + at.arm_a_mm) - (seen_by.position_mm + seen_by.rotation * from.arm_mm);
  const double length = leg.norm();
  if (order == Order::value || from.body == to.body || !(length > kNoLength_mm)) return length;
  const Vector3 n = leg / length;
  const Matrix3 bend = (Matrix3::Identity() - n * n.transpose()) / length;
  add_derivatives(at, n, bend, to.body, from.body, order, out);
  return length;
}

}  // namespace

StrandGeometry strand_geometry(const mesh::System& system, int strand) {
  const std::vector<mesh::Attachment>& path = system.strands[at_index(strand)].path;
  assert(path.size() >= 2);
  StrandGeometry out;
  for (const mesh::Attachment& at : path)
    out.points.push_back({place_of(out, at.body), at.point_mm - mesh::body(system, at.body).position_mm});
  const std::vector<SlidesAlong> slides = slides_of(system, strand);
  for (std::size_t i = 0; i + 1 < path.size(); ++i)
    add_slides(system, slides, path[i], path[i + 1], static_cast<int>(i), out);
  Measure at_rest;
  measure(out, reference_poses(system), Order::value, at_rest);
  out.reference_length_mm = at_rest.value;
  return out;
}

void measure(const StrandGeometry& strand, std::span<const Pose> poses, Order order, Measure& out) {
  out.bodies = strand.bodies;
  if (order == Order::value && strand.slides.empty()) {
    out.value = plain_length(strand, poses) - strand.reference_length_mm;
    return;
  }
  clear_derivatives(order, out);
  const std::span<const StrandGeometry::Slide> all(strand.slides);
  std::size_t next = 0;  // slides stand in the order of segments
  double sum = 0.0;
  for (std::size_t i = 0; i + 1 < strand.points.size(); ++i) {
    std::size_t end = next;
    while (end < all.size() && at_index(all[end].segment) == i) ++end;
    sum += end > next ? add_sliding(strand, i, all.subspan(next, end - next), poses, order, out)
                      : add_plain(strand, i, poses, order, out);
    next = end;
  }
  out.value = sum - strand.reference_length_mm;
}

}  // namespace opisthion::core::full
