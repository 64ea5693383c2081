// SPDX-License-Identifier: MIT
#include "solver/study/figure.hpp"

#include <cmath>
#include <cstdio>

namespace opisthion::study {

std::string figure(double value, int decimals) {
  if (!std::isfinite(value)) return "-";
  const double half = 0.5 * std::pow(10.0, -decimals);
  char text[64];
  std::snprintf(text, sizeof text, "%.*f", decimals, std::abs(value) < half ? 0.0 : value);
  return text;
}

std::string small_number(double value) {
  char text[32];
  std::snprintf(text, sizeof text, "%.1e", value);
  return text;
}

}  // namespace opisthion::study
