// SPDX-License-Identifier: MIT
#pragma once
// The vocabulary of a case file, written once: the reader checks by it, the writer words by it, the schema (case.xsd) is
// made from it and messages list it.
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "models/case/case.hpp"
#include "models/xml/quantity.hpp"

namespace opisthion::models::xml {

inline constexpr std::string_view kCaseVersion = "1";
inline constexpr std::size_t kLongestName_characters = 80;

/// What an attribute holds.
enum class Holds {
  name,       ///< 1 to 80 characters, no control characters, no blank at either end
  word,       ///< one of the words listed
  quantity,   ///< a number with a unit of the dimension, within (above, at_most]; one without a dimension is a percentage
  count,      ///< a whole number from `above` to `at_most`, without a unit
  direction,  ///< three numbers apart by blanks, not all zero
  parameter,  ///< id of a library number
  setting     ///< a quantity in the dimension of that number
};

struct AttributeWords {
  std::string_view name{};
  Holds holds = Holds::name;
  bool required = false;
  std::vector<std::string_view> words{};
  Dimension dimension = Dimension::none;
  double above = 0.0;    ///< internal unit; the value must be greater ...
  double at_most = 0.0;  ///< internal unit: far beyond anything sensible, so that a slip of unit or comma shows
  bool from = false;     ///< ... or may be `above` itself
};

struct ChildWords {
  std::string_view name{};
  bool required = false;
  bool repeated = false;
};

struct ElementWords {
  std::string_view name{};
  std::string_view about{};  ///< one sentence, for the schema
  std::vector<AttributeWords> attributes{};
  std::vector<ChildWords> children{};
  bool holds_text = false;
  const AttributeWords* find_attribute(std::string_view attribute_name) const;
};

/// The unit that a quantity's limits are told in: the customary one of its dimension, % where it has none.
const Unit& told_unit(const AttributeWords& words);
/// "whole number from 2 to 100", "length greater than 0 and at most 12 mm", "length from -20 mm to 20 mm", "percentage from
/// 0 % to 100 %".
std::string range_told(const AttributeWords& words);

/// Every element, <case> first. Names are unique: an element means the same wherever it stands.
const std::vector<ElementWords>& case_words();
const ElementWords* find_element_words(std::string_view element_name);

/// A value and its word in the file.
template <class E>
struct Word {
  E value{};
  std::string_view word{};
};
/// All words of an enumeration, in its order.
template <class E>
const std::vector<Word<E>>& words_of();
template <>
const std::vector<Word<Level>>& words_of<Level>();
template <>
const std::vector<Word<Side>>& words_of<Side>();
template <>
const std::vector<Word<Artery>>& words_of<Artery>();
template <>
const std::vector<Word<BoneQuality>>& words_of<BoneQuality>();
template <>
const std::vector<Word<JointState>>& words_of<JointState>();
template <>
const std::vector<Word<JointId>>& words_of<JointId>();
template <>
const std::vector<Word<InstabilityKind>>& words_of<InstabilityKind>();
template <>
const std::vector<Word<AxialLine>>& words_of<AxialLine>();
template <>
const std::vector<Word<Motion>>& words_of<Motion>();
template <>
const std::vector<Word<MomentKind>>& words_of<MomentKind>();
template <>
const std::vector<Word<AnchorKind>>& words_of<AnchorKind>();
template <>
const std::vector<Word<Purchase>>& words_of<Purchase>();
template <>
const std::vector<Word<Metal>>& words_of<Metal>();
template <>
const std::vector<Word<AnchorState>>& words_of<AnchorState>();
template <>
const std::vector<Word<LateralMassPath>>& words_of<LateralMassPath>();
template <>
const std::vector<Word<HookFacing>>& words_of<HookFacing>();
template <>
const std::vector<Word<Bending>>& words_of<Bending>();
template <>
const std::vector<Word<PlateKind>>& words_of<PlateKind>();
template <>
const std::vector<Word<TieKind>>& words_of<TieKind>();
template <>
const std::vector<Word<GraftKind>>& words_of<GraftKind>();
template <>
const std::vector<Word<AssemblyOrder>>& words_of<AssemblyOrder>();
template <>
const std::vector<Word<bool>>& words_of<bool>();

template <class E>
std::string_view word(E value) {
  for (const Word<E>& w : words_of<E>())
    if (w.value == value) return w.word;
  return {};
}

template <class E>
std::optional<E> value_of(std::string_view text) {
  for (const Word<E>& w : words_of<E>())
    if (w.word == text) return w.value;
  return std::nullopt;
}

/// "a", "a or b", "a, b or c".
std::string listed(const std::vector<std::string_view>& words);

}  // namespace opisthion::models::xml
