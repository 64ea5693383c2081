// SPDX-License-Identifier: MIT
#include "models/xml/element.hpp"

namespace opisthion::models::xml {

const Attribute* Element::find(std::string_view attribute_name) const {
  for (const Attribute& attribute : attributes)
    if (attribute.name == attribute_name) return &attribute;
  return nullptr;
}

}  // namespace opisthion::models::xml
