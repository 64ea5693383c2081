// SPDX-License-Identifier: MIT
#pragma once
// Units of library numbers: those of case files, and the few compound ones that only relations between numbers need.
#include <string_view>

#include "models/xml/quantity.hpp"

namespace opisthion::models {

/// nullptr when unknown. Compound units have Dimension::none: they are never mixed with others.
const Unit* find_library_unit(std::string_view word);

}  // namespace opisthion::models
