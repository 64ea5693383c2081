// SPDX-License-Identifier: MIT
#include "models/xml/words.hpp"

namespace opisthion::models::xml {

const AttributeWords* ElementWords::find_attribute(std::string_view attribute_name) const {
  for (const AttributeWords& attribute : attributes)
    if (attribute.name == attribute_name) return &attribute;
  return nullptr;
}

const ElementWords* find_element_words(std::string_view element_name) {
  for (const ElementWords& element : case_words())
    if (element.name == element_name) return &element;
  return nullptr;
}

const Unit& told_unit(const AttributeWords& words) {
  const Unit* percent = find_unit("%");
  return words.dimension == Dimension::none && percent != nullptr ? *percent : customary_unit(words.dimension);
}

std::string range_told(const AttributeWords& words) {
  if (words.holds == Holds::count)
    return "whole number from " + format_number(words.above) + " to " + format_number(words.at_most);
  const Unit& unit = told_unit(words);
  const std::string most = rounded_quantity(words.at_most, unit);
  const std::string what(words.dimension == Dimension::none ? "percentage" : name(words.dimension));
  if (words.from) return what + " from " + rounded_quantity(words.above, unit) + " to " + most;
  return what + " greater than " + format_number(words.above) + " and at most " + most;
}

std::string listed(const std::vector<std::string_view>& words) {
  std::string out;
  for (std::size_t i = 0; i < words.size(); ++i) {
    if (i > 0) out += i + 1 == words.size() ? " or " : ", ";
    out += words[i];
  }
  return out;
}

}  // namespace opisthion::models::xml
