// SPDX-License-Identifier: MIT
#pragma once
// Where the rods of a construct run: stops, bends, diameters. Geometry only: no bodies yet.
#include <optional>
#include <string>
#include <vector>

#include "mesh/build/hardware.hpp"
#include "mesh/build/plate.hpp"
#include "mesh/build/rod_path.hpp"

namespace opisthion::mesh {

/// A place on a rod: a span of its path and 0..1 along it.
struct Station {
  int span = 0;
  double t = 0.0;
};

/// One stop on a rod's way, resolved.
struct RodStop {
  const models::Through* through = nullptr;
  const PlacedAnchor* anchor = nullptr;  ///< for an anchor
  const PlateLayout* plate = nullptr;    ///< for a plate's holder ...
  models::Side plate_side = models::Side::left;
  int other_rod = -1;   ///< for a connector: index of the route it hangs on ...
  Station on_other{};   ///< ... and where
  std::string label{};  ///< "C2 left pars screw 'name'", "plate 'name'", "rod 'name'"
  bool wired() const { return anchor != nullptr && models::grip_of(anchor->anchor->kind) == models::Grip::wire; }
};

struct RodRoute {
  const models::Rod* rod = nullptr;
  std::string label{};  ///< "rod 'left'"
  std::vector<RodStop> stops{};
  /// Of the centre line: stops (moved beside a lock where the rod would bend too tightly), and the shape points of bends
  /// over the midline.
  std::vector<Vector3> points{};
  std::vector<int> stop_at{};  ///< per point: its stop, or -1
  bool closed = false;
  std::optional<RodPath> path{};  ///< empty when the rod cannot be laid
  double upper_diameter_mm = 0.0;
  double lower_diameter_mm = 0.0;
  /// A tapered rod narrows or widens evenly over taper_length, half of it above and half below this point.
  Vector3 taper_point_mm = Vector3::Zero();
  Vector3 taper_up = Vector3::UnitZ();
  double taper_length_mm = 0.0;
  double least_radius_mm = 0.0;
  std::vector<Station> wanted{};  ///< where something else is fixed to it

  double diameter_mm(const Vector3& at) const;
  Vector3 at(const Station& station) const { return path->point(station.span, station.t); }
  bool shaped(int span) const;  ///< a piece of a bend over the midline
};

struct CrossLinkRoute {
  const models::CrossLink* link = nullptr;
  int from = -1;
  int to = -1;
  Station on_from{};
  Station on_to{};
};

struct RodRoutes {
  std::vector<RodRoute> rods{};  ///< in the order in which they can be built: those that others hang on first
  std::vector<CrossLinkRoute> cross_links{};
  std::vector<BuildComplaint> complaints{};
  std::vector<BuildComplaint> remarks{};
};

/// Lays all rods out. anchors and plates must outlive the result.
RodRoutes route_rods(const Assembly& assembly, const models::Construct& construct, const std::vector<PlacedAnchor>& anchors,
                     const std::vector<PlateLayout>& plates);

/// Least radius that a straight bar can be bent to in theatre.
///   R = d/(2 e): the outer fibre reaches the elongation at break
double least_contour_radius_mm(const models::ParameterReader& number, models::Metal metal, double diameter_mm);

}  // namespace opisthion::mesh
