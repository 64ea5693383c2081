// SPDX-License-Identifier: MIT
#include "models/hardware/anchor.hpp"

namespace opisthion::models {

std::string_view title(AnchorKind kind) {
  switch (kind) {
    case AnchorKind::lateral_mass:
      return "lateral mass";
    case AnchorKind::pars:
      return "pars";
    case AnchorKind::pedicle:
      return "pedicle";
    case AnchorKind::laminar:
      return "laminar";
    case AnchorKind::transarticular:
      return "transarticular";
  }
  return "";
}

}  // namespace opisthion::models
