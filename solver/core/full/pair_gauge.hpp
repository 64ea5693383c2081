// SPDX-License-Identifier: MIT
#pragma once
// Gauge elements of two bodies in their mean frame (discs, cushions): that frame, its derivatives included, has a closed
// form, and the two deformations are half the relative one each. Answers to rounding what the fit of gauge.cpp does.
#include "solver/core/full/gauge.hpp"

namespace opisthion::core::full {

/// Two ports that count alike, by rotation alone, and do not bow.
inline bool rides_in_mean_frame(const GaugeElement& element) {
  if (element.ports.size() != 2) return false;
  const GaugePort& a = element.ports[0];
  const GaugePort& b = element.ports[1];
  return a.position_weight == 0.0 && b.position_weight == 0.0 && a.rotation_weight_mm2 > 0.0 &&
         a.rotation_weight_mm2 == b.rotation_weight_mm2 && !element.bowing.there();
}

/// `evaluate` of such an element (first 12 entries, rows and columns of what `out` holds). Bodies 180 deg apart: derivatives
/// are those on the side of the rotation vector that the logarithm takes.
void evaluate_pair(const GaugeElement& element, std::span<const Pose> poses, Order order, Answer& out);

namespace detail {
/// `evaluate` of any element by the fitted frame, such pairs included: what the closed form is compared with.
void evaluate_fitted(const GaugeElement& element, std::span<const Pose> poses, Order order, GaugeWork& work, Answer& out);
}  // namespace detail

}  // namespace opisthion::core::full
