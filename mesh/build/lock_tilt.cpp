// SPDX-License-Identifier: MIT
#include "mesh/build/lock_tilt.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "mesh/build/neck_pose.hpp"
#include "mesh/build/rod_route.hpp"
#include "models/quantity/units.hpp"

namespace opisthion::mesh {

namespace {

/// Between a line and the plane across the screw: the complement of the angle between line and screw.
double tilt_deg(const Vector3& tangent, const Vector3& screw) {
  return models::to_deg(std::asin(std::min(1.0, std::abs(tangent.dot(screw)))));
}

}  // namespace

std::vector<LockTilt> lock_tilts(const models::Neck& neck, const models::Construct& construct,
                                 const models::ParameterReader& number) {
  models::Case the_case;
  the_case.neck = neck;
  Assembly assembly(the_case, number);
  if (auto pose = neck_pose(neck, number)) assembly.set_pose(std::move(*pose));
  const std::vector<PlacedAnchor> anchors = place_anchors(assembly, construct);
  const std::vector<PlateLayout> plates = lay_out_plates(assembly, construct, anchors);
  const RodRoutes routes = route_rods(assembly, construct, anchors, plates);
  std::vector<LockTilt> tilts;
  for (const models::Rod& rod : construct.rods)
    for (const RodRoute& route : routes.rods) {
      if (route.rod != &rod || !route.path) continue;
      for (std::size_t i = 0; i < route.points.size(); ++i) {
        if (route.stop_at[i] < 0) continue;
        const RodStop& stop = route.stops[static_cast<std::size_t>(route.stop_at[i])];
        // Only a screw's head has an axis that a rod can lean to.
        if (stop.anchor == nullptr || models::grip_of(stop.anchor->anchor->kind) != models::Grip::screw) continue;
        const bool end = static_cast<int>(i) == route.path->spans();
        const Vector3 tangent = route.path->tangent(static_cast<int>(i) - (end ? 1 : 0), end ? 1.0 : 0.0);
        // A rod that turns back on itself has no tangent at the turn; build refuses it for its bend.
        if (tangent.norm() > 0.5)
          tilts.push_back({rod.name, stop.through->anchor, tilt_deg(tangent, stop.anchor->path.into_bone)});
      }
    }
  return tilts;
}

}  // namespace opisthion::mesh
