// SPDX-License-Identifier: MIT
#include "mesh/build/lock_tilt.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>

#include "mesh/build/rod_path.hpp"
#include "models/hardware/trajectory.hpp"
#include "models/quantity/units.hpp"

namespace opisthion::mesh {

namespace {

/// Two neighbouring locks at one place give a rod no direction there.
bool has_length(const std::vector<Vector3>& points) {
  return points.size() >= 2 && std::adjacent_find(points.begin(), points.end()) == points.end();
}

/// Between a line and the plane across the screw: the complement of the angle between line and screw.
double tilt_deg(const Vector3& tangent, const Vector3& screw) {
  return models::to_deg(std::asin(std::min(1.0, std::abs(tangent.dot(screw)))));
}

}  // namespace

std::vector<LockTilt> lock_tilts(const models::Neck& neck, const models::Construct& construct,
                                 const models::ParameterReader& number) {
  std::vector<LockTilt> tilts;
  for (const models::Rod& rod : construct.rods) {
    std::vector<models::Trajectory> screws;
    std::vector<Vector3> points;
    for (const std::string& name : rod.through) {
      const models::Anchor* anchor = construct.find_anchor(name);
      assert(anchor != nullptr && "the reader lets only known anchors through");
      screws.push_back(models::trajectory(*anchor, neck, number));
      points.push_back(screws.back().lock_mm());
    }
    if (!has_length(points)) continue;
    const RodPath path(points);
    for (std::size_t i = 0; i < points.size(); ++i) {
      const bool last = i + 1 == points.size();
      const Vector3 tangent = path.tangent(static_cast<int>(i) - (last ? 1 : 0), last ? 1.0 : 0.0);
      // A rod that turns back on itself has no tangent at the turn; build refuses it for its bend.
      if (tangent.norm() > 0.5) tilts.push_back({rod.name, rod.through[i], tilt_deg(tangent, screws[i].into_bone)});
    }
  }
  return tilts;
}

}  // namespace opisthion::mesh
