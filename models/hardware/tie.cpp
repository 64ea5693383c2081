// SPDX-License-Identifier: MIT
#include "models/hardware/tie.hpp"

namespace opisthion::models {

std::string_view title(TieKind kind) {
  switch (kind) {
    case TieKind::midline_wire:
      return "midline wire";
    case TieKind::sublaminar_wire:
      return "sublaminar wire";
    case TieKind::spinous_wire:
      return "spinous wire";
    case TieKind::clamp:
      return "clamp";
  }
  return "";
}

bool has_side(TieKind kind) {
  return kind == TieKind::sublaminar_wire || kind == TieKind::clamp;
}

}  // namespace opisthion::models
