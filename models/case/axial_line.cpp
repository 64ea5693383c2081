// SPDX-License-Identifier: MIT
#include "models/case/axial_line.hpp"

namespace opisthion::models {

std::string_view title(AxialLine line) {
  switch (line) {
    case AxialLine::lateral_masses:
      return "lateral masses";
    case AxialLine::dens:
      return "dens";
    case AxialLine::condyles:
      return "condyles";
    case AxialLine::body:
      return "body";
  }
  return "";
}

}  // namespace opisthion::models
