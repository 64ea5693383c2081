// SPDX-License-Identifier: MIT
#include "models/hardware/construct.hpp"

namespace opisthion::models {

const Anchor* Construct::find_anchor(std::string_view anchor_name) const {
  for (const Anchor& anchor : anchors)
    if (anchor.name == anchor_name) return &anchor;
  return nullptr;
}

}  // namespace opisthion::models
