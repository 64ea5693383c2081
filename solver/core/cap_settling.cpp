// SPDX-License-Identifier: MIT
#include "solver/core/cap_settling.hpp"

#include <algorithm>

namespace opisthion::core {
namespace {

constexpr double kLeastRelaxation = 0.1;
constexpr double kMostRelaxation = 4.0;

}  // namespace

double relaxation(double before, const std::vector<double>& step_before, const std::vector<double>& step) {
  double above = 0.0;
  double below = 0.0;
  for (std::size_t i = 0; i < step.size(); ++i) {
    const double difference = step[i] - step_before[i];
    above += step_before[i] * difference;
    below += difference * difference;
  }
  if (!(below > 0.0)) return before;
  return std::clamp(-before * above / below, kLeastRelaxation, kMostRelaxation);
}

}  // namespace opisthion::core
