// SPDX-License-Identifier: MIT
#pragma once
// A plain element tree. pugixml fills it natively (models/xml/native), the browser's parser fills it in the page.
#include <cstddef>
#include <string>
#include <vector>

namespace opisthion::models::xml {

struct Attribute {
  std::string name{};
  std::string value{};
  std::size_t name_offset = 0;  ///< bytes from the start of the file
  std::size_t value_offset = 0;
  std::size_t value_length = 0;  ///< as written, entities unexpanded
};

struct Element {
  std::string name{};
  std::string text{};  ///< character data, children's excluded, trimmed
  std::size_t name_offset = 0;
  std::size_t text_offset = 0;
  std::vector<Attribute> attributes{};
  std::vector<Element> children{};
  const Attribute* find(std::string_view attribute_name) const;
};

}  // namespace opisthion::models::xml
