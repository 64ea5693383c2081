// SPDX-License-Identifier: MIT
#pragma once
// What must hold between the parts of a case, whether it came from a file or was made in memory.
#include <vector>

#include "models/case/case.hpp"
#include "models/library/parameter_table.hpp"
#include "models/xml/finding.hpp"
#include "models/xml/places.hpp"

namespace opisthion::models {

/// Levels and their order, joints modelled so far, names, anchors and where they may sit, rods, loads, library numbers that
/// are set otherwise. All findings, not sorted.
std::vector<Finding> validate(const Case& the_case, const ParameterTable& parameters, const Places& places = {});

}  // namespace opisthion::models
