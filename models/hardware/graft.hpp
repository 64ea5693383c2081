// SPDX-License-Identifier: MIT
#pragma once
#include <optional>
#include <string>

#include "models/hardware/rod.hpp"
#include "models/neck/level.hpp"

namespace opisthion::models {

/// block: between the backs of two levels, props them apart under a wire or clamp. onlay: laid on, carries nothing until it
/// heals. lateral_joint: packed into a C1-C2 lateral joint.
enum class GraftKind { block, onlay, lateral_joint };

struct Graft {
  std::string name{};
  GraftKind kind = GraftKind::block;
  Level upper = Level::C1;
  Level lower = Level::C2;
  std::optional<Side> side{};  ///< block and onlay: in the middle when left out; lateral_joint needs one
  double healed = 0.0;         ///< 0 fresh, 1 solid bone
  friend bool operator==(const Graft&, const Graft&) = default;
};

/// A block in a C1-C2 lateral joint.
struct Spacer {
  std::string name{};
  Side side = Side::left;
  std::optional<double> height_mm{};  ///< what it opens the joint to; library default when left out
  Metal metal = Metal::titanium_alloy;
  friend bool operator==(const Spacer&, const Spacer&) = default;
};

}  // namespace opisthion::models
