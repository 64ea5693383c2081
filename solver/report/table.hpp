// SPDX-License-Identifier: MIT
#pragma once
#include <string>

#include "solver/study/assessment.hpp"

namespace opisthion::report {

struct TableOptions {
  std::string program{};  ///< "opisthion 0.1.0"
  bool colour = false;    ///< only for a terminal whose user did not say NO_COLOR
};

/// An assessment for people, in 100 columns: a block a construct, then the constructs side by side, then the caution.
/// Small-displacement values of approximate motions stand in parentheses; nothing is ranked.
std::string table(const study::Assessment& assessment, const TableOptions& options);

}  // namespace opisthion::report
