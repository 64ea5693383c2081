// SPDX-License-Identifier: MIT
#pragma once
// One row of an assessment in full kinematics: intact neck, injured neck, or construct.
#include "models/case/case.hpp"
#include "models/library/parameter_table.hpp"
#include "solver/study/assess.hpp"

namespace opisthion::study {

/// the_case: of that row (models::intact_case ... for the necks without metal).
ConstructResult assess_full(const models::Case& the_case, const models::Construct& construct,
                            const models::ParameterTable& parameters, const AssessOptions& options, RowKind row);

}  // namespace opisthion::study
