// SPDX-License-Identifier: MIT
#include "mesh/build/rods.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <limits>

#include "mesh/build/cross_link.hpp"
#include "mesh/build/frames.hpp"
#include "mesh/build/section.hpp"
#include "mesh/build/wired_rod.hpp"

namespace opisthion::mesh {

namespace {

/// Values of t where a span has its nodes: evenly spread, the nearest one moved to each place that needs a node. So a finer
/// mesh keeps those places.
std::vector<double> node_places(const RodRoute& route, int span, int elements) {
  std::vector<double> places;
  for (int i = 0; i <= elements; ++i) places.push_back(static_cast<double>(i) / elements);
  constexpr double kAtAnEnd = 1e-6;
  for (const Station& wanted : route.wanted) {
    if (wanted.span != span || wanted.t < kAtAnEnd || wanted.t > 1.0 - kAtAnEnd) continue;
    const auto first_inner = places.begin() + 1;
    const auto last_inner = places.end() - 1;
    const auto nearest = std::min_element(
        first_inner, last_inner, [&](double a, double b) { return std::abs(a - wanted.t) < std::abs(b - wanted.t); });
    const bool taken = nearest != last_inner && std::any_of(route.wanted.begin(), route.wanted.end(), [&](const Station& s) {
                         return s.span == span && s.t == *nearest;
                       });
    if (nearest != last_inner && !taken)
      *nearest = wanted.t;
    else if (nearest == last_inner || *nearest != wanted.t)
      places.push_back(wanted.t);
    std::sort(places.begin(), places.end());
  }
  return places;
}

class RodBuilder {
 public:
  RodBuilder(Assembly& assembly, const RodRoute& route) : assembly_(assembly), number_(assembly.number()), route_(route) {
    const std::string metal = "metal." + std::string(metal_word(route.rod->metal));
    metal_ = {number_.scalar(metal + ".modulus"), number_.scalar(metal + ".poisson")};
    built_.route = &route;
  }

  BuiltRod build(int elements_per_span) {
    const RodPath& path = *route_.path;
    const double overhang = route_.closed ? 0.0 : number_.scalar("rod.overhang");
    total_mm_ = 2.0 * overhang;
    for (int span = 0; span < path.spans(); ++span) total_mm_ += (path.point(span, 1.0) - path.point(span, 0.0)).norm();
    const Vector3 start = path.tangent(0, 0.0);
    frame_ = beam_frame(start, Vector3::UnitY());
    if (overhang > 0.0) go_to(path.point(0, 0.0) - overhang * start);
    built_.nodes.push_back({{0, 0.0}, go_to(path.point(0, 0.0))});
    const BodyId first = last_;
    // A bend over the midline is eight spans of its own.
    const int in_bend = std::max(1, elements_per_span / 4);
    for (int span = 0; span < path.spans(); ++span) {
      const std::vector<double> places = node_places(route_, span, route_.shaped(span) ? in_bend : elements_per_span);
      for (std::size_t i = 1; i < places.size(); ++i) {
        const bool closing = route_.closed && span + 1 == path.spans() && i + 1 == places.size();
        if (closing) {
          join(first, path.point(span, 1.0));
          break;
        }
        built_.nodes.push_back({{span, places[i]}, go_to(path.point(span, places[i]))});
      }
    }
    const int last_span = path.spans() - 1;
    if (overhang > 0.0) go_to(path.point(last_span, 1.0) + overhang * path.tangent(last_span, 1.0));
    return built_;
  }

 private:
  /// A node there, and the element from the node before it.
  BodyId go_to(const Vector3& point) {
    if (last_.valid()) along_mm_ += (point - mesh::body(assembly_.system(), last_).position_mm).norm();
    const BodyId node =
        assembly_.add_body(point, BodyKind::metal, assembly_.item(OriginKind::rod, route_.label, along_mm_ / total_mm_));
    if (last_.valid()) join(node, point);
    last_ = node;
    return node;
  }

  void join(BodyId node, const Vector3& point) {
    const Vector3 from = mesh::body(assembly_.system(), last_).position_mm;
    const double length = (point - from).norm();
    frame_ = transported(frame_, (point - from).normalized());
    assembly_.system().beams.push_back({.a = last_,
                                        .b = node,
                                        .global_from_beam = frame_,
                                        .length_mm = length,
                                        .section = round_section(route_.diameter_mm(0.5 * (from + point)), metal_),
                                        .item = mesh::body(assembly_.system(), node).item});
  }

  Assembly& assembly_;
  const models::ParameterReader& number_;
  const RodRoute& route_;
  Elastic metal_{};
  BuiltRod built_{};
  Matrix3 frame_ = Matrix3::Identity();
  BodyId last_{};
  double along_mm_ = 0.0;
  double total_mm_ = 1.0;
};

void add_lock(Assembly& assembly, BodyId held_by, BodyId node, const std::string& name) {
  const models::ParameterReader& number = assembly.number();
  Cushion cushion;
  cushion.a = held_by;
  cushion.b = node;
  cushion.point_mm =
      mesh::body(assembly.system(), held_by).position_mm;  // a rod that runs beside it is reached by a stiff arm
  const double slide = number.scalar("lock.translation_stiffness");
  const double turn = number.scalar("lock.rotation_stiffness");
  cushion.stiffness.diagonal() << slide, slide, slide, turn, turn, turn;
  cushion.item = assembly.item(OriginKind::lock, name);
  assembly.system().cushions.push_back(cushion);
}

void fasten(Assembly& assembly, const std::vector<BuiltRod>& rods, std::size_t index,
            const std::vector<BuiltPlate>& plates) {
  const RodRoute& route = *rods[index].route;
  bool locked = false;
  for (std::size_t i = 0; i < route.points.size(); ++i) {
    if (route.stop_at[i] < 0) continue;
    const RodStop& stop = route.stops[static_cast<std::size_t>(route.stop_at[i])];
    const bool end = static_cast<int>(i) == route.path->spans();
    const Station station = end ? Station{static_cast<int>(i) - 1, 1.0} : Station{static_cast<int>(i), 0.0};
    const BodyId node = rods[index].at(station);
    if (stop.wired()) {
      tie_down(assembly, *stop.anchor, node, route.path->tangent(station.span, station.t),
               route.diameter_mm(route.points[i]), route.label);
      continue;
    }
    if (stop.other_rod >= 0) {
      const BuiltRod& other = rods[static_cast<std::size_t>(stop.other_rod)];
      add_bar(assembly, {.from = other.at(stop.on_other),
                         .to = node,
                         .diameter_mm = assembly.number().scalar("connector.diameter"),
                         .metal = route.rod->metal,
                         .label = "connector of " + route.label + " on " + other.route->label});
    } else if (stop.plate != nullptr) {
      const auto plate = std::find_if(plates.begin(), plates.end(), [&](const auto& p) { return p.layout == stop.plate; });
      assert(plate != plates.end());
      add_lock(assembly, plate->holder(stop.plate_side), node, "lock of " + stop.label + " on " + route.label);
    } else {
      add_lock(assembly, stop.anchor->head, node, "lock of " + stop.label + " on " + route.label);
    }
    locked = true;
  }
  if (locked) assembly.mesh().program.assembly.push_back({Action::lock_rod, assembly.item(OriginKind::rod, route.label)});
}

}  // namespace

BodyId BuiltRod::at(const Station& station) const {
  // The start of a span is the end of the one before; a closed rod ends where it starts.
  Station wanted = station;
  if (wanted.t >= 1.0 && route->closed && wanted.span + 1 == route->path->spans()) wanted = {0, 0.0};
  if (wanted.t <= 0.0 && wanted.span > 0) wanted = {wanted.span - 1, 1.0};
  const RodNode* best = nullptr;
  double nearest = std::numeric_limits<double>::infinity();
  for (const RodNode& node : nodes) {
    const bool start = wanted.span == 0 && node.station.span == 0;
    const bool before = node.station.span == wanted.span - 1 && node.station.t == 1.0;
    if (node.station.span != wanted.span && !start && !before) continue;
    const double apart = std::abs((before ? 0.0 : node.station.t) - wanted.t);
    if (apart >= nearest) continue;
    nearest = apart;
    best = &node;
  }
  assert(best != nullptr);
  return best->body;
}

std::vector<BuiltRod> add_rods(Assembly& assembly, const RodRoutes& routes, const std::vector<BuiltPlate>& plates,
                               const BuildOptions& options) {
  assert(options.rod_elements_per_span >= 1);
  std::vector<BuiltRod> built;
  for (std::size_t i = 0; i < routes.rods.size(); ++i) {
    built.push_back(RodBuilder(assembly, routes.rods[i]).build(options.rod_elements_per_span));
    fasten(assembly, built, i, plates);
  }
  const models::ParameterReader& number = assembly.number();
  for (const CrossLinkRoute& link : routes.cross_links) {
    const auto from = static_cast<std::size_t>(link.from);
    const auto to = static_cast<std::size_t>(link.to);
    add_bar(assembly, {.from = built[from].at(link.on_from),
                       .to = built[to].at(link.on_to),
                       .diameter_mm = link.link->diameter_mm.value_or(number.scalar("cross_link.diameter")),
                       .metal = routes.rods[from].rod->metal,
                       .label = "cross-link '" + link.link->name + "'"});
  }
  return built;
}

}  // namespace opisthion::mesh
