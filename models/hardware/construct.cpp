// SPDX-License-Identifier: MIT
#include "models/hardware/construct.hpp"

namespace opisthion::models {

const Anchor* Construct::find_anchor(std::string_view anchor_name) const {
  for (const Anchor& anchor : anchors)
    if (anchor.name == anchor_name) return &anchor;
  return nullptr;
}

const Plate* Construct::find_plate(std::string_view plate_name) const {
  for (const Plate& plate : plates)
    if (plate.name == plate_name) return &plate;
  return nullptr;
}

const Rod* Construct::find_rod(std::string_view rod_name) const {
  for (const Rod& rod : rods)
    if (rod.name == rod_name) return &rod;
  return nullptr;
}

}  // namespace opisthion::models
