// SPDX-License-Identifier: MIT
#pragma once
#include <vector>

#include "solver/study/assessment.hpp"

namespace opisthion::study {

/// Whether there is a figure to compare: solved, or a small-displacement value of an approximate one.
inline bool has_figure(Status status) {
  return status == Status::solved || status == Status::approximate;
}

bool below_resolution_deg(double rotation_deg);
bool below_resolution_mm(double travel_mm);

/// Pairs of constructs whose rotations in one motion differ by less than a bench can see, by motion, then in the case's
/// order.
std::vector<Indistinct> not_distinguishable(const std::vector<ConstructResult>& constructs);

}  // namespace opisthion::study
