// SPDX-License-Identifier: MIT
#pragma once
// A construct against the neck without metal.
#include <vector>

#include "solver/study/assessment.hpp"

namespace opisthion::study {

/// Share of one rotation of another [%]. None unless both motions are solved and the other turns by what a bench can see: a
/// small-displacement value is no share of intact.
std::optional<double> percent_of(const MotionResult& motion, const MotionResult& reference);

/// Fills percent_of_intact and percent_of_injured of every row: constructs have both, the injured neck has that of intact.
void share_out(std::vector<ConstructResult>& rows);

}  // namespace opisthion::study
