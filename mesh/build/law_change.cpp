// SPDX-License-Identifier: MIT
#include "mesh/build/law_change.hpp"

namespace opisthion::mesh {

ScalarLaw moved(const ScalarLaw& law, double by) {
  if (const auto* toe_linear = std::get_if<ToeLinear>(&law)) {
    ToeLinear out = *toe_linear;
    out.slack += by;
    return out;
  }
  Polygon out = std::get<Polygon>(law);
  for (std::size_t i = 0; i < static_cast<std::size_t>(out.count); ++i) out.at[i] += by;
  return out;
}

ScalarLaw scaled(const ScalarLaw& law, double factor) {
  if (const auto* toe_linear = std::get_if<ToeLinear>(&law)) {
    ToeLinear out = *toe_linear;
    out.stiffness *= factor;
    return out;
  }
  Polygon out = std::get<Polygon>(law);
  for (std::size_t i = 0; i < static_cast<std::size_t>(out.count); ++i) out.value[i] *= factor;
  out.slope_below *= factor;
  out.slope_above *= factor;
  return out;
}

}  // namespace opisthion::mesh
