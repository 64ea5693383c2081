// SPDX-License-Identifier: MIT
#pragma once
// The hybrid protocol: a construct is turned as far as the intact neck turned under the bench's moment, and the moment that
// takes and what each joint does of it are told (Panjabi 2007, from memory).
#include "models/case/case.hpp"
#include "models/library/parameter_table.hpp"
#include "solver/study/assess.hpp"

namespace opisthion::study {

/// Fills `hybrid` of each motion of a construct's row from the intact row's solved motions. Motions that intact did not
/// solve stay without.
void add_hybrid(ConstructResult& result, const ConstructResult& intact, const models::Case& the_case,
                const models::Construct& construct, const models::ParameterTable& parameters, const AssessOptions& options);

}  // namespace opisthion::study
