// SPDX-License-Identifier: MIT
#pragma once
// What every row of an assessment shares, whichever its kinematics.
#include <string>
#include <utility>
#include <vector>

#include "mesh/system/load.hpp"
#include "solver/study/assess.hpp"
#include "solver/study/verdict.hpp"

namespace opisthion::study {

/// Which of the program's loads an assessment runs.
bool wanted_load(const mesh::LoadCase& load_case, const AssessOptions& options);
/// Name, kind, and whether the neck takes its anchors.
ConstructResult begin_row(const models::Case& the_case, const models::Construct& construct,
                          const models::ParameterTable& parameters, RowKind row);
/// The worst record and the verdict over its loads.
void finish_row(ConstructResult& result, const std::vector<std::pair<std::string, Verdict>>& loads);

}  // namespace opisthion::study
