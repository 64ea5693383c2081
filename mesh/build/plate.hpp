// SPDX-License-Identifier: MIT
#pragma once
// Plates: strips of metal through the heads of their screws.
#include <optional>
#include <string>
#include <vector>

#include "mesh/build/hardware.hpp"

namespace opisthion::mesh {

/// Where a plate lies: no bodies yet.
struct PlateLayout {
  const models::Plate* plate = nullptr;
  std::string label{};  ///< "plate 'occiput'"
  std::vector<const PlacedAnchor*>
      screws{};                         ///< from above to below, the midline plate's wing screws after those of its spine
  std::size_t on_spine = 0;             ///< how many of them its strip runs through
  Vector3 outward = -Vector3::UnitX();  ///< mean, away from the bone
  double width_mm = 0.0;
  double thickness_mm = 0.0;
  Vector3 lower_end_mm = Vector3::Zero();  ///< beyond the lowest screw: arms (midline) or the rod's place (paramedian)
  std::optional<BuildComplaint> complaint{};
  /// Where a rod on this side locks: the midline plate's arm, or the lower end of the others.
  Vector3 holder_mm(models::Side side, const models::ParameterReader& number) const;
};

/// Straight strips that are bent across their holes out of their plane, never within it: a screw that stands aside of the
/// line from the first to the last hole by more than `lock.reach` is missed, which is a complaint.
std::vector<PlateLayout> lay_out_plates(const Assembly& assembly, const models::Construct& construct,
                                        const std::vector<PlacedAnchor>& anchors);

/// A plate as built.
struct BuiltPlate {
  const PlateLayout* layout = nullptr;
  BodyId left{};  ///< where a rod on the left locks
  BodyId right{};
  BodyId holder(models::Side side) const { return side == models::Side::left ? left : right; }
};
/// The strip with its holes, locks of its screws, arms, and the bone that it presses on: four corners on the occiput, both
/// edges at every hole on lateral masses.
std::vector<BuiltPlate> add_plates(Assembly& assembly, const std::vector<PlateLayout>& plates);

}  // namespace opisthion::mesh
