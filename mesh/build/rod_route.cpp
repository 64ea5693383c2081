// SPDX-License-Identifier: MIT
#include "mesh/build/rod_route.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <limits>
#include <numbers>
#include <utility>

#include "mesh/build/frames.hpp"
#include "mesh/build/wired_rod.hpp"

namespace opisthion::mesh {

namespace {

using Code = BuildComplaint::Code;
using models::Bending;
using models::Side;

/// The middle of a joint, and the way up through it.
struct JointPlace {
  Vector3 middle_mm = Vector3::Zero();
  Vector3 up = Vector3::UnitZ();
};
JointPlace joint_place(const Assembly& assembly, models::JointId joint) {
  const Vector3 upper = assembly.reference_point(joint.upper);
  const Vector3 lower = assembly.reference_point(joint.lower);
  return {0.5 * (upper + lower), (upper - lower).normalized()};
}

/// Where the rod passes the middle of a joint, by height; its nearer end when it does not.
std::vector<Station> passings(const RodRoute& route, const JointPlace& joint) {
  constexpr int kSamples = 32;
  constexpr int kBisections = 50;
  const auto height = [&](int span, double t) { return (route.path->point(span, t) - joint.middle_mm).dot(joint.up); };
  std::vector<Station> found;
  for (int span = 0; span < route.path->spans(); ++span)
    for (int i = 0; i < kSamples; ++i) {
      double low = static_cast<double>(i) / kSamples;
      double high = static_cast<double>(i + 1) / kSamples;
      const bool above = height(span, low) > 0.0;
      if (above == (height(span, high) > 0.0)) continue;
      for (int k = 0; k < kBisections; ++k) {
        const double middle = 0.5 * (low + high);
        ((height(span, middle) > 0.0) == above ? low : high) = middle;
      }
      found.push_back({span, high});
    }
  if (!found.empty()) return found;
  const int last = route.path->spans() - 1;
  const bool first_nearer = std::abs(height(0, 0.0)) <= std::abs(height(last, 1.0));
  return {first_nearer ? Station{0, 0.0} : Station{last, 1.0}};
}

/// Bend over the midline from one arm to the other: half a circle that leaves each arm in its own direction.
std::vector<Vector3> bend_over(const Vector3& from, const Vector3& to, const Vector3& onward) {
  constexpr int kPieces = 8;
  const Vector3 middle = 0.5 * (from + to);
  const Vector3 half = from - middle;
  const Vector3 out = across(onward, half);
  std::vector<Vector3> points;
  for (int k = 1; k < kPieces; ++k) {
    const double angle = k * std::numbers::pi / kPieces;
    points.push_back(middle + std::cos(angle) * half + half.norm() * std::sin(angle) * out);
  }
  return points;
}

bool opposite(const Vector3& a, const Vector3& b) {
  return a.y() * b.y() < 0.0;
}

class Router {
 public:
  Router(const Assembly& assembly, const models::Construct& construct, const std::vector<PlacedAnchor>& anchors,
         const std::vector<PlateLayout>& plates)
      : assembly_(assembly), number_(assembly.number()), construct_(construct), anchors_(anchors), plates_(plates) {}

  RodRoutes run() {
    std::vector<const models::Rod*> waiting;
    for (const models::Rod& rod : construct_.rods) waiting.push_back(&rod);
    while (!waiting.empty()) {
      std::vector<const models::Rod*> later;
      for (const models::Rod* rod : waiting) ready(*rod) ? lay(*rod) : later.push_back(rod);
      if (later.size() == waiting.size()) break;
      waiting = std::move(later);
    }
    for (const models::Rod* rod : waiting)
      complain(Code::rod_hangs_on_nothing, "rod '" + rod->name + "'",
               "rod '" + rod->name + "' hangs on rods that hang on it in turn.");
    for (const models::CrossLink& link : construct_.cross_links) span_over(link);
    return std::move(routes_);
  }

 private:
  int index_of(std::string_view rod) const {
    for (std::size_t i = 0; i < routes_.rods.size(); ++i)
      if (routes_.rods[i].rod->name == rod) return static_cast<int>(i);
    return -1;
  }

  bool ready(const models::Rod& rod) const {
    return std::all_of(rod.through.begin(), rod.through.end(),
                       [&](const models::Through& stop) { return stop.rod.empty() || index_of(stop.rod) >= 0; });
  }

  void complain(Code code, const std::string& item, std::string text) {
    routes_.complaints.push_back({code, item, std::move(text)});
  }

  void lay(const models::Rod& rod) {
    RodRoute route;
    route.rod = &rod;
    route.label = "rod '" + rod.name + "'";
    route.closed = rod.closed;
    route.upper_diameter_mm = given_or(rod.diameter_mm, assembly_, "rod.diameter");
    route.lower_diameter_mm = rod.lower_diameter_mm.value_or(route.upper_diameter_mm);
    if (rod.taper_at) {
      const JointPlace at = joint_place(assembly_, *rod.taper_at);
      route.taper_point_mm = at.middle_mm;
      route.taper_up = at.up;
      route.taper_length_mm = number_.scalar("rod.taper_length");
    }
    std::vector<Vector3> at;
    if (resolve(route, at) && sound(route, at)) bend(route, at);
    routes_.rods.push_back(std::move(route));
  }

  /// Stops and their points. A connector's point comes last: it lies beside the other rod on the side of this rod's own
  /// stops.
  bool resolve(RodRoute& route, std::vector<Vector3>& at) {
    const models::Rod& rod = *route.rod;
    Side side = Side::left;
    for (const models::Through& stop : rod.through)
      if (!stop.anchor.empty()) {
        side = find_placed(anchors_, stop.anchor).anchor->side;
        break;
      }
    for (const models::Through& through : rod.through) {
      RodStop stop;
      stop.through = &through;
      Vector3 point = Vector3::Zero();
      if (!through.anchor.empty()) {
        stop.anchor = &find_placed(anchors_, through.anchor);
        stop.label = stop.anchor->label;
        side = stop.anchor->anchor->side;  // a loop changes sides: a plate's arm is on that of the stop before
        point = stop.wired() ? rod_on_bone(*stop.anchor, route.diameter_mm(stop.anchor->patch.back_mm()))
                             : stop.anchor->path.lock_mm();
      } else if (!through.plate.empty()) {
        const auto found =
            std::find_if(plates_.begin(), plates_.end(), [&](const auto& p) { return p.plate->name == through.plate; });
        assert(found != plates_.end() && "the reader lets only known plates through");
        stop.plate = &*found;
        stop.plate_side = side;
        stop.label = found->label;
        point = found->holder_mm(side, number_);
      } else {
        stop.other_rod = index_of(through.rod);
        stop.label = routes_.rods[static_cast<std::size_t>(stop.other_rod)].label;
      }
      route.stops.push_back(std::move(stop));
      at.push_back(point);
    }
    for (std::size_t i = 0; i < at.size(); ++i)
      if (route.stops[i].other_rod >= 0 && !hang(route, i, at)) return false;
    return true;
  }

  bool hang(RodRoute& route, std::size_t index, std::vector<Vector3>& at) {
    RodStop& stop = route.stops[index];
    RodRoute& other = routes_.rods[static_cast<std::size_t>(stop.other_rod)];
    if (!other.path) return false;  // its own complaint is enough
    assert(stop.through->at && "the reader asks for the joint of a connector");
    // The nearest own stop tells the arm of a loop, and the side on which this rod runs beside the other.
    const Vector3* nearest = nullptr;
    for (std::size_t step = 1; step < at.size() && nearest == nullptr; ++step) {
      if (index >= step && route.stops[index - step].other_rod < 0) nearest = &at[index - step];
      if (nearest == nullptr && index + step < at.size() && route.stops[index + step].other_rod < 0)
        nearest = &at[index + step];
    }
    const auto stations = passings(other, joint_place(assembly_, *stop.through->at));
    stop.on_other = stations.front();
    if (nearest != nullptr)
      for (const Station& station : stations)
        if ((other.at(station) - *nearest).norm() < (other.at(stop.on_other) - *nearest).norm()) stop.on_other = station;
    const Vector3 there = other.at(stop.on_other);
    const Vector3 tangent = other.path->tangent(stop.on_other.span, stop.on_other.t);
    const double offset = number_.scalar("connector.offset");
    Vector3 beside = (there.y() < 0.0 ? -1.0 : 1.0) * Vector3::UnitY();
    if (nearest != nullptr) {
      const Vector3 off = *nearest - there - (*nearest - there).dot(tangent) * tangent;
      if (off.norm() > 0.5 * offset) beside = off;
    }
    at[index] = there + offset * across(beside, tangent);
    other.wanted.push_back(stop.on_other);
    return true;
  }

  /// Two places at least, and no two stops in one.
  bool sound(const RodRoute& route, const std::vector<Vector3>& at) {
    double longest = 0.0;
    for (const Vector3& a : at)
      for (const Vector3& b : at) longest = std::max(longest, (a - b).norm());
    if (at.size() < 2 || longest == 0.0) {
      complain(Code::rod_zero_length, route.label, route.label + " has no length: it needs locks at two places.");
      return false;
    }
    if (route.closed && at.size() < 3) {
      complain(Code::rod_zero_length, route.label, route.label + " is closed: it needs stops at three places.");
      return false;
    }
    bool good = true;
    for (std::size_t i = 0; i < at.size(); ++i)
      for (std::size_t j = i + 1; j < at.size(); ++j) {
        const double apart = (at[i] - at[j]).norm();
        const double diameter = route.diameter_mm(at[i]);
        if (apart >= diameter) continue;
        complain(Code::locks_coincide, route.label,
                 "On " + route.label + " the locks of " + route.stops[i].label + " and " + route.stops[j].label + " stand " +
                     one_decimal(apart) + " mm apart, less than the rod's diameter of " + one_decimal(diameter) + " mm.");
        good = false;
      }
    return good;
  }

  void bend(RodRoute& route, const std::vector<Vector3>& at) {
    const std::size_t n = at.size();
    const bool loop = route.closed || route.rod->bending == Bending::pre_bent;
    const auto onward = [&](std::size_t from, std::size_t to) {
      Vector3 out = Vector3::Zero();
      const auto add = [&](std::size_t end, std::size_t before) {
        if (before < n && before != end && !opposite(at[end], at[before])) out += (at[end] - at[before]).normalized();
      };
      add(from, from > 0 ? from - 1 : n);
      add(to, to + 1 < n ? to + 1 : n);
      Vector3 centre = Vector3::Zero();
      for (const Vector3& p : at) centre += p / static_cast<double>(n);
      const Vector3 half = at[from] - at[to];
      const auto clear = [&](const Vector3& v) { return (v - v.dot(half) / half.squaredNorm() * half).norm() > 1e-3; };
      if (!clear(out)) out = 0.5 * (at[from] + at[to]) - centre;
      return clear(out) ? out : Vector3(Vector3::UnitZ());
    };
    double arc_radius = std::numeric_limits<double>::infinity();
    for (std::size_t i = 0; i < n; ++i) {
      route.points.push_back(at[i]);
      route.stop_at.push_back(static_cast<int>(i));
      if (i + 1 == n && !route.closed) break;
      const std::size_t next = i + 1 == n ? 0 : i + 1;
      if (!loop || !opposite(at[i], at[next])) continue;
      arc_radius = std::min(arc_radius, 0.5 * (at[i] - at[next]).norm());
      for (const Vector3& p : bend_over(at[i], at[next], onward(i, next))) {
        route.points.push_back(p);
        route.stop_at.push_back(-1);
      }
    }
    // A surgeon bends no more than is needed: where the shape that never swings out is too tight, the one that bends least.
    double contoured = lay_along(route, RodPath::Shape::preserving);
    if (contoured < bend_limit(route)) {
      const double smooth = lay_along(route, RodPath::Shape::smooth);
      if (smooth <= contoured)
        lay_along(route, RodPath::Shape::preserving);
      else
        contoured = smooth;
    }
    if (!loop && contoured < own_limit(route)) contoured = run_beside_locks(route, at, contoured);
    route.least_radius_mm = std::min(contoured, arc_radius);
    judge_bends(route, contoured, arc_radius);
  }

  /// Gives the least radius outside the bends over the midline or, where that is below `enough`, one that is.
  static double lay_along(RodRoute& route, RodPath::Shape shape, double enough = 0.0) {
    route.path.emplace(route.points, route.closed, shape);
    double least = std::numeric_limits<double>::infinity();
    for (int span = 0; span < route.path->spans(); ++span)
      if (least >= enough && !route.shaped(span)) least = std::min(least, route.path->least_radius_mm(span, enough));
    return least;
  }

  double bend_limit(const RodRoute& route) const {
    const double diameter = std::max(route.upper_diameter_mm, route.lower_diameter_mm);
    return least_contour_radius_mm(number_, route.rod->metal, diameter);
  }

  /// What this rod may be bent to: less on the bench.
  double own_limit(const RodRoute& route) const {
    const double share = route.rod->bending == Bending::bench_bent ? number_.scalar("rod.bench_bent_share") : 1.0;
    return share * bend_limit(route);
  }

  /// A rod that would bend too tightly runs beside its locks, each by as little as gives it the radius it needs: heads lean
  /// and are backed out, offsets are screwed on. Up to rod.reach it is laid so and remarked on; beyond, what it would miss
  /// by is told with its bend.
  double run_beside_locks(RodRoute& route, const std::vector<Vector3>& at, double contoured) {
    constexpr double kStep_mm = 0.25;
    constexpr double kFurthest_mm = 20.0;
    const double reach = number_.scalar("rod.reach");
    const double limit = own_limit(route);
    // A rod that turns back on its way cannot be helped so.
    for (std::size_t i = 1; i < at.size(); ++i)
      if ((at[i] - at[i - 1]).dot(at.back() - at.front()) <= 0.0) return contoured;
    double radius = contoured;
    double off = kStep_mm;
    for (; off <= kFurthest_mm; off += kStep_mm) {
      route.points = eased(route, at, off);
      radius = lay_along(route, RodPath::Shape::preserving, limit);
      if (radius < limit) radius = lay_along(route, RodPath::Shape::smooth, limit);
      if (radius >= limit) break;
    }
    std::size_t worst = 0;
    double miss = 0.0;
    for (std::size_t i = 0; i < at.size(); ++i)
      if ((route.points[i] - at[i]).norm() > miss) {
        miss = (route.points[i] - at[i]).norm();
        worst = i;
      }
    const std::string by = route.stops[worst].label + " by " + one_decimal(miss) + " mm";
    if (radius >= limit && off <= reach) {
      routes_.remarks.push_back({Code::lock_missed, route.label,
                                 route.label + " bends no tighter than to " + one_decimal(limit) +
                                     " mm and so passes the head of " + by + ", which is bridged."});
      return radius;
    }
    if (radius >= limit)
      miss_ = " Bent no tighter, it would miss the head of " + by + "; up to " + one_decimal(reach) + " mm can be bridged.";
    route.points = at;
    lay_along(route, RodPath::Shape::smooth);
    return contoured;
  }

  /// Stops moved by up to `off` towards the straight line between their neighbours, again and again, so that the bends
  /// spread out. Wires hold the rod on bone and connectors hold it beside its neighbour: those stay.
  static std::vector<Vector3> eased(const RodRoute& route, const std::vector<Vector3>& at, double off) {
    constexpr int kRounds = 200;
    constexpr double kSettled_mm = 1e-12;
    std::vector<Vector3> points = at;
    for (int round = 0; round < kRounds; ++round) {
      double most = 0.0;
      for (std::size_t i = 1; i + 1 < points.size(); ++i) {
        if (route.stops[i].wired() || route.stops[i].other_rod >= 0) continue;
        const double before = (points[i] - points[i - 1]).norm();
        const double after = (points[i + 1] - points[i]).norm();
        const Vector3 line = points[i - 1] + before / (before + after) * (points[i + 1] - points[i - 1]);
        const Vector3 moved = points[i] + 0.5 * (line - points[i]) - at[i];
        const Vector3 here = at[i] + (moved.norm() > off ? Vector3(off / moved.norm() * moved) : moved);
        most = std::max(most, (here - points[i]).norm());
        points[i] = here;
      }
      if (most < kSettled_mm) break;
    }
    return points;
  }

  void judge_bends(RodRoute& route, double contoured, double arc_radius) {
    const double diameter = std::max(route.upper_diameter_mm, route.lower_diameter_mm);
    const double limit = bend_limit(route);
    const double maker = number_.scalar("rod.pre_bent_radius_ratio") * diameter;
    const auto refuse = [&](double radius, double least) {
      complain(Code::rod_bend, route.label,
               route.label + " would have to bend to a radius of " + one_decimal(radius) + " mm; below " +
                   one_decimal(least) + " mm it is damaged." + std::exchange(miss_, {}));
      route.path.reset();
    };
    if (arc_radius < maker) return refuse(arc_radius, maker);
    if (route.rod->bending == Bending::pre_bent) {
      if (contoured < maker) refuse(contoured, maker);
      return;
    }
    if (route.rod->bending == Bending::bench_bent) {
      const double bent = number_.scalar("rod.bench_bent_share") * limit;
      if (contoured < bent) return refuse(contoured, bent);
      if (contoured < limit)
        routes_.remarks.push_back({Code::rod_bend, route.label,
                                   route.label + " is bent on the bench to a radius of " + one_decimal(contoured) +
                                       " mm, tighter than the " + one_decimal(limit) +
                                       " mm that its metal bears: it breaks earlier there."});
      return;
    }
    if (contoured < limit) refuse(contoured, limit);
  }

  void span_over(const models::CrossLink& link) {
    CrossLinkRoute found;
    found.link = &link;
    found.from = index_of(link.from);
    found.to = index_of(link.to);
    if (found.from < 0 || found.to < 0) return;  // its rod has its own complaint
    RodRoute& from = routes_.rods[static_cast<std::size_t>(found.from)];
    RodRoute& to = routes_.rods[static_cast<std::size_t>(found.to)];
    if (!from.path || !to.path) return;
    const JointPlace joint = joint_place(assembly_, link.at);
    // The two nearest passings; of a loop linked to itself, its two arms.
    double nearest = std::numeric_limits<double>::infinity();
    for (const Station& a : passings(from, joint))
      for (const Station& b : passings(to, joint)) {
        const double apart = (from.at(a) - to.at(b)).norm();
        if (apart >= nearest || apart < 0.5 * (from.diameter_mm(from.at(a)) + to.diameter_mm(to.at(b)))) continue;
        nearest = apart;
        found.on_from = a;
        found.on_to = b;
      }
    const std::string label = "cross-link '" + link.name + "'";
    if (nearest == std::numeric_limits<double>::infinity()) {
      complain(Code::rod_zero_length, label, label + " joins rods that touch where it should be.");
      return;
    }
    from.wanted.push_back(found.on_from);
    to.wanted.push_back(found.on_to);
    routes_.cross_links.push_back(found);
  }

  const Assembly& assembly_;
  const models::ParameterReader& number_;
  const models::Construct& construct_;
  const std::vector<PlacedAnchor>& anchors_;
  const std::vector<PlateLayout>& plates_;
  RodRoutes routes_{};
  std::string miss_{};  ///< what is to be added to a bend that is refused
};

}  // namespace

double RodRoute::diameter_mm(const Vector3& at) const {
  if (taper_length_mm <= 0.0) return upper_diameter_mm;
  const double share = std::clamp(0.5 - (at - taper_point_mm).dot(taper_up) / taper_length_mm, 0.0, 1.0);
  return upper_diameter_mm + share * (lower_diameter_mm - upper_diameter_mm);
}

bool RodRoute::shaped(int span) const {
  const auto i = static_cast<std::size_t>(span);
  return stop_at[i] < 0 || stop_at[i + 1 == stop_at.size() ? 0 : i + 1] < 0;
}

double least_contour_radius_mm(const models::ParameterReader& number, models::Metal metal, double diameter_mm) {
  return diameter_mm / (2.0 * number.scalar(std::string("metal.").append(metal_word(metal)).append(".elongation")));
}

RodRoutes route_rods(const Assembly& assembly, const models::Construct& construct, const std::vector<PlacedAnchor>& anchors,
                     const std::vector<PlateLayout>& plates) {
  return Router(assembly, construct, anchors, plates).run();
}

}  // namespace opisthion::mesh
