// SPDX-License-Identifier: MIT
#pragma once
#include <optional>
#include <string>
#include <string_view>

#include "models/neck/level.hpp"

namespace opisthion::models {

/// One grip of metal on bone.
enum class AnchorKind { lateral_mass, pars, pedicle, laminar, transarticular };
std::string_view title(AnchorKind kind);  ///< "lateral mass"

/// A cortex passed only on the near side, or on both.
enum class Purchase { unicortical, bicortical };

/// What is left out is taken from the library's default for this kind at this level.
struct Anchor {
  std::string name{};
  AnchorKind kind = AnchorKind::lateral_mass;
  Level level = Level::C1;  ///< level of the entry; a transarticular screw enters C2 and ends in C1
  Side side = Side::left;   ///< side of its head and rod; a laminar screw crosses into the other lamina
  std::optional<double> diameter_mm{};
  std::optional<double> length_mm{};  ///< in bone, from the entry to the tip
  std::optional<Purchase> purchase{};
  friend bool operator==(const Anchor&, const Anchor&) = default;
};

}  // namespace opisthion::models
