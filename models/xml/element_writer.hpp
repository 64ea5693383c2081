// SPDX-License-Identifier: MIT
#pragma once
#include <optional>
#include <string>
#include <string_view>
#include <utility>

#include "models/case/case.hpp"
#include "models/xml/element.hpp"
#include "models/xml/quantity.hpp"
#include "models/xml/words.hpp"

namespace opisthion::models::xml {

/// Builds one element, attribute by attribute.
class ElementWriter {
 public:
  explicit ElementWriter(std::string_view element_name) { element_.name = element_name; }

  ElementWriter& with(std::string_view attribute_name, std::string_view value) {
    element_.attributes.push_back({std::string(attribute_name), std::string(value), 0, 0, 0});
    return *this;
  }
  ElementWriter& with(std::string_view attribute_name, double value, std::string_view unit) {
    std::string text = format_quantity(value, unit);
    // Some shares have no percentage that reads back to their last bit, and a bare number is none: the nearest then.
    if (unit == "%" && text.back() != '%') text = format_number(100.0 * value) + " %";
    return with(attribute_name, text);
  }
  ElementWriter& with(std::string_view attribute_name, const std::optional<double>& value, std::string_view unit) {
    return value ? with(attribute_name, *value, unit) : *this;
  }
  template <class E>
  ElementWriter& with_word(std::string_view attribute_name, const std::optional<E>& value) {
    return value ? with(attribute_name, word(*value)) : *this;
  }
  /// Left out where it is what is meant without it.
  template <class E>
  ElementWriter& unless(E usual, std::string_view attribute_name, E value) {
    return value == usual ? *this : with(attribute_name, word(value));
  }
  ElementWriter& unless_zero(std::string_view attribute_name, double value, std::string_view unit) {
    return value == 0.0 ? *this : with(attribute_name, value, unit);
  }
  ElementWriter& child(Element child) {
    element_.children.push_back(std::move(child));
    return *this;
  }
  Element done() const { return element_; }

 private:
  Element element_{};
};

Element written(const Neck& neck);
Element written(const Bench& bench);
Element written(const Construct& construct);

}  // namespace opisthion::models::xml
