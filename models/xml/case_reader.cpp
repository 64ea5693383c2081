// SPDX-License-Identifier: MIT
#include "models/xml/case_reader.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>

#include "models/xml/check_words.hpp"
#include "models/xml/quantity.hpp"
#include "models/xml/utf8.hpp"

namespace opisthion::models::xml {

namespace {

/// What is wrong with a name; empty when nothing is.
std::string name_problem(std::string_view text) {
  if (text.find_first_not_of(' ') == std::string_view::npos) return "a name that is not empty";
  if (character_count(text) > kLongestName_characters)
    return "a name of at most " + std::to_string(kLongestName_characters) + " characters";
  if (text.front() == ' ' || text.back() == ' ') return "a name without a blank at either end";
  for (std::size_t at = 0; at < text.size();) {
    const Character c = character_at(text, at);
    if (c.length == 0 || !allowed_in_xml(c.code)) return "a name in UTF-8";
    if (c.code < 0x20 || (c.code >= 0x7F && c.code < 0xA0)) return "a name without control characters";
    at += c.length;
  }
  return {};
}

const AttributeWords& rule(const Cursor& at, std::string_view name) {
  const ElementWords* words = find_element_words(at.element.name);
  assert(words != nullptr && words->find_attribute(name) != nullptr);
  return *words->find_attribute(name);
}

}  // namespace

FindingCode code_of(QuantityProblem::Kind kind) {
  switch (kind) {
    case QuantityProblem::Kind::bad_number:
      return FindingCode::bad_number;
    case QuantityProblem::Kind::not_finite:
      return FindingCode::not_finite;
    case QuantityProblem::Kind::missing_unit:
    case QuantityProblem::Kind::unknown_unit:
    case QuantityProblem::Kind::wrong_dimension:
      return FindingCode::bad_unit;
  }
  return FindingCode::bad_number;
}

Cursor CaseReader::cursor(const Element& element, std::string path, std::string_view parent_called) {
  places.set(path, {element.name_offset, element.name.size()});
  return {element, called(element, parent_called), std::move(path)};
}

bool CaseReader::is_repeated(const Cursor& parent, std::string_view child_name) {
  const ElementWords* words = find_element_words(parent.element.name);
  assert(words != nullptr);
  return std::any_of(words->children.begin(), words->children.end(),
                     [&](const ChildWords& child) { return child.name == child_name && child.repeated; });
}

const Attribute* CaseReader::attribute(const Cursor& at, std::string_view name) {
  const Attribute* found = at.element.find(name);
  const std::string path = at.path + "@" + std::string(name);
  if (found == nullptr) {
    if (rule(at, name).required) places.distrust(path);
    return nullptr;
  }
  places.set(path, {found->value_offset, found->value_length});
  return found;
}

void CaseReader::bad(const Cursor& at, const Attribute& found, FindingCode code, std::string expected, std::string nearest) {
  Finding out = finding_at(found, code, at.where + ", attribute '" + found.name + "'", found.value, std::move(expected));
  out.nearest = std::move(nearest);
  findings.add(std::move(out));
  places.distrust(at.path + "@" + found.name);
}

void CaseReader::superfluous(const Cursor& at, std::string_view attribute_name, std::string expected) {
  const Attribute* found = at.element.find(attribute_name);
  if (found == nullptr) return;
  Finding out = finding_at(*found, FindingCode::attribute_not_here, at.where, found->name, std::move(expected));
  out.offset = found->name_offset;
  out.length = found->name.size();
  findings.add(std::move(out));
}

void CaseReader::missing(const Cursor& at, std::string_view attribute_name, std::string_view why) {
  findings.add(finding_at(at.element, FindingCode::missing_attribute, at.where, "",
                          "attribute '" + std::string(attribute_name) + "'" + std::string(why)));
  places.distrust(at.path + "@" + std::string(attribute_name));
}

void CaseReader::distrust(std::initializer_list<std::string_view> paths) {
  for (const std::string_view path : paths) places.distrust(std::string(path));
}

std::string CaseReader::name(const Cursor& at, std::string_view attribute_name) {
  const Attribute* found = attribute(at, attribute_name);
  if (found == nullptr) return {};
  const std::string problem = name_problem(found->value);
  if (!problem.empty()) bad(at, *found, FindingCode::out_of_range, problem);
  return found->value;
}

void CaseReader::bad_word(const Cursor& at, const Attribute& found) {
  const std::vector<std::string_view>& words = rule(at, found.name).words;
  bad(at, found, FindingCode::unknown_word, listed(words),
      findings.full() ? std::string() : nearest_word(found.value, words));
}

std::optional<double> CaseReader::quantity(const Cursor& at, std::string_view attribute_name) {
  const Attribute* found = attribute(at, attribute_name);
  if (found == nullptr) return std::nullopt;
  const AttributeWords& words = rule(at, attribute_name);
  const auto parsed = parse_quantity(found->value, words.dimension);
  const bool percentage = words.dimension == Dimension::none;
  if (const auto* problem = std::get_if<QuantityProblem>(&parsed)) {
    bad(at, *found, code_of(problem->kind), percentage ? "a " + range_told(words) : problem->expected, problem->nearest);
    return std::nullopt;
  }
  const Quantity& got = *std::get_if<Quantity>(&parsed);
  if (percentage && got.unit == "1") {
    bad(at, *found, FindingCode::bad_unit, "a " + range_told(words), found->value + " %");
    return std::nullopt;
  }
  const bool high_enough = words.from ? got.value >= words.above : got.value > words.above;
  if (high_enough && got.value <= words.at_most) return got.value;
  const bool vowel = words.dimension == Dimension::angle;
  bad(at, *found, FindingCode::out_of_range, (vowel ? "an " : "a ") + range_told(words));
  return std::nullopt;
}

std::optional<int> CaseReader::count(const Cursor& at, std::string_view attribute_name) {
  const Attribute* found = attribute(at, attribute_name);
  if (found == nullptr) return std::nullopt;
  const AttributeWords& words = rule(at, attribute_name);
  const std::string expected = "a " + range_told(words);
  const bool digits = found->value.find_first_not_of("0123456789") == std::string::npos;
  const std::optional<double> number = parse_number(found->value);
  if (!number || !digits) {
    // "10 steps" and "10.0" mean 10.
    const std::optional<double> meant = parse_number(std::string_view(found->value).substr(0, found->value.find(' ')));
    const bool fits = meant && *meant >= words.above && *meant <= words.at_most && *meant == std::floor(*meant);
    bad(at, *found, FindingCode::bad_number, expected, fits ? format_number(*meant) : std::string());
    return std::nullopt;
  }
  if (*number >= words.above && *number <= words.at_most) return static_cast<int>(*number);
  bad(at, *found, FindingCode::out_of_range, expected);
  return std::nullopt;
}

Eigen::Vector3d CaseReader::direction(const Cursor& at, std::string_view attribute_name) {
  Eigen::Vector3d out = Eigen::Vector3d::UnitZ();
  const Attribute* found = attribute(at, attribute_name);
  if (found == nullptr) return out;
  std::vector<double> numbers;
  const std::string_view text = found->value;
  for (std::size_t from = text.find_first_not_of(' '); from < text.size() && numbers.size() < 4;) {
    const std::size_t end = std::min(text.find(' ', from), text.size());
    const std::optional<double> number = parse_number(text.substr(from, end - from));
    if (!number) break;
    numbers.push_back(*number);
    from = end == text.size() ? end : std::min(text.find_first_not_of(' ', end), text.size());
    if (from == text.size() && numbers.size() == 3) {
      Eigen::Vector3d given(numbers[0], numbers[1], numbers[2]);
      const double largest = given.cwiseAbs().maxCoeff();
      if (!(largest > 0.0)) break;
      constexpr double kUnit = 1e-15;
      if (largest <= 1.0 && std::abs(given.norm() - 1.0) <= kUnit) return given;
      return (given / largest).normalized();
    }
  }
  bad(at, *found, FindingCode::bad_number, "three numbers apart by blanks, x anterior, y left, z superior, not all zero");
  return out;
}

}  // namespace opisthion::models::xml
