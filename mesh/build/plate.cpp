// SPDX-License-Identifier: MIT
#include "mesh/build/plate.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <utility>

#include "mesh/build/frames.hpp"
#include "mesh/build/section.hpp"
#include "models/hardware/occiput_surface.hpp"

namespace opisthion::mesh {

using models::PlateKind;

namespace {

std::string_view word(PlateKind kind) {
  switch (kind) {
    case PlateKind::midline:
      return "midline";
    case PlateKind::paramedian:
      return "paramedian";
    case PlateKind::lateral_mass:
      return "lateral_mass";
  }
  return "";
}

/// Away from the last screw, down the bone.
Vector3 downwards(const Assembly& assembly, const PlateLayout& layout) {
  const PlacedAnchor& last = *layout.screws[layout.on_spine - 1];
  if (layout.on_spine >= 2) return (last.path.lock_mm() - layout.screws[layout.on_spine - 2]->path.lock_mm()).normalized();
  if (last.anchor->level != models::Level::C0) return -Vector3::UnitZ();
  return assembly.pose(models::Level::C0).linear() * models::occiput_surface(*last.anchor, assembly.number()).to_foramen;
}

/// The screw that stands furthest aside of the strip's line, within its plane.
std::optional<BuildComplaint> missed_screw(const PlateLayout& layout, double reach_mm) {
  if (layout.on_spine < 3) return std::nullopt;
  const Vector3 first = layout.screws.front()->path.lock_mm();
  const Vector3 axis = layout.screws[layout.on_spine - 1]->path.lock_mm() - first;
  const Vector3 aside = axis.cross(layout.outward).normalized();
  const PlacedAnchor* worst = nullptr;
  double furthest = reach_mm;
  for (std::size_t i = 1; i + 1 < layout.on_spine; ++i) {
    const double miss = std::abs((layout.screws[i]->path.lock_mm() - first).dot(aside));
    if (miss <= furthest) continue;
    furthest = miss;
    worst = layout.screws[i];
  }
  if (worst == nullptr) return std::nullopt;
  return BuildComplaint{BuildComplaint::Code::lock_missed, layout.label,
                        layout.label + " misses the head of " + worst->label + " by " + one_decimal(furthest) +
                            " mm; up to " + one_decimal(reach_mm) + " mm can be bridged."};
}

class PlateBuilder {
 public:
  PlateBuilder(Assembly& assembly, const PlateLayout& layout)
      : assembly_(assembly),
        number_(assembly.number()),
        layout_(layout),
        stem_("plate." + std::string(word(layout.plate->kind))) {
    const std::string metal = "metal." + std::string(metal_word(layout.plate->metal));
    metal_ = {number_.scalar(metal + ".modulus"), number_.scalar(metal + ".poisson")};
  }

  BuiltPlate build() {
    BuiltPlate built{.layout = &layout_};
    for (std::size_t i = 0; i < layout_.on_spine; ++i) go_to(layout_.screws[i]->path.lock_mm(), hole_mm(*layout_.screws[i]));
    const PlateKind kind = layout_.plate->kind;
    if (kind != PlateKind::lateral_mass) go_to(layout_.lower_end_mm, 0.0);
    for (std::size_t i = 0; i < layout_.screws.size(); ++i)
      lock(*layout_.screws[i], i < layout_.on_spine ? nodes_[i] : wing(*layout_.screws[i]));
    built.left = built.right = nodes_.back();
    if (kind == PlateKind::midline) {
      built.left = arm(models::Side::left);
      built.right = arm(models::Side::right);
    }
    if (kind == PlateKind::lateral_mass) {
      for (std::size_t i = 0; i < layout_.on_spine; ++i)
        bear(nodes_[i], *layout_.screws[i], -layout_.screws[i]->path.into_bone);
    } else {
      bear(nodes_.front(), *layout_.screws.front(), layout_.outward);
      bear(nodes_.back(), *layout_.screws[layout_.on_spine - 1], layout_.outward);
    }
    return built;
  }

 private:
  double hole_mm(const PlacedAnchor& screw) const { return screw.path.diameter_mm + number_.scalar("plate.hole_clearance"); }
  Section section(double hole_mm) const {
    constexpr double kLeastLeft = 0.2;  // a hole as wide as the plate would leave none: the reader's limits keep it above
    return rectangular_section(std::max(kLeastLeft * layout_.width_mm, layout_.width_mm - hole_mm), layout_.thickness_mm,
                               metal_);
  }
  const Vector3& position(BodyId node) const { return mesh::body(assembly_.system(), node).position_mm; }

  BodyId add_node(const Vector3& at) {
    return assembly_.add_body(at, BodyKind::metal, assembly_.item(OriginKind::plate, layout_.label));
  }

  /// A straight free beam is exact: one element for each stretch of one section.
  void beam(BodyId a, BodyId b, const Vector3& sideways, const Section& s) {
    const Vector3 along = position(b) - position(a);
    assembly_.system().beams.push_back({.a = a,
                                        .b = b,
                                        .global_from_beam = beam_frame(along, sideways),
                                        .length_mm = along.norm(),
                                        .section = s,
                                        .item = assembly_.item(OriginKind::plate, layout_.label)});
  }

  /// The strip to the next hole: net of the holes along half their width, whole between.
  void go_to(const Vector3& at, double hole) {
    if (nodes_.empty()) {
      nodes_.push_back(add_node(at));
      last_hole_ = hole;
      return;
    }
    const BodyId from = nodes_.back();
    const Vector3 start = position(from);
    const double length = (at - start).norm();
    const Vector3 axis = (at - start) / length;
    const Vector3 sideways = axis.cross(layout_.outward);
    BodyId last = from;
    const double before = 0.5 * last_hole_;
    const double after = 0.5 * hole;
    const BodyId end = add_node(at);
    if (before + after >= length) {
      beam(last, end, sideways, section(std::max(hole, last_hole_)));
    } else {
      if (before > 0.0) {
        const BodyId edge = add_node(start + before * axis);
        beam(last, edge, sideways, section(last_hole_));
        last = edge;
      }
      if (after > 0.0) {
        const BodyId edge = add_node(at - after * axis);
        beam(last, edge, sideways, section(0.0));
        beam(edge, end, sideways, section(hole));
      } else {
        beam(last, end, sideways, section(0.0));
      }
    }
    nodes_.push_back(end);
    last_hole_ = hole;
  }

  BodyId arm(models::Side side) {
    const BodyId holder = add_node(layout_.holder_mm(side, number_));
    beam(nodes_.back(), holder, downwards(assembly_, layout_), arm_section());
    return holder;
  }

  /// A screw beside the strip of a midline plate sits in a wing of it.
  BodyId wing(const PlacedAnchor& screw) {
    const Vector3 at = screw.path.lock_mm();
    const BodyId nearest = *std::min_element(nodes_.begin(), nodes_.end(), [&](BodyId a, BodyId b) {
      return (position(a) - at).norm() < (position(b) - at).norm();
    });
    const BodyId node = add_node(at);
    beam(nearest, node, downwards(assembly_, layout_), arm_section());
    return node;
  }

  Section arm_section() const {
    return rectangular_section(number_.scalar("plate.midline.arm_width"), layout_.thickness_mm, metal_);
  }

  void lock(const PlacedAnchor& screw, BodyId node) {
    Cushion cushion;
    cushion.a = screw.head;
    cushion.b = node;
    cushion.point_mm = screw.path.lock_mm();
    const double slide = number_.scalar(stem_ + ".hole.translation_stiffness");
    const double turn = number_.scalar(stem_ + ".hole.rotation_stiffness");
    cushion.stiffness.diagonal() << slide, slide, slide, turn, turn, turn;
    cushion.item = assembly_.item(OriginKind::lock, "lock of " + screw.label + " in " + layout_.label);
    assembly_.system().cushions.push_back(cushion);
  }

  /// Both edges of the plate at this node lie on the bone below it.
  void bear(BodyId node, const PlacedAnchor& screw, const Vector3& outward) {
    assembly_.system().bodies[static_cast<std::size_t>(node.value)].port = true;
    const Vector3 axis = nodes_.size() > 1 ? Vector3(position(nodes_.back()) - position(nodes_.front())) : -Vector3::UnitZ();
    const Vector3 aside = across(axis.cross(outward), outward);
    for (const double side : {-1.0, 1.0}) {
      const Vector3 at = position(node) - screw.path.free_shank_mm * outward + side * 0.5 * layout_.width_mm * aside;
      assembly_.system().pads.push_back({.a = {node, at},
                                         .b = assembly_.bone(screw.anchor->level, screw.anchor->side),
                                         .vertex_mm = at,
                                         .global_from_surface = surface_frame(axis, outward),
                                         .law = ToeLinear{.stiffness = 0.5 * bearing_stiffness(assembly_)},
                                         .item = assembly_.item(OriginKind::plate, layout_.label + " on bone")});
    }
  }

  Assembly& assembly_;
  const models::ParameterReader& number_;
  const PlateLayout& layout_;
  std::string stem_;
  Elastic metal_{};
  std::vector<BodyId> nodes_{};  ///< one per hole, then the lower end
  double last_hole_ = 0.0;
};

}  // namespace

Vector3 PlateLayout::holder_mm(models::Side side, const models::ParameterReader& number) const {
  if (plate->kind != PlateKind::midline) return lower_end_mm;
  return lower_end_mm + models::sign(side) * number.scalar("plate.midline.holder_offset") * Vector3::UnitY();
}

std::vector<PlateLayout> lay_out_plates(const Assembly& assembly, const models::Construct& construct,
                                        const std::vector<PlacedAnchor>& anchors) {
  const models::ParameterReader& number = assembly.number();
  std::vector<PlateLayout> layouts;
  for (const models::Plate& plate : construct.plates) {
    const std::string stem = "plate." + std::string(word(plate.kind));
    PlateLayout layout;
    layout.plate = &plate;
    layout.label = "plate '" + plate.name + "'";
    for (const std::string& name : plate.through) layout.screws.push_back(&find_placed(anchors, name));
    if (layout.screws.empty()) {
      layout.complaint = {BuildComplaint::Code::nothing_held, layout.label, layout.label + " has no screw."};
      layouts.push_back(std::move(layout));
      continue;
    }
    layout.on_spine = layout.screws.size();
    if (plate.kind == PlateKind::midline) {
      const auto wings = std::stable_partition(layout.screws.begin(), layout.screws.end(),
                                               [](const PlacedAnchor* s) { return models::is_midline(s->anchor->kind); });
      if (wings != layout.screws.begin()) layout.on_spine = static_cast<std::size_t>(wings - layout.screws.begin());
    }
    Vector3 outward = Vector3::Zero();
    for (std::size_t i = 0; i < layout.on_spine; ++i) outward -= layout.screws[i]->path.into_bone;
    layout.outward = outward.normalized();
    layout.width_mm = given_or(plate.width_mm, assembly, stem + ".width");
    layout.thickness_mm = given_or(plate.thickness_mm, assembly, stem + ".thickness");
    layout.lower_end_mm = layout.screws[layout.on_spine - 1]->path.lock_mm();
    for (std::size_t i = 1; i < layout.on_spine; ++i)
      if ((layout.screws[i]->path.lock_mm() - layout.screws[i - 1]->path.lock_mm()).norm() <
          layout.screws[i]->path.diameter_mm)
        layout.complaint = {BuildComplaint::Code::locks_coincide, layout.label,
                            "In " + layout.label + " the holes of " + layout.screws[i - 1]->label + " and " +
                                layout.screws[i]->label + " run into each other."};
    if (!layout.complaint) {
      if (plate.kind != PlateKind::lateral_mass)
        layout.lower_end_mm += number.scalar(stem + ".below") * downwards(assembly, layout);
      layout.complaint = missed_screw(layout, number.scalar("lock.reach"));
    }
    layouts.push_back(std::move(layout));
  }
  return layouts;
}

std::vector<BuiltPlate> add_plates(Assembly& assembly, const std::vector<PlateLayout>& plates) {
  std::vector<BuiltPlate> built;
  for (const PlateLayout& plate : plates) built.push_back(PlateBuilder(assembly, plate).build());
  return built;
}

}  // namespace opisthion::mesh
