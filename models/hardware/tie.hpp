// SPDX-License-Identifier: MIT
#pragma once
// Wire or clamp that ties the back of one level to the back of another, without a rod.
#include <optional>
#include <string>

#include "models/neck/level.hpp"

namespace opisthion::models {

/// midline_wire: under the arch or lamina above, round the spinous process below (a graft block between them).
/// sublaminar_wire: under arch and lamina on one side. spinous_wire: through or round the bases of the spinous processes.
/// clamp: two hooks drawn together by a screw, on one side.
enum class TieKind { midline_wire, sublaminar_wire, spinous_wire, clamp };
std::string_view title(TieKind kind);  ///< "midline wire"
/// Has a left and a right form; the others stand in the middle.
bool has_side(TieKind kind);

struct Tie {
  std::string name{};
  TieKind kind = TieKind::midline_wire;
  Level upper = Level::C1;
  Level lower = Level::C2;
  std::optional<Side> side{};           ///< for kinds that have one
  std::optional<double> diameter_mm{};  ///< wire
  std::optional<double> tension_N{};    ///< of each strand, as tightened; 0 is a slack wire
  friend bool operator==(const Tie&, const Tie&) = default;
};

}  // namespace opisthion::models
