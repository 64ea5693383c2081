// SPDX-License-Identifier: MIT
#pragma once
// How figures of a study are put into datasets.
#include <limits>
#include <optional>
#include <string>
#include <vector>

namespace opisthion::results {

using Values = std::vector<double>;

inline constexpr double kNone = std::numeric_limits<double>::quiet_NaN();

/// Equal states give equal bytes: no negative zero.
inline double plain(double value) {
  return value == 0.0 ? 0.0 : value;
}
inline double value_or_none(const std::optional<double>& value) {
  return value ? plain(*value) : kNone;
}

/// A line each.
inline std::string joined(const std::vector<std::string>& lines) {
  std::string out;
  for (const std::string& line : lines) out += (out.empty() ? "" : "\n") + line;
  return out;
}

}  // namespace opisthion::results
