// SPDX-License-Identifier: MIT
#pragma once
// What the tables of an assessment share: heads of the six motions, shares, and how a row is called.
#include <array>
#include <optional>
#include <string>

#include "solver/study/assessment.hpp"

namespace opisthion::report {

/// Two lines that name the six motions, each over a column, after a first column.
std::string heads(std::size_t first, std::size_t column);

/// The shares of the rotations: of the intact neck's, of the injured one's.
struct Share {
  const char* name;
  std::optional<double> study::MotionResult::*which;
};
inline constexpr std::array<Share, 2> kShares{{{"share of intact", &study::MotionResult::percent_of_intact},
                                               {"share of injured", &study::MotionResult::percent_of_injured}}};
std::string percent(const std::optional<double>& share);
/// Rows that hold no share are left out.
bool any_share(const study::ConstructResult& construct, const Share& share);

bool is_neck(const study::ConstructResult& row);
/// "1  two transarticular"; the neck without metal has no number.
std::string titled(std::size_t number, const study::ConstructResult& construct);

}  // namespace opisthion::report
