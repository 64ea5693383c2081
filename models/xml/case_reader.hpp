// SPDX-License-Identifier: MIT
#pragma once
// Reads elements attribute by attribute: what is wrong becomes a finding at its place, and what could not be read is not
// trusted by the rules.
#include <optional>
#include <string>
#include <string_view>

#include "models/case/case.hpp"
#include "models/library/parameter_table.hpp"
#include "models/xml/element.hpp"
#include "models/xml/findings.hpp"
#include "models/xml/nearest.hpp"
#include "models/xml/places.hpp"
#include "models/xml/words.hpp"

namespace opisthion::models::xml {

/// One element being read: its attributes by name, its place in messages and its path for the rules.
struct Cursor {
  const Element& element;
  std::string where;
  std::string path;
};

class CaseReader {
 public:
  explicit CaseReader(const ParameterTable& of) : parameters(of) {}

  const ParameterTable& parameters;
  Places places{};
  Findings findings{};

  Cursor cursor(const Element& element, std::string path, std::string_view parent_called);

  /// Calls read(cursor) for each child of this name. With more than one allowed the path ends in "[index]".
  template <class Read>
  void each(const Cursor& parent, std::string_view child_name, const Read& read) {
    const bool repeated = is_repeated(parent, child_name);
    const bool in_case = parent.element.name == "case";
    std::size_t index = 0;
    for (const Element& child : parent.element.children) {
      if (child.name != child_name) continue;
      std::string path = (in_case ? "" : parent.path + "/") + std::string(child_name);
      if (repeated) path += "[" + std::to_string(index) + "]";
      if (!repeated && index > 0) return;  // a second one was reported
      ++index;
      read(cursor(child, std::move(path), in_case ? "" : parent.where));
    }
  }

  /// The attribute, if it is there; a required one that is missing was reported and makes its path unread.
  const Attribute* attribute(const Cursor& at, std::string_view name);
  std::string name(const Cursor& at, std::string_view attribute_name = "name");
  /// Within its limits, internal unit.
  std::optional<double> quantity(const Cursor& at, std::string_view attribute_name);
  /// A whole number within its limits.
  std::optional<int> count(const Cursor& at, std::string_view attribute_name);
  /// Three numbers; unit length on return. A direction that is of unit length already stays as it is, to the last bit.
  Eigen::Vector3d direction(const Cursor& at, std::string_view attribute_name);
  bool yes(const Cursor& at, std::string_view attribute_name) { return word<bool>(at, attribute_name).value_or(false); }

  template <class E>
  std::optional<E> word(const Cursor& at, std::string_view attribute_name) {
    const Attribute* found = attribute(at, attribute_name);
    if (found == nullptr) return std::nullopt;
    const std::optional<E> value = value_of<E>(found->value);
    if (!value) bad_word(at, *found);
    return value;
  }

  void bad(const Cursor& at, const Attribute& found, FindingCode code, std::string expected, std::string nearest = {});
  void bad_word(const Cursor& at, const Attribute& found);
  /// An attribute that has no meaning there: "anchor 'x': expected no side, for ..., found attribute 'side'".
  void superfluous(const Cursor& at, std::string_view attribute_name, std::string expected);
  /// An attribute that is needed there, though not everywhere; makes its path unread.
  void missing(const Cursor& at, std::string_view attribute_name, std::string_view why);
  void distrust(std::initializer_list<std::string_view> paths);

 private:
  static bool is_repeated(const Cursor& parent, std::string_view child_name);
};

FindingCode code_of(QuantityProblem::Kind kind);

Neck read_neck(CaseReader& reader, const Cursor& at);
Bench read_bench(CaseReader& reader, const Cursor& at);
Construct read_construct(CaseReader& reader, const Cursor& at);

}  // namespace opisthion::models::xml
