// SPDX-License-Identifier: MIT
#include <algorithm>
#include <map>

#include "mesh/build/frames.hpp"
#include "mesh/build/hardware.hpp"
#include "mesh/build/seat.hpp"
#include "mesh/build/section.hpp"

namespace opisthion::mesh {

using models::AnchorLayer;
using models::BoneQuality;
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

class ScrewBuilder {
 public:
  ScrewBuilder(Assembly& assembly, const PlacedAnchor& placed, const BoneModuli& bone, double factor)
      : assembly_(assembly),
        placed_(placed),
        bone_(bone),
        factor_(factor),
        shell_bearing_(assembly.number().scalar("seat.shell_bearing")),
        metal_(screw_metal(assembly.number())),
        core_(round_section(placed.path.core_diameter_mm, metal_)),
        frame_(beam_frame(placed.path.into_bone, Vector3::UnitZ())) {
    for (const AnchorLayer& layer : placed.path.layers)
      if (layer.tissue != Tissue::none) embedded_mm_[layer.level] += layer.length_mm;
  }

  BodyId build() {
    const ItemId in_bone = assembly_.item(OriginKind::anchor, placed_.label + " in bone");
    const BodyId head = node(placed_.path.lock_mm(), in_bone);
    BodyId at = head;
    if (placed_.path.free_shank_mm > 0.0) {
      const ItemId shank = assembly_.item(OriginKind::anchor, "shank of " + placed_.label);
      const BodyId entry = node(placed_.path.entry_mm, in_bone);
      beam(at, entry, placed_.path.free_shank_mm, round_section(placed_.path.shank_diameter_mm, metal_), {}, {}, shank);
      at = entry;
    }
    double depth = 0.0;
    for (const AnchorLayer& layer : placed_.path.layers) {
      depth += layer.length_mm;
      const BodyId next = node(placed_.path.at(depth), in_bone);
      const bool held = layer.tissue != Tissue::none;
      beam(at, next, layer.length_mm, core_, held ? assembly_.bone(layer.level) : BodyId{},
           held ? foundation(layer) : Foundation{}, in_bone);
      at = next;
    }
    return head;
  }

 private:
  BodyId node(const Vector3& position, ItemId item) { return assembly_.add_body(position, BodyKind::metal, item); }

  Foundation foundation(const AnchorLayer& layer) const {
    const bool cortex = layer.tissue == Tissue::cortex;
    const Bed bed{.modulus_MPa = cortex ? bone_.cortex_MPa : bone_.cancellous_MPa,
                  .poisson = bone_.poisson,
                  .shell_mm = cortex ? layer.length_mm : 0.0,
                  .shell_bearing = shell_bearing_};
    return foundation_of(bed, placed_.path.diameter_mm, core_.bending_y_Nmm2, embedded_mm_.at(layer.level), factor_);
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
  Elastic metal_;
  Section core_;
  Matrix3 frame_;
  std::map<Level, double> embedded_mm_{};
};

}  // namespace

std::string label_of(const models::Anchor& anchor) {
  return std::string(name(anchor.level))
      .append(" ")
      .append(name(anchor.side))
      .append(" ")
      .append(models::title(anchor.kind))
      .append(" screw '")
      .append(anchor.name)
      .append("'");
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

std::vector<PlacedAnchor> add_anchors(Assembly& assembly, const models::Construct& construct) {
  const models::ParameterReader& number = assembly.number();
  assembly.mesh().foundation_factor = number.scalar("interface.foundation_factor");
  std::vector<PlacedAnchor> placed;
  if (construct.anchors.empty()) return placed;
  const BoneModuli bone = bone_moduli(assembly.neck().bone, number);
  for (const models::Anchor& anchor : construct.anchors) {
    PlacedAnchor one;
    one.anchor = &anchor;
    one.path = models::trajectory(anchor, assembly.neck(), number);
    one.label = label_of(anchor);
    one.loaded = pushed_by_bench(assembly.the_case(), anchor.name);
    one.head = ScrewBuilder(assembly, one, bone, assembly.mesh().foundation_factor).build();
    if (one.loaded) assembly.system().bodies[static_cast<std::size_t>(one.head.value)].port = true;
    placed.push_back(std::move(one));
  }
  return placed;
}

}  // namespace opisthion::mesh
