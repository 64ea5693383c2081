// SPDX-License-Identifier: MIT
#pragma once
#include <string>
#include <string_view>

#include "models/xml/element.hpp"

namespace opisthion::models::xml {

/// Text that an XML parser turns back into the same characters, inside a double-quoted attribute value.
std::string escaped_attribute(std::string_view text);
/// The same for character data.
std::string escaped_text(std::string_view text);

/// The tree as an XML document, two blanks per depth, one element a line. Offsets are not looked at.
std::string serialise(const Element& root);

}  // namespace opisthion::models::xml
