// SPDX-License-Identifier: MIT
#pragma once
#include <string>

#include "solver/report/table.hpp"
#include "solver/study/curve.hpp"

namespace opisthion::report {

/// Curves for people, in 100 columns: a block a row, in it a table a plane (a line a moment) with what is said of each part,
/// then the caution. Approximate figures stand in parentheses, what was not reached is a dash.
std::string curves_text(const study::Curves& curves, const TableOptions& options);

}  // namespace opisthion::report
