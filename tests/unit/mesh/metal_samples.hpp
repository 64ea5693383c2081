// SPDX-License-Identifier: MIT
#pragma once
// Small constructs with one grip each, and what a system does under a given motion: for tests of the metal. Invented.
#include <Eigen/Core>
#include <catch2/catch.hpp>
#include <string>
#include <utility>
#include <vector>

#include "mesh/build/build.hpp"
#include "models/case/case.hpp"
#include "tests/support/example.hpp"
#include "tests/unit/mesh/samples.hpp"

namespace opisthion::tests {

/// The mesh, or a failed test that says why there is none.
inline mesh::Mesh built(const models::Case& c, const models::Construct& construct,
                        const models::ParameterTable& table = library()) {
  auto mesh = mesh::build(c, construct, table);
  if (!mesh)
    for (const mesh::BuildComplaint& complaint : mesh.error()) UNSCOPED_INFO(complaint.text);
  REQUIRE(mesh);
  return std::move(*mesh);
}
inline mesh::Mesh built(const std::pair<models::Case, models::Construct>& both) {
  return built(both.first, both.second);
}

/// Why there is no mesh; a failed test where there is one.
inline std::vector<mesh::BuildComplaint> complaints(const models::Case& c, const models::Construct& construct,
                                                    const models::ParameterTable& table = library()) {
  const auto mesh = mesh::build(c, construct, table);
  REQUIRE_FALSE(mesh);
  return mesh.error();
}

/// A neck of two levels, potted at the lower one.
inline models::Case two_levels(models::Level upper, models::Level lower) {
  models::Case c;
  c.neck.upper = upper;
  c.neck.lower = lower;
  c.bench.top = upper;
  c.bench.bottom = lower;
  return c;
}

inline models::Level next(models::Level level, int by) {
  return static_cast<models::Level>(static_cast<int>(level) + by);
}

/// The usual screw of a level below the skull, to hold the other end of a rod.
inline models::AnchorKind usual_screw(models::Level level) {
  if (level == models::Level::C1) return models::AnchorKind::lateral_mass;
  if (level == models::Level::C2) return models::AnchorKind::pars;
  return level < models::Level::C7 ? models::AnchorKind::lateral_mass : models::AnchorKind::pedicle;
}

/// One anchor of a kind on a side, and what it needs to hold a neighbouring level: nothing for a screw that crosses a joint,
/// a plate for the keel, else a rod to the usual screw of the level below (of T3: above).
inline std::pair<models::Case, models::Construct> minimal(const models::Anchor& grip) {
  using models::Level;
  models::Construct construct{.name = "minimal", .anchors = {grip}};
  if (models::crosses_a_joint(grip.kind)) {
    const Level other = models::ends_at(grip.kind, grip.level);
    return {two_levels(std::min(grip.level, other), std::max(grip.level, other)), construct};
  }
  const bool lowest = grip.level == Level::T3;
  const Level other = next(grip.level, lowest ? -1 : 1);
  const models::Anchor partner = anchor(usual_screw(other), other, grip.side);
  construct.anchors.push_back(partner);
  models::Through here{.anchor = grip.name};
  if (models::is_midline(grip.kind)) {
    construct.plates = {{.name = "keel", .through = {grip.name}}};
    here = {.plate = "keel"};
  }
  const models::Through there{.anchor = partner.name};
  // A plate's arm is on the side of the first anchor of the rod, wherever that stands.
  construct.rods = {{.name = "rod", .through = lowest ? std::vector{there, here} : std::vector{here, there}}};
  return {two_levels(lowest ? other : grip.level, lowest ? grip.level : other), construct};
}

/// Motion of every body, six unknowns each.
using Motions = std::vector<mesh::Vector6>;

/// All bodies move as one.
inline Motions rigid(const mesh::System& system, const mesh::Vector3& slide, const mesh::Vector3& turn) {
  Motions q;
  for (const mesh::Body& b : system.bodies) {
    mesh::Vector6 one;
    one << slide + turn.cross(b.position_mm), turn;
    q.push_back(one);
  }
  return q;
}

inline mesh::Vector3 travel(const mesh::System& system, const Motions& q, mesh::BodyId id, const mesh::Vector3& point) {
  const mesh::Vector6& motion = q[static_cast<std::size_t>(id.value)];
  const mesh::Vector3 arm = point - mesh::body(system, id).position_mm;
  return motion.head<3>() + mesh::Vector3(motion.tail<3>()).cross(arm);
}

/// Small elongation of a strand, closing of a pad, travel of a slip, stretch of an axis cushion: from the arrays alone,
/// without the solver.
inline double elongation(const mesh::System& s, const mesh::Strand& strand, const Motions& q) {
  double sum = 0.0;
  for (std::size_t i = 1; i < strand.path.size(); ++i) {
    const mesh::Attachment& a = strand.path[i - 1];
    const mesh::Attachment& b = strand.path[i];
    const mesh::Vector3 along = (b.point_mm - a.point_mm).normalized();
    sum += along.dot(travel(s, q, b.body, b.point_mm) - travel(s, q, a.body, a.point_mm));
  }
  return sum;
}
inline double closing(const mesh::System& s, const mesh::Pad& pad, const Motions& q) {
  const mesh::Vector3 relative = travel(s, q, pad.a.body, pad.a.point_mm) - travel(s, q, pad.b, pad.a.point_mm);
  return -pad.global_from_surface.col(2).dot(relative);
}
inline double sliding(const mesh::System& s, const mesh::Slip& slip, const Motions& q) {
  if (slip.turning) {
    const mesh::Vector3 relative =
        q[static_cast<std::size_t>(slip.a.body.value)].tail<3>() - q[static_cast<std::size_t>(slip.b.value)].tail<3>();
    return slip.direction.dot(relative);
  }
  return slip.direction.dot(travel(s, q, slip.a.body, slip.a.point_mm) - travel(s, q, slip.b, slip.a.point_mm));
}

}  // namespace opisthion::tests
