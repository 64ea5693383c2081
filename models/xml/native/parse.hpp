// SPDX-License-Identifier: MIT
#pragma once
// The only place with pugixml.
#include <string_view>
#include <tl/expected.hpp>
#include <vector>

#include "models/xml/element.hpp"
#include "models/xml/finding.hpp"

namespace opisthion::models::xml {

/// Text in UTF-8 to an element tree whose offsets count bytes of this text. At most 4 MB and 100 levels deep; no document
/// type, no entities but the five of XML, no attribute twice in one element.
tl::expected<Element, std::vector<Finding>> parse(std::string_view text);

}  // namespace opisthion::models::xml
