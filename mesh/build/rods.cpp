// SPDX-License-Identifier: MIT
#include <algorithm>
#include <cassert>
#include <cstdio>
#include <set>

#include "mesh/build/frames.hpp"
#include "mesh/build/hardware.hpp"
#include "mesh/build/rod_path.hpp"
#include "mesh/build/section.hpp"

namespace opisthion::mesh {

namespace {

using Code = BuildComplaint::Code;

std::string_view metal_word(models::Metal metal) {
  switch (metal) {
    case models::Metal::titanium_alloy:
      return "titanium_alloy";
    case models::Metal::cobalt_chrome:
      return "cobalt_chrome";
    case models::Metal::stainless_steel:
      return "stainless_steel";
  }
  return "";
}

std::string rod_label(const models::Rod& rod) {
  return "rod '" + rod.name + "'";
}

std::string tenths(double value) {
  char text[64];
  std::snprintf(text, sizeof text, "%.1f", value);
  return text;
}

const PlacedAnchor& find(const std::vector<PlacedAnchor>& anchors, std::string_view name) {
  const auto found = std::find_if(anchors.begin(), anchors.end(), [&](const auto& p) { return p.anchor->name == name; });
  assert(found != anchors.end() && "the reader lets only known anchors through");
  return *found;
}

/// What keeps this rod from being laid, if anything.
std::vector<BuildComplaint> complaints_about(const models::Rod& rod, const std::vector<const PlacedAnchor*>& locks,
                                             double diameter_mm, double least_radius_mm) {
  const std::string label = rod_label(rod);
  double longest = 0.0;
  for (const PlacedAnchor* a : locks)
    for (const PlacedAnchor* b : locks) longest = std::max(longest, (a->path.lock_mm() - b->path.lock_mm()).norm());
  if (locks.size() < 2 || longest == 0.0)
    return {{Code::rod_zero_length, label, label + " has no length: it needs locks at two places."}};

  std::vector<BuildComplaint> all;
  for (std::size_t i = 0; i < locks.size(); ++i)
    for (std::size_t j = i + 1; j < locks.size(); ++j) {
      const double apart = (locks[i]->path.lock_mm() - locks[j]->path.lock_mm()).norm();
      if (apart >= diameter_mm) continue;
      all.push_back({Code::locks_coincide, label,
                     "On " + label + " the locks of " + locks[i]->label + " and " + locks[j]->label + " stand " +
                         tenths(apart) + " mm apart, less than the rod's diameter of " + tenths(diameter_mm) + " mm."});
    }
  if (!all.empty()) return all;

  std::vector<Vector3> points;
  for (const PlacedAnchor* lock : locks) points.push_back(lock->path.lock_mm());
  const double radius = RodPath(points).least_radius_mm();
  if (radius < least_radius_mm)
    all.push_back({Code::rod_bend, label,
                   label + " would have to bend to a radius of " + tenths(radius) + " mm; below " + tenths(least_radius_mm) +
                       " mm it is damaged."});
  return all;
}

class RodBuilder {
 public:
  RodBuilder(Assembly& assembly, const models::Rod& rod, double diameter_mm) : assembly_(assembly), label_(rod_label(rod)) {
    const models::ParameterReader& number = assembly.number();
    const std::string metal = "metal." + std::string(metal_word(rod.metal));
    section_ = round_section(diameter_mm, {number.scalar(metal + ".modulus"), number.scalar(metal + ".poisson")});
  }

  void build(const std::vector<const PlacedAnchor*>& locks, int elements_per_span) {
    std::vector<Vector3> points;
    for (const PlacedAnchor* lock : locks) points.push_back(lock->path.lock_mm());
    const RodPath path(points);
    const double overhang = assembly_.number().scalar("rod.overhang");
    total_mm_ = 2.0 * overhang;
    for (int span = 0; span < path.spans(); ++span)
      total_mm_ += (points[static_cast<std::size_t>(span) + 1] - points[static_cast<std::size_t>(span)]).norm();

    const Vector3 start = path.tangent(0, 0.0);
    frame_ = beam_frame(start, Vector3::UnitY());
    if (overhang > 0.0) go_to(points.front() - overhang * start);
    lock(go_to(points.front()), *locks.front());
    for (int span = 0; span < path.spans(); ++span) {
      for (int i = 1; i < elements_per_span; ++i) go_to(path.point(span, static_cast<double>(i) / elements_per_span));
      lock(go_to(points[static_cast<std::size_t>(span) + 1]), *locks[static_cast<std::size_t>(span) + 1]);
    }
    if (overhang > 0.0) go_to(points.back() + overhang * path.tangent(path.spans() - 1, 1.0));
    assembly_.mesh().program.assembly.push_back({Action::lock_rod, assembly_.item(OriginKind::rod, label_)});
  }

 private:
  /// A node there, and the element from the node before it.
  BodyId go_to(const Vector3& point) {
    const Vector3 from = last_.valid() ? mesh::body(assembly_.system(), last_).position_mm : point;
    const double length = (point - from).norm();
    along_mm_ += length;
    const ItemId item = assembly_.item(OriginKind::rod, label_, along_mm_ / total_mm_);
    const BodyId node = assembly_.add_body(point, BodyKind::metal, item);
    if (last_.valid()) {
      frame_ = transported(frame_, (point - from).normalized());
      assembly_.system().beams.push_back(
          {.a = last_, .b = node, .global_from_beam = frame_, .length_mm = length, .section = section_, .item = item});
    }
    last_ = node;
    return node;
  }

  void lock(BodyId node, const PlacedAnchor& anchor) {
    const models::ParameterReader& number = assembly_.number();
    Cushion cushion;
    cushion.a = anchor.head;
    cushion.b = node;
    cushion.point_mm = anchor.path.lock_mm();
    const double slide = number.scalar("lock.translation_stiffness");
    const double turn = number.scalar("lock.rotation_stiffness");
    cushion.stiffness.diagonal() << slide, slide, slide, turn, turn, turn;
    cushion.item = assembly_.item(OriginKind::lock, "lock of " + anchor.label + " on " + label_);
    assembly_.system().cushions.push_back(cushion);
  }

  Assembly& assembly_;
  std::string label_;
  Section section_{};
  Matrix3 frame_ = Matrix3::Identity();
  BodyId last_{};
  double along_mm_ = 0.0;
  double total_mm_ = 1.0;
};

}  // namespace

std::vector<BuildComplaint> add_rods(Assembly& assembly, const models::Construct& construct,
                                     const std::vector<PlacedAnchor>& anchors, const BuildOptions& options) {
  const models::ParameterReader& number = assembly.number();
  assert(options.rod_elements_per_span >= 1);
  std::vector<BuildComplaint> complaints;
  for (const models::Rod& rod : construct.rods) {
    std::vector<const PlacedAnchor*> locks;
    for (const std::string& anchor_name : rod.through) locks.push_back(&find(anchors, anchor_name));
    const double diameter = rod.diameter_mm ? *rod.diameter_mm : number.scalar("rod.diameter");
    const auto wrong = complaints_about(rod, locks, diameter, number.scalar("rod.minimum_bend_radius"));
    complaints.insert(complaints.end(), wrong.begin(), wrong.end());
    if (wrong.empty()) RodBuilder(assembly, rod, diameter).build(locks, options.rod_elements_per_span);
  }
  return complaints;
}

std::vector<BuildComplaint> find_idle_metal(const Assembly& assembly, const Mesh& mesh,
                                            const std::vector<PlacedAnchor>& anchors) {
  std::vector<BuildComplaint> complaints;
  for (const Component& component : mesh.components) {
    int bones = 0;
    for (const BodyId port : component.ports) bones += body(mesh.system, port).kind == BodyKind::bone ? 1 : 0;
    std::set<BodyId> metal(component.interior.begin(), component.interior.end());
    metal.insert(component.ports.begin(), component.ports.end());
    bool loaded = false;
    const PlacedAnchor* first = nullptr;
    for (const PlacedAnchor& placed : anchors) {
      if (metal.count(placed.head) == 0) continue;
      if (first == nullptr) first = &placed;
      loaded = loaded || placed.loaded;
    }
    // Rods come only with anchors, so each component has one.
    if (bones >= 2 || loaded || first == nullptr) continue;
    complaints.push_back({Code::nothing_held, first->label,
                          first->label + " and what is locked to it grip one bone only" +
                              (assembly.neck().upper == assembly.neck().lower ? "" : ": they hold nothing to anything") +
                              "."});
  }
  return complaints;
}

}  // namespace opisthion::mesh
