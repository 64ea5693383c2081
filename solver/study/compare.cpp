// SPDX-License-Identifier: MIT
#include "solver/study/compare.hpp"

#include <cmath>

namespace opisthion::study {
namespace {

const MotionResult* find(const ConstructResult& construct, models::Motion motion) {
  if (construct.row != RowKind::construct) return nullptr;  // a neck without metal is no choice
  for (const MotionResult& result : construct.motions)
    if (result.motion == motion && result.status == Status::solved)
      return &result;  // small-displacement values prove nothing
  return nullptr;
}

}  // namespace

bool below_resolution_deg(double rotation_deg) {
  return std::abs(rotation_deg) < kRotationResolution_deg;
}
bool below_resolution_mm(double travel_mm) {
  return std::abs(travel_mm) < kTravelResolution_mm;
}

std::vector<Indistinct> not_distinguishable(const std::vector<ConstructResult>& constructs) {
  std::vector<Indistinct> out;
  for (const models::Motion motion : models::kMotions)
    for (std::size_t i = 0; i < constructs.size(); ++i)
      for (std::size_t j = i + 1; j < constructs.size(); ++j) {
        const MotionResult* a = find(constructs[i], motion);
        const MotionResult* b = find(constructs[j], motion);
        if (a == nullptr || b == nullptr) continue;
        const double difference = std::abs(a->rotation_deg - b->rotation_deg);
        if (below_resolution_deg(difference))
          out.push_back({.motion = motion, .a = constructs[i].name, .b = constructs[j].name, .difference_deg = difference});
      }
  return out;
}

}  // namespace opisthion::study
