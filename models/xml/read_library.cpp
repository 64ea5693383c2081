// SPDX-License-Identifier: MIT
#include "models/xml/read_library.hpp"

#include <optional>
#include <string>
#include <utility>
#include <variant>

#include "models/library/library_unit.hpp"
#include "models/xml/nearest.hpp"
#include "models/xml/quantity.hpp"

namespace opisthion::models {

namespace {

using Words = std::vector<std::string_view>;

const Words& attributes_of(std::string_view element) {
  static const Words library{"name", "about"};
  static const Words number{"id", "value", "unit", "low", "high", "spread", "certainty", "source", "note"};
  static const Words point{"id", "x", "y", "z", "unit", "spread", "certainty", "source", "note"};
  static const Words curve{"id", "at_unit", "value_unit", "spread", "certainty", "source", "note"};
  if (element == "library") return library;
  if (element == "number") return number;
  return element == "point" ? point : curve;
}

/// A value with its unit resolved.
struct Resolved {
  double value = 0.0;  ///< internal
  double written = 0.0;
  const Unit* unit = nullptr;
};

class FileReader {
 public:
  FileReader(std::string_view file, ParameterTable& table) : file_(file), table_(&table) {}

  std::vector<Finding> read(const xml::Element& root) {
    if (root.name != "library") {
      report(FindingCode::wrong_root, root, "", root.name, "library");
      return std::move(findings_);
    }
    check_attributes(root, attributes_of("library"), "library");
    for (const xml::Element& child : root.children) {
      const std::size_t before = findings_.size();
      if (child.name == "number")
        number(child);
      else if (child.name == "point")
        point(child);
      else if (child.name == "curve")
        curve(child);
      else
        report(FindingCode::unknown_element, child, "library", child.name, "number, point or curve",
               nearest_word(child.name, {"number", "point", "curve"}));
      if (findings_.size() == before && !table_->add(parameter_))
        report(FindingCode::duplicate_id, child, where(child), parameter_.id, "an id that no other number has");
    }
    return std::move(findings_);
  }

 private:
  void report(FindingCode code, const xml::Element& element, std::string where, std::string found, std::string expected,
              std::string nearest = {}) {
    findings_.push_back({code, Severity::error, element.name_offset, element.name.size(), std::move(where), std::move(found),
                         std::move(expected), std::move(nearest)});
  }

  void report(FindingCode code, const xml::Element& element, const xml::Attribute& attribute, std::string expected,
              std::string nearest = {}) {
    findings_.push_back({code, Severity::error, attribute.value_offset, attribute.value_length,
                         where(element) + ", attribute '" + attribute.name + "'", attribute.value, std::move(expected),
                         std::move(nearest)});
  }

  static std::string where(const xml::Element& element) {
    const xml::Attribute* id = element.find("id");
    return id == nullptr ? element.name : element.name + " '" + id->value + "'";
  }

  void check_attributes(const xml::Element& element, const Words& known, const std::string& place) {
    for (const xml::Attribute& attribute : element.attributes) {
      bool is_known = false;
      for (const std::string_view word : known) is_known = is_known || word == attribute.name;
      if (!is_known)
        findings_.push_back({FindingCode::unknown_attribute, Severity::error, attribute.name_offset, attribute.name.size(),
                             place, attribute.name, "", nearest_word(attribute.name, known)});
    }
    if (!element.text.empty()) report(FindingCode::unexpected_text, element, place, element.text, "no text");
  }

  /// The attribute's text; reports when it is missing or empty.
  std::string required(const xml::Element& element, std::string_view name, FindingCode code) {
    const xml::Attribute* attribute = element.find(name);
    if (attribute != nullptr && !attribute->value.empty()) return attribute->value;
    report(code, element, where(element), "", "attribute '" + std::string(name) + "'");
    return {};
  }

  static std::string optional_text(const xml::Element& element, std::string_view name) {
    const xml::Attribute* attribute = element.find(name);
    return attribute == nullptr ? std::string{} : attribute->value;
  }

  /// What every number needs, whatever its shape.
  void begin(const xml::Element& element) {
    check_attributes(element, attributes_of(element.name), where(element));
    parameter_ = Parameter{};
    parameter_.file = std::string(file_);
    parameter_.id = required(element, "id", FindingCode::missing_attribute);
    parameter_.source = required(element, "source", FindingCode::unsourced_number);
    parameter_.spread = required(element, "spread", FindingCode::missing_attribute);
    parameter_.note = optional_text(element, "note");
    const std::string word = required(element, "certainty", FindingCode::missing_attribute);
    const std::optional<Certainty> certainty = certainty_from_name(word);
    if (certainty) {
      parameter_.certainty = *certainty;
    } else if (!word.empty()) {
      const std::string expected = "seen, quoted, memory, memory_low, derived, interpolated, synthesis or assumed";
      report(
          FindingCode::unknown_word, element, *element.find("certainty"), expected,
          nearest_word(word, {"seen", "quoted", "memory", "memory_low", "derived", "interpolated", "synthesis", "assumed"}));
    }
  }

  /// "33.8 N/mm", or a plain number where the element says unit="1".
  std::optional<Resolved> quantity(const xml::Element& element, std::string_view name) {
    const xml::Attribute* attribute = element.find(name);
    if (attribute == nullptr) {
      report(FindingCode::missing_attribute, element, where(element), "", "attribute '" + std::string(name) + "'");
      return std::nullopt;
    }
    const std::string_view text = attribute->value;
    const std::size_t blank = text.find(' ');
    const std::optional<double> written = parse_number(text.substr(0, blank));
    if (!written) {
      report(FindingCode::bad_number, element, *attribute, "a number with its unit, such as 3.5 mm");
      return std::nullopt;
    }
    const xml::Attribute* plain = element.find("unit");
    const bool is_plain = plain != nullptr && plain->value == "1";
    if (blank == std::string_view::npos) {
      if (is_plain) return Resolved{*written, *written, find_unit("1")};
      report(FindingCode::bad_unit, element, *attribute, "a unit, or unit=\"1\" for a plain number");
      return std::nullopt;
    }
    const Unit* unit = find_library_unit(text.substr(blank + 1));
    if (unit == nullptr || plain != nullptr) {
      report(FindingCode::bad_unit, element, *attribute, plain != nullptr ? "the unit in one place" : "a known unit");
      return std::nullopt;
    }
    return Resolved{unit->to_internal(*written), *written, unit};
  }

  void number(const xml::Element& element) {
    begin(element);
    no_children(element);
    const std::optional<Resolved> value = quantity(element, "value");
    if (!value) return;
    parameter_.values = {value->value};
    parameter_.written = {value->written};
    parameter_.unit = std::string(value->unit->word);
    if (element.find("low") != nullptr) parameter_.low = bound(element, "low", *value);
    if (element.find("high") != nullptr) parameter_.high = bound(element, "high", *value);
    if (parameter_.low && *parameter_.low > value->value)
      report(FindingCode::out_of_range, element, *element.find("low"), "no more than the value");
    if (parameter_.high && *parameter_.high < value->value)
      report(FindingCode::out_of_range, element, *element.find("high"), "no less than the value");
  }

  std::optional<double> bound(const xml::Element& element, std::string_view name, const Resolved& value) {
    const std::optional<Resolved> limit = quantity(element, name);
    if (!limit) return std::nullopt;
    if (limit->unit != value.unit) {
      report(FindingCode::bad_unit, element, *element.find(name), "the unit of the value, " + parameter_.unit);
      return std::nullopt;
    }
    return limit->value;
  }

  void point(const xml::Element& element) {
    begin(element);
    no_children(element);
    const Unit* unit = nullptr;
    for (const std::string_view name : {"x", "y", "z"}) {
      const std::optional<Resolved> value = quantity(element, name);
      if (!value) continue;
      if (unit == nullptr) unit = value->unit;
      if (value->unit != unit) report(FindingCode::bad_unit, element, *element.find(name), "one unit for x, y and z");
      parameter_.values.push_back(value->value);
      parameter_.written.push_back(value->written);
      parameter_.unit = std::string(unit->word);
    }
  }

  void curve(const xml::Element& element) {
    begin(element);
    const Unit* at_unit = unit_attribute(element, "at_unit");
    const Unit* value_unit = unit_attribute(element, "value_unit");
    if (at_unit == nullptr || value_unit == nullptr) return;
    parameter_.unit = std::string(at_unit->word).append(";").append(value_unit->word);
    for (const xml::Element& child : element.children) {
      if (child.name != "point") {
        report(FindingCode::unknown_element, child, where(element), child.name, "point");
        continue;
      }
      check_attributes(child, {"at", "value"}, where(element));
      for (const auto& [name, unit] : {std::pair{"at", at_unit}, std::pair{"value", value_unit}}) {
        const xml::Attribute* attribute = child.find(name);
        const std::optional<double> written = attribute == nullptr ? std::nullopt : parse_number(attribute->value);
        if (attribute == nullptr)
          report(FindingCode::missing_attribute, child, where(element), "", std::string("attribute '") + name + "'");
        else if (!written)
          report(FindingCode::bad_number, child, *attribute, "a number; the curve says the unit");
        parameter_.written.push_back(written.value_or(0.0));
        parameter_.values.push_back(unit->to_internal(written.value_or(0.0)));
      }
    }
    if (parameter_.values.size() < 4)
      report(FindingCode::missing_element, element, where(element), "", "at least two points");
    for (std::size_t i = 2; i + 1 < parameter_.values.size(); i += 2)
      if (parameter_.values[i] <= parameter_.values[i - 2] || parameter_.values[i + 1] < parameter_.values[i - 1])
        report(FindingCode::out_of_range, element.children[i / 2], where(element), "",
               "points that rise in 'at' and never fall in 'value'");
  }

  const Unit* unit_attribute(const xml::Element& element, std::string_view name) {
    const std::string word = required(element, name, FindingCode::missing_attribute);
    if (word.empty()) return nullptr;
    const Unit* unit = find_library_unit(word);
    if (unit == nullptr) report(FindingCode::bad_unit, element, *element.find(name), "a known unit");
    return unit;
  }

  void no_children(const xml::Element& element) {
    for (const xml::Element& child : element.children)
      report(FindingCode::unknown_element, child, where(element), child.name, "nothing inside");
  }

  std::string_view file_;
  ParameterTable* table_;
  Parameter parameter_{};
  std::vector<Finding> findings_{};
};

}  // namespace

std::vector<Finding> read_library_file(const xml::Element& root, std::string_view file, ParameterTable& table) {
  return FileReader(file, table).read(root);
}

}  // namespace opisthion::models
