// SPDX-License-Identifier: MIT
#pragma once
#include <string_view>

#include "models/case/bench.hpp"

namespace opisthion::models {

std::string_view title(AxialLine line);  ///< "lateral masses"

}  // namespace opisthion::models
