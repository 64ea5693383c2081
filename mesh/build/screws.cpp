// SPDX-License-Identifier: MIT
#include <algorithm>
#include <cassert>
#include <cstdio>
#include <map>
#include <utility>

#include "mesh/build/frames.hpp"
#include "mesh/build/hardware.hpp"
#include "mesh/build/hook.hpp"
#include "mesh/build/seat.hpp"
#include "mesh/build/section.hpp"
#include "mesh/build/worn_hole.hpp"
#include "models/hardware/occiput_surface.hpp"

namespace opisthion::mesh {

using models::Anchor;
using models::AnchorKind;
using models::AnchorLayer;
using models::AnchorState;
using models::BoneQuality;
using models::Grip;
using models::Level;
using models::Tissue;

namespace {

/// By density the classes of quantitative CT, so that the cortex weakens with it too.
BoneQuality quality_of(const models::Bone& bone, const models::ParameterReader& number) {
  if (!bone.density_mg_per_cm3) return bone.quality;
  if (*bone.density_mg_per_cm3 < number.scalar("bone.density.limit.osteoporotic")) return BoneQuality::osteoporotic;
  if (*bone.density_mg_per_cm3 < number.scalar("bone.density.limit.osteopenic")) return BoneQuality::osteopenic;
  return BoneQuality::normal;
}

std::string_view quality_word(BoneQuality quality) {
  switch (quality) {
    case BoneQuality::normal:
      return "normal";
    case BoneQuality::osteopenic:
      return "osteopenic";
    case BoneQuality::osteoporotic:
      return "osteoporotic";
  }
  return "";
}

/// Screws are titanium alloy whatever the rods are: common practice, and the reader has no word for anything else.
Elastic screw_metal(const models::ParameterReader& number) {
  return {number.scalar("metal.titanium_alloy.modulus"), number.scalar("metal.titanium_alloy.poisson")};
}

bool pushed_by_bench(const models::Case& the_case, std::string_view anchor_name) {
  const auto& heads = the_case.bench.heads;
  return std::any_of(heads.begin(), heads.end(), [&](const auto& load) { return load.anchor == anchor_name; });
}

/// What the state of an anchor does to its bed: shares of the sound one.
struct BedShares {
  double lateral = 1.0;
  double axial = 1.0;
  double torsional = 1.0;
};
BedShares bed_shares(AnchorState state, const models::ParameterReader& number) {
  switch (state) {
    case AnchorState::sound:
      break;
    case AnchorState::loose: {
      const double left = 1.0 - number.scalar("screw.loose.stiffness_loss");
      return {left, left, left};
    }
    case AnchorState::stripped: {
      // The thread turns free as it pulls free: both hang on the bone between its turns.
      const double cut = number.scalar("screw.stripped.axial_share");
      return {number.scalar("screw.stripped.lateral_share"), cut, cut};
    }
    case AnchorState::rescue: {
      const double left = number.scalar("screw.rescue.bed_factor");
      return {left, left, left};
    }
  }
  return {};
}

class ScrewBuilder {
 public:
  ScrewBuilder(Assembly& assembly, const PlacedAnchor& placed, const BoneModuli& bone, double factor)
      : assembly_(assembly),
        placed_(placed),
        bone_(bone),
        factor_(factor),
        shell_bearing_(assembly.number().scalar("seat.shell_bearing")),
        shares_(bed_shares(placed.anchor->state, assembly.number())),
        metal_(screw_metal(assembly.number())),
        core_(round_section(placed.path.core_diameter_mm, metal_)),
        frame_(beam_frame(placed.path.into_bone, Vector3::UnitZ())) {
    for (const AnchorLayer& layer : placed.path.layers)
      if (layer.tissue != Tissue::none) embedded_mm_[layer.level] += layer.length_mm;
    // A lag screw glides in the near bone and draws the far one up; without thread in the far one there is nothing to draw.
    const Anchor& anchor = *placed.anchor;
    lagged_ = anchor.lag_N && *anchor.lag_N > 0.0 && embedded_mm_.count(models::ends_at(anchor.kind, anchor.level)) != 0 &&
              models::crosses_a_joint(anchor.kind);
  }

  BodyId build() {
    if (placed_.anchor->state == AnchorState::loose) add_worn_holes();
    const ItemId in_bone = assembly_.item(OriginKind::anchor, placed_.label + " in bone");
    const BodyId head = node(placed_.path.lock_mm(), in_bone);
    BodyId at = head;
    if (placed_.path.free_shank_mm > 0.0) {
      const ItemId shank = assembly_.item(OriginKind::anchor, "shank of " + placed_.label);
      const BodyId entry = node(placed_.path.entry_mm, in_bone);
      beam(at, entry, placed_.path.free_shank_mm, round_section(placed_.path.shank_diameter_mm, metal_), {}, {}, shank);
      at = entry;
    }
    if (lagged_) press_on(at);
    double depth = 0.0;
    for (const AnchorLayer& layer : placed_.path.layers) {
      depth += layer.length_mm;
      const BodyId next = node(placed_.path.at(depth), in_bone);
      const bool held = layer.tissue != Tissue::none;
      beam(at, next, layer.length_mm, core_, held ? bed_of(layer.level) : BodyId{}, held ? foundation(layer) : Foundation{},
           in_bone);
      at = next;
    }
    return head;
  }

 private:
  BodyId node(const Vector3& position, ItemId item) { return assembly_.add_body(position, BodyKind::metal, item); }

  /// The bone of a layer, or the worn hole in it.
  BodyId bed_of(Level level) const {
    const auto worn = worn_.find(level);
    return worn != worn_.end() ? worn->second : assembly_.bone(level, placed_.anchor->side);
  }

  void add_worn_holes() {
    std::map<Level, std::pair<double, double>> reach;  // depth of the first and last layer in each bone
    double depth = 0.0;
    for (const AnchorLayer& layer : placed_.path.layers) {
      if (layer.tissue != Tissue::none) {
        const auto [at, first] = reach.try_emplace(layer.level, depth, depth);
        at->second.second = depth + layer.length_mm;
      }
      depth += layer.length_mm;
    }
    for (const auto& [level, from_to] : reach)
      worn_[level] = add_worn_hole(assembly_, assembly_.bone(level, placed_.anchor->side),
                                   placed_.path.at(0.5 * (from_to.first + from_to.second)), placed_.path.into_bone,
                                   from_to.second - from_to.first, placed_.label);
  }

  /// The head, or the washer below it, bears on the cortex at the entry.
  void press_on(BodyId entry) {
    assembly_.system().bodies[static_cast<std::size_t>(entry.value)].port = true;
    assembly_.system().pads.push_back({.a = {entry, placed_.path.entry_mm},
                                       .b = assembly_.bone(placed_.anchor->level, placed_.anchor->side),
                                       .vertex_mm = placed_.path.entry_mm,
                                       .global_from_surface = surface_frame(frame_.col(1), -placed_.path.into_bone),
                                       .law = ToeLinear{.stiffness = bearing_stiffness(assembly_)},
                                       .tighten_N = *placed_.anchor->lag_N,
                                       .item = assembly_.item(OriginKind::anchor, "head of " + placed_.label + " on bone")});
  }

  Foundation foundation(const AnchorLayer& layer) const {
    const bool cortex = layer.tissue == Tissue::cortex;
    const Bed bed{.modulus_MPa = cortex ? bone_.cortex_MPa : bone_.cancellous_MPa,
                  .poisson = bone_.poisson,
                  .shell_mm = cortex ? layer.length_mm : 0.0,
                  .shell_bearing = shell_bearing_};
    Foundation sound =
        foundation_of(bed, placed_.path.diameter_mm, core_.bending_y_Nmm2, embedded_mm_.at(layer.level), factor_);
    sound.lateral_MPa *= shares_.lateral;
    sound.axial_MPa *= shares_.axial;
    sound.torsional_N *= shares_.torsional;
    if (lagged_ && layer.level == placed_.anchor->level) sound.axial_MPa = sound.torsional_N = 0.0;  // gliding hole
    return sound;
  }

  void beam(BodyId a, BodyId b, double length, const Section& section, BodyId bone, const Foundation& bed, ItemId item) {
    assembly_.system().beams.push_back({.a = a,
                                        .b = b,
                                        .bone = bone,
                                        .global_from_beam = frame_,
                                        .length_mm = length,
                                        .section = section,
                                        .foundation = bed,
                                        .item = item});
  }

  Assembly& assembly_;
  const PlacedAnchor& placed_;
  BoneModuli bone_;
  double factor_;
  double shell_bearing_;
  BedShares shares_;
  Elastic metal_;
  Section core_;
  Matrix3 frame_;
  bool lagged_ = false;
  std::map<Level, double> embedded_mm_{};
  std::map<Level, BodyId> worn_{};
};

/// A trajectory of the generic adult, moved with the bone it enters.
models::Trajectory posed_trajectory(const Assembly& assembly, const Anchor& anchor) {
  models::Trajectory path = models::trajectory(anchor, assembly.neck(), assembly.number());
  const Eigen::Isometry3d pose = assembly.pose(anchor.level);
  if (pose.matrix().isIdentity(0.0)) return path;  // not a digit moves
  path.entry_mm = pose * path.entry_mm;
  path.into_bone = pose.linear() * path.into_bone;
  return path;
}

/// Squama under a wire through a burr hole.
BonePatch squama(const Assembly& assembly, const Anchor& anchor) {
  const models::OcciputPoint surface = models::occiput_surface(anchor, assembly.number());
  const Eigen::Isometry3d pose = assembly.pose(anchor.level);
  BonePatch patch;
  patch.thickness_mm = assembly.number().scalar("anatomy.C0.thickness_paramedian");
  patch.outward = pose.linear() * surface.outward;
  patch.middle_mm = pose * surface.point_mm - 0.5 * patch.thickness_mm * patch.outward;
  patch.up = -(pose.linear() * surface.to_foramen);
  patch.sideways = across(models::sign(anchor.side) * Vector3::UnitY(), patch.outward);
  return patch;
}

}  // namespace

std::string label_of(const Anchor& anchor) {
  std::string label(name(anchor.level));
  if (!models::is_midline(anchor.kind)) label.append(" ").append(name(anchor.side));
  label.append(" ").append(models::title(anchor.kind));
  if (models::grip_of(anchor.kind) == Grip::screw) label.append(" screw");
  return label.append(" '").append(anchor.name).append("'");
}

std::string_view bone_word(const models::Bone& bone, const models::ParameterReader& number) {
  return quality_word(quality_of(bone, number));
}

double bearing_stiffness(const Assembly& assembly) {
  const models::ParameterReader& number = assembly.number();
  return number.scalar(std::string("bearing.stiffness.").append(bone_word(assembly.neck().bone, number)));
}

std::string one_decimal(double value) {
  char text[64];
  std::snprintf(text, sizeof text, "%.1f", value);
  return text;
}

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

double given_or(const std::optional<double>& given, const Assembly& assembly, const std::string& id) {
  return given ? *given : assembly.number().scalar(id);
}

const PlacedAnchor& find_placed(const std::vector<PlacedAnchor>& anchors, std::string_view name) {
  const auto found = std::find_if(anchors.begin(), anchors.end(), [&](const auto& p) { return p.anchor->name == name; });
  assert(found != anchors.end() && "the reader lets only known anchors through");
  return *found;
}

BoneModuli bone_moduli(const models::Bone& bone, const models::ParameterReader& number) {
  const BoneQuality quality = quality_of(bone, number);
  const std::string word(quality_word(quality));
  BoneModuli moduli;
  moduli.poisson = number.scalar("bone.poisson");
  moduli.cortex_MPa = number.scalar("bone.cortex.modulus");
  if (quality != BoneQuality::normal) moduli.cortex_MPa *= number.scalar("bone.cortex.factor." + word);
  moduli.cancellous_MPa = number.scalar("bone.cancellous.modulus." + word);
  if (bone.density_mg_per_cm3) {
    // E = a + b rho (Kopperdahl 2002), held above the lowest modulus measured so that very thin bone keeps a positive one.
    const double by_density = number.scalar("bone.density_relation.intercept") +
                              number.scalar("bone.density_relation.slope") * *bone.density_mg_per_cm3;
    moduli.cancellous_MPa = std::max(by_density, number.scalar("bone.cancellous.least_modulus"));
  }
  return moduli;
}

std::vector<PlacedAnchor> place_anchors(const Assembly& assembly, const models::Construct& construct) {
  std::vector<PlacedAnchor> placed;
  for (const Anchor& anchor : construct.anchors) {
    PlacedAnchor one;
    one.anchor = &anchor;
    one.label = label_of(anchor);
    one.loaded = pushed_by_bench(assembly.the_case(), anchor.name);
    switch (models::grip_of(anchor.kind)) {
      case Grip::screw:
        one.path = posed_trajectory(assembly, anchor);
        break;
      case Grip::wire:
        one.patch = anchor.kind == AnchorKind::occipital_wire ? squama(assembly, anchor)
                                                              : lamina(assembly, anchor.level, anchor.side);
        one.path.entry_mm = one.patch.back_mm();
        one.path.into_bone = -one.patch.outward;
        break;
      case Grip::hook:
        one.patch = lamina(assembly, anchor.level, anchor.side);
        one.path.entry_mm = hook_groove(assembly, anchor, one.patch);
        one.path.into_bone = -one.patch.outward;
        break;
    }
    placed.push_back(std::move(one));
  }
  return placed;
}

std::vector<PlacedAnchor> add_anchors(Assembly& assembly, const models::Construct& construct) {
  const models::ParameterReader& number = assembly.number();
  assembly.mesh().foundation_factor = number.scalar("interface.foundation_factor");
  std::vector<PlacedAnchor> placed = place_anchors(assembly, construct);
  if (placed.empty()) return placed;
  const BoneModuli bone = bone_moduli(assembly.neck().bone, number);
  for (PlacedAnchor& one : placed) {
    const Grip grip = models::grip_of(one.anchor->kind);
    if (grip == Grip::screw) one.head = ScrewBuilder(assembly, one, bone, assembly.mesh().foundation_factor).build();
    if (grip == Grip::hook) one.head = add_hook(assembly, one);
    if (one.loaded && one.head.valid()) assembly.system().bodies[static_cast<std::size_t>(one.head.value)].port = true;
  }
  return placed;
}

}  // namespace opisthion::mesh
