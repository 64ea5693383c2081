// SPDX-License-Identifier: MIT
#pragma once
#include <string>

#include "models/case/case.hpp"
#include "models/xml/element.hpp"

namespace opisthion::models {

/// The case as an element tree; what equals the default and may be left out is left out. Reading it gives the same case, to
/// the last bit. ParameterChange::text is written as it stands.
xml::Element write_case(const Case& the_case);
/// The same as text, ready for a file.
std::string write_case_text(const Case& the_case);

}  // namespace opisthion::models
