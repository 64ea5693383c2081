// SPDX-License-Identifier: MIT
#include "mesh/build/tie.hpp"

#include <Eigen/Geometry>
#include <cassert>
#include <set>
#include <utility>

#include "mesh/build/frames.hpp"
#include "mesh/build/lamina.hpp"
#include "mesh/build/wired_rod.hpp"

namespace opisthion::mesh {

using models::Level;
using models::Side;
using models::TieKind;

namespace {

/// Points of a wire in order, upper bone first, in the middle of the loop.
struct Course {
  std::vector<Vector3> on_upper{};
  std::vector<Vector3> on_lower{};
  Vector3 sideways_upper = Vector3::UnitY();
  Vector3 sideways_lower = Vector3::UnitY();
  double half_width_mm = 0.0;
  /// The wire comes back to where it began: in the canal, or under the arch in front of the block.
  bool closed = false;
};

Course course_of(const Assembly& assembly, const models::Tie& tie) {
  const models::ParameterReader& number = assembly.number();
  Course course;
  switch (tie.kind) {
    case TieKind::midline_wire:
      // A doubled wire round the arch: its loop comes over the arch and down behind the block, its ends from under the arch,
      // in front; both end round the spinous process from below. The front legs lean forward, so they pull the arch back.
      course.on_upper = {midline_front(assembly, tie.upper), spinous_notch(assembly, tie.upper)};
      course.on_lower = {spinous_notch(assembly, tie.lower)};
      course.closed = true;
      course.half_width_mm = number.scalar("tie.midline_wire.half_width");
      break;
    case TieKind::spinous_wire:
      course.on_upper = {spinous_base(assembly, tie.upper)};
      course.on_lower = {spinous_notch(assembly, tie.lower)};
      course.half_width_mm = number.scalar("tie.spinous_wire.half_width");
      break;
    case TieKind::sublaminar_wire: {
      assert(tie.side && "the reader asks for the side");
      // The squama has no lamina to pass under: its rim stands in for it.
      const BonePatch lower = lamina(assembly, tie.lower, *tie.side);
      course.on_lower = {lower.back_mm(), lower.front_mm()};
      course.closed = true;
      course.sideways_lower = course.sideways_upper = lower.sideways;
      if (tie.upper == Level::C0) {
        course.on_upper = {midline_lower_edge(assembly, Level::C0) + (lower.middle_mm.y() * Vector3::UnitY())};
      } else {
        const BonePatch upper = lamina(assembly, tie.upper, *tie.side);
        course.on_upper = {upper.front_mm(), upper.back_mm()};
        course.sideways_upper = upper.sideways;
      }
      course.half_width_mm = number.scalar("tie.sublaminar_wire.half_width");
      break;
    }
    case TieKind::clamp:
      break;
  }
  return course;
}

double length_of(const Course& course) {
  std::vector<Vector3> points = course.on_upper;
  points.insert(points.end(), course.on_lower.begin(), course.on_lower.end());
  if (course.closed) points.push_back(points.front());
  double length = 0.0;
  for (std::size_t i = 1; i < points.size(); ++i) length += (points[i] - points[i - 1]).norm();
  return length;
}

void add_wire(Assembly& assembly, const models::Tie& tie) {
  const Course course = course_of(assembly, tie);
  const double diameter = given_or(tie.diameter_mm, assembly, "tie.wire_diameter");
  // A side of the loop bears on either bone through half of the bone that the loop sinks into: with its tension, or where it
  // comes back with twice that, and then what it sinks in counts twice along the wire as well.
  const double legs = course.closed ? 2.0 : 1.0;
  const double sinking = legs * legs * 2.0 * 2.0 / cut_in_stiffness(assembly);
  const double stiffness = strand_stiffness(assembly, diameter, length_of(course), sinking);
  for (const double side : {-1.0, 1.0}) {
    Strand strand;
    for (const Vector3& p : course.on_upper)
      strand.path.push_back({assembly.bone(tie.upper), p + side * course.half_width_mm * course.sideways_upper});
    for (const Vector3& p : course.on_lower)
      strand.path.push_back({assembly.bone(tie.lower), p + side * course.half_width_mm * course.sideways_lower});
    if (course.closed) strand.path.push_back(strand.path.front());
    strand.law = ToeLinear{.stiffness = stiffness};
    strand.tighten_N = given_or(tie.tension_N, assembly, "wire.tension");
    strand.item = assembly.item(OriginKind::wire, label_of(tie));
    assembly.system().strands.push_back(std::move(strand));
  }
}

}  // namespace

std::string label_of(const models::Tie& tie) {
  std::string label;
  if (tie.side && models::has_side(tie.kind)) label.append(name(*tie.side)).append(" ");
  return label.append(models::title(tie.kind)).append(" '").append(tie.name).append("'");
}

namespace {

/// A tie draws the backs together until bone meets bone: one contact on either side, after the gap between their edges.
void add_meeting_backs(Assembly& assembly, Level upper, Level lower) {
  const Vector3 above = midline_lower_edge(assembly, upper);
  const Vector3 below = midline_upper_edge(assembly, lower);
  const double beside = assembly.number().scalar("back.contact_half_width");
  const std::string label = std::string("back of ").append(name(upper)).append(" on back of ").append(name(lower));
  for (const double side : {-1.0, 1.0}) {
    const Vector3 aside = side * beside * Vector3::UnitY();
    assembly.system().pads.push_back(
        {.a = {assembly.bone(upper), above + aside},
         .b = assembly.bone(lower),
         .vertex_mm = below + aside,
         .global_from_surface = surface_frame(Vector3::UnitX(), above - below),
         .law = ToeLinear{.slack = (above - below).norm(), .stiffness = 0.5 * bearing_stiffness(assembly)},
         .item = assembly.item(OriginKind::contact, label)});
  }
}

}  // namespace

void add_ties(Assembly& assembly, const models::Construct& construct) {
  std::set<std::pair<Level, Level>> tied;
  for (const models::Tie& tie : construct.ties)
    if (tied.insert({tie.upper, tie.lower}).second) add_meeting_backs(assembly, tie.upper, tie.lower);
  for (const models::Tie& tie : construct.ties)
    tie.kind == TieKind::clamp ? add_clamp(assembly, tie) : add_wire(assembly, tie);
}

}  // namespace opisthion::mesh
