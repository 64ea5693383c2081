// SPDX-License-Identifier: MIT
#pragma once
#include "models/case/rod_stops.hpp"

namespace opisthion::models {

/// What a rod may do but seldom should: hang on one wired level, pass a level by.
void warn_of_rod(ConstructParts& parts, const Rod& rod, const std::vector<RodStop>& stops, const std::string& path);

}  // namespace opisthion::models
