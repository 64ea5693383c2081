// SPDX-License-Identifier: MIT
#pragma once
// Which rows a case has: the neck before and after the injury, then its constructs.
#include <string>
#include <vector>

#include "models/case/case.hpp"
#include "solver/study/assessment.hpp"

namespace opisthion::study {

/// A row to be: its own case (a neck without metal has another), and its construct.
struct Row {
  RowKind kind = RowKind::construct;
  models::Case the_case{};
  models::Construct construct{};
};

/// necks: the intact neck first, and the injured one where the case injures it. only_constructs: empty for all, in the
/// case's order.
std::vector<Row> rows_of(const models::Case& the_case, const std::vector<std::string>& only_constructs, bool necks);

}  // namespace opisthion::study
