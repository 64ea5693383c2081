// SPDX-License-Identifier: MIT
#pragma once
// Numbers and quantities as files write them: "3.5 mm". The one number parser of the program: correctly rounded, and the
// same in every locale.
#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

namespace opisthion::models {

/// Decimal number: [-] digits [. digits] [e [+-] digits]. The whole text, finite, correctly rounded; nothing otherwise
/// ("1,5", "0x10", "inf", "nan", "+1", " 1", "1e999").
std::optional<double> parse_number(std::string_view text);

/// Shortest decimal text that parse_number turns into the same double. The value must be finite (asserted).
std::string format_number(double value);

enum class Dimension {
  none,
  length,
  area,
  second_moment,
  force,
  moment,
  angle,
  stress,
  foundation,
  stiffness,
  rotational_stiffness,
  density
};
std::string_view name(Dimension dimension);  ///< "length", "rotational stiffness"; none is "plain number"

/// A unit word. Internal value = written * multiply / divide (one of the two is 1, so that each conversion rounds once).
struct Unit {
  std::string_view word{};  ///< "N m/deg"; "1" for a plain number
  Dimension dimension = Dimension::none;
  double multiply = 1.0;
  double divide = 1.0;
  double to_internal(double written) const { return written * multiply / divide; }
};

/// All unit words; the first of each dimension is the internal one.
const std::vector<Unit>& units();
const Unit* find_unit(std::string_view word);  ///< nullptr when unknown
const Unit& internal_unit(Dimension dimension);
/// The unit that people write and say: N m for moments, deg for angles. For messages.
const Unit& customary_unit(Dimension dimension);
std::string unit_words(Dimension dimension);  ///< "mm, cm or m", for messages

/// A number with its unit. A plain number has the unit "1", which texts leave out.
struct Quantity {
  double value = 0.0;    ///< internal units: N, mm, MPa, N mm, rad; a percentage as a fraction
  double written = 0.0;  ///< the number as written
  std::string unit{};    ///< as written; "1" when left out
  Dimension dimension = Dimension::none;
  friend bool operator==(const Quantity&, const Quantity&) = default;
};

struct QuantityProblem {
  enum class Kind { bad_number, not_finite, missing_unit, unknown_unit, wrong_dimension } kind = Kind::bad_number;
  std::string found{};     ///< the part that is wrong: the number, the unit, or the whole text
  std::string expected{};  ///< "a length in mm, cm or m"
  std::string nearest{};   ///< a whole text that would do; may be empty
  friend bool operator==(const QuantityProblem&, const QuantityProblem&) = default;
};

/// "3.5 mm": a number, blanks, a unit word. Without a unit word it is a plain number (Dimension::none).
std::variant<Quantity, QuantityProblem> parse_quantity(std::string_view text);
/// The same, and the dimension must be this one.
std::variant<Quantity, QuantityProblem> parse_quantity(std::string_view text, Dimension dimension);

/// The value in that unit, rounded to 4 significant digits: "20 N m". For messages. The value must be finite (asserted).
std::string rounded_quantity(double internal_value, const Unit& unit);

/// Shortest text that reads back to the same double, in the asked unit. Where no number in that unit reads back to it (a
/// factor of 1000 skips doubles), the internal unit of the same dimension is used. The unit must be known (asserted).
std::string format_quantity(double internal_value, std::string_view unit_word);

}  // namespace opisthion::models
