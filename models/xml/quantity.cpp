// SPDX-License-Identifier: MIT
#include "models/xml/quantity.hpp"

#include <algorithm>
#include <cassert>
#include <clocale>
#include <cmath>
#include <cstdio>
#include <cstdlib>

#include "models/quantity/units.hpp"
#include "models/xml/nearest.hpp"

namespace opisthion::models {

namespace {

bool is_digit(char c) {
  return c >= '0' && c <= '9';
}

/// Length of the decimal number that the text begins with; 0 when it begins with none.
std::size_t number_length(std::string_view text) {
  std::size_t at = 0;
  const auto digits = [&] {
    const std::size_t from = at;
    while (at < text.size() && is_digit(text[at])) ++at;
    return at - from;
  };
  if (at < text.size() && text[at] == '-') ++at;
  const std::size_t whole = digits();
  std::size_t fraction = 0;
  if (at < text.size() && text[at] == '.') {
    ++at;
    fraction = digits();
  }
  if (whole + fraction == 0) return 0;
  const std::size_t mantissa_end = at;
  if (at < text.size() && (text[at] == 'e' || text[at] == 'E')) {
    ++at;
    if (at < text.size() && (text[at] == '+' || text[at] == '-')) ++at;
    if (digits() == 0) at = mantissa_end;
  }
  return at;
}

/// strtod of a text that is known to be a decimal number; may be infinite.
double to_double(std::string_view number) {
  std::string text(number);
  // strtod and printf follow the process's locale: a host that set a comma must not change what a file means.
  const char* point = std::localeconv()->decimal_point;
  const std::size_t at = text.find('.');
  if (at != std::string::npos && std::string_view(point) != ".") text.replace(at, 1, point);
  return std::strtod(text.c_str(), nullptr);
}

std::string lowered(std::string_view text) {
  std::string out(text);
  for (char& c : out) {
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
  }
  return out;
}

bool says_not_finite(std::string_view number) {
  if (number.size() > 10) return false;
  std::string word = lowered(number);
  if (!word.empty() && (word[0] == '-' || word[0] == '+')) word.erase(0, 1);
  return word == "inf" || word == "infinity" || word == "nan";
}

std::string phrase(Dimension dimension) {
  if (dimension == Dimension::none) return "a plain number";
  const std::string_view what = name(dimension);
  const bool vowel = what.find_first_of("aeiou") == 0;
  return std::string(vowel ? "an " : "a ").append(what).append(" in ").append(unit_words(dimension));
}

std::string_view trimmed(std::string_view text) {
  constexpr std::string_view kBlanks = " \t\r\n";
  const std::size_t from = text.find_first_not_of(kBlanks);
  if (from == std::string_view::npos) return {};
  return text.substr(from, text.find_last_not_of(kBlanks) - from + 1);
}

/// A whole text that would read well and is likely meant: "3,5 mm", "3.5mm", "+3.5 mm" and " 3.5 mm" all give "3.5 mm".
std::string likely(std::string_view text) {
  if (text.size() > 40) return {};
  std::string guess(trimmed(text));
  if (!guess.empty() && guess[0] == '+') guess.erase(0, 1);
  const std::size_t comma = guess.find(',');
  if (comma != std::string::npos && guess.find(',', comma + 1) == std::string::npos && guess.find('.') == std::string::npos)
    guess[comma] = '.';
  const std::size_t length = number_length(guess);
  if (length == 0 || !parse_number(std::string_view(guess).substr(0, length))) return {};
  const std::string_view unit = trimmed(std::string_view(guess).substr(length));
  const std::string number = guess.substr(0, length);
  std::string answer = unit.empty() ? number : number + " " + std::string(unit);
  if ((!unit.empty() && find_unit(unit) == nullptr) || unit == "1" || answer == text) return {};
  return answer;
}

std::vector<std::string_view> words(std::optional<Dimension> dimension) {
  std::vector<std::string_view> out;
  for (const Unit& unit : units())
    if (unit.word != "1" && (!dimension || unit.dimension == *dimension)) out.push_back(unit.word);
  return out;
}

std::variant<Quantity, QuantityProblem> parse(std::string_view text, std::optional<Dimension> dimension) {
  using Kind = QuantityProblem::Kind;
  const std::string expected = dimension ? phrase(*dimension) : std::string("a number with its unit, such as 3.5 mm");
  const std::size_t number_end = std::min(text.find(' '), text.size());
  const std::string_view number = text.substr(0, number_end);
  const std::optional<double> written = parse_number(number);
  if (!written) {
    const bool overflow = !number.empty() && number_length(number) == number.size();
    if (overflow || says_not_finite(number)) return QuantityProblem{Kind::not_finite, std::string(number), expected, ""};
    return QuantityProblem{Kind::bad_number, std::string(text), expected, likely(text)};
  }
  const std::size_t unit_begin = text.find_first_not_of(' ', number_end);
  if (unit_begin == std::string_view::npos) {
    if (number_end != text.size()) return QuantityProblem{Kind::bad_number, std::string(text), expected, likely(text)};
    if (dimension && *dimension != Dimension::none)
      return QuantityProblem{Kind::missing_unit, std::string(text), expected,
                             std::string(number) + " " + std::string(customary_unit(*dimension).word)};
    return Quantity{*written, *written, "1", Dimension::none};
  }
  const std::string_view word = text.substr(unit_begin);
  const Unit* unit = word == "1" ? nullptr : find_unit(word);
  if (unit == nullptr) {
    std::string nearest = nearest_word(word, words(dimension));
    if (!nearest.empty()) nearest = format_number(*written) + " " + nearest;
    return QuantityProblem{Kind::unknown_unit, std::string(word), expected, nearest};
  }
  if (dimension && unit->dimension != *dimension)
    return QuantityProblem{Kind::wrong_dimension, std::string(text), expected, ""};
  const double value = unit->to_internal(*written);
  if (!std::isfinite(value)) return QuantityProblem{Kind::not_finite, std::string(text), expected, ""};
  return Quantity{value, *written, std::string(word), unit->dimension};
}

/// Digits of %.*e as plain decimal text: 1200 and 0.0012, not 1.2e+03; an exponent only far from 1.
std::string laid_out(std::string_view digits, int exponent, bool negative) {
  std::string out = negative ? "-" : "";
  const int count = static_cast<int>(digits.size());
  if (exponent < -5 || exponent > 15) {
    out += digits.substr(0, 1);
    if (count > 1) out.append(".").append(digits.substr(1));
    return out.append("e").append(std::to_string(exponent));
  }
  if (exponent < 0) return out.append("0.").append(static_cast<std::size_t>(-exponent - 1), '0').append(digits);
  if (count <= exponent + 1) return out.append(digits).append(static_cast<std::size_t>(exponent + 1 - count), '0');
  const auto whole = static_cast<std::size_t>(exponent + 1);
  return out.append(digits.substr(0, whole)).append(".").append(digits.substr(whole));
}

/// The value rounded to this many significant digits, trailing zeros dropped.
std::string with_digits(double value, int digit_count) {
  char buffer[64];
  std::snprintf(buffer, sizeof buffer, "%.*e", digit_count - 1, std::abs(value));
  const std::string_view text(buffer);
  const std::size_t e = text.find('e');
  std::string digits;
  for (const char c : text.substr(0, e))
    if (is_digit(c)) digits += c;
  while (digits.size() > 1 && digits.back() == '0') digits.pop_back();
  return laid_out(digits, std::atoi(buffer + e + 1), std::signbit(value));
}

constexpr int kDigitsOfDouble = 17;

}  // namespace

std::optional<double> parse_number(std::string_view text) {
  if (text.empty() || number_length(text) != text.size()) return std::nullopt;
  const double value = to_double(text);
  if (!std::isfinite(value)) return std::nullopt;
  return value;
}

std::string format_number(double value) {
  assert(std::isfinite(value));
  for (int digit_count = 1; digit_count < kDigitsOfDouble; ++digit_count) {
    std::string text = with_digits(value, digit_count);
    if (parse_number(text) == value) return text;
  }
  return with_digits(value, kDigitsOfDouble);
}

std::string_view name(Dimension dimension) {
  switch (dimension) {
    case Dimension::none:
      return "plain number";
    case Dimension::length:
      return "length";
    case Dimension::area:
      return "area";
    case Dimension::second_moment:
      return "second moment of area";
    case Dimension::force:
      return "force";
    case Dimension::moment:
      return "moment";
    case Dimension::angle:
      return "angle";
    case Dimension::stress:
      return "stress";
    case Dimension::foundation:
      return "foundation stiffness";
    case Dimension::stiffness:
      return "stiffness";
    case Dimension::rotational_stiffness:
      return "rotational stiffness";
    case Dimension::density:
      return "density";
  }
  return "plain number";
}

const std::vector<Unit>& units() {
  static const std::vector<Unit> all{
      {"1", Dimension::none, 1.0, 1.0},
      {"%", Dimension::none, 1.0, 100.0},
      {"mm", Dimension::length, 1.0, 1.0},
      {"cm", Dimension::length, 10.0, 1.0},
      {"m", Dimension::length, 1000.0, 1.0},
      {"mm^2", Dimension::area, 1.0, 1.0},
      {"mm^4", Dimension::second_moment, 1.0, 1.0},
      {"N", Dimension::force, 1.0, 1.0},
      {"kN", Dimension::force, 1000.0, 1.0},
      {"N mm", Dimension::moment, 1.0, 1.0},
      {"N m", Dimension::moment, kNmm_per_Nm, 1.0},
      {"rad", Dimension::angle, 1.0, 1.0},
      {"deg", Dimension::angle, kRad_per_deg, 1.0},
      {"MPa", Dimension::stress, 1.0, 1.0},
      {"GPa", Dimension::stress, 1000.0, 1.0},
      {"N/mm^2", Dimension::stress, 1.0, 1.0},
      {"N/mm^3", Dimension::foundation, 1.0, 1.0},
      {"N/mm", Dimension::stiffness, 1.0, 1.0},
      {"N mm/rad", Dimension::rotational_stiffness, 1.0, 1.0},
      {"N m/rad", Dimension::rotational_stiffness, kNmm_per_Nm, 1.0},
      {"N m/deg", Dimension::rotational_stiffness, kNmm_per_Nm / kRad_per_deg, 1.0},
      {"mg/cm3", Dimension::density, 1.0, 1.0},
      {"g/cm3", Dimension::density, 1000.0, 1.0},
  };
  return all;
}

const Unit* find_unit(std::string_view word) {
  for (const Unit& unit : units())
    if (unit.word == word) return &unit;
  return nullptr;
}

const Unit& internal_unit(Dimension dimension) {
  for (const Unit& unit : units())
    if (unit.dimension == dimension) return unit;
  assert(false && "every dimension has a unit");
  return units().front();
}

const Unit& customary_unit(Dimension dimension) {
  std::string_view word;
  if (dimension == Dimension::moment) word = "N m";
  if (dimension == Dimension::angle) word = "deg";
  if (dimension == Dimension::rotational_stiffness) word = "N m/rad";
  const Unit* unit = find_unit(word);
  return unit == nullptr ? internal_unit(dimension) : *unit;
}

std::string unit_words(Dimension dimension) {
  std::vector<std::string_view> all;
  for (const Unit& unit : units())
    if (unit.dimension == dimension) all.push_back(unit.word);
  std::string out;
  for (std::size_t i = 0; i < all.size(); ++i) {
    if (i > 0) out += i + 1 == all.size() ? " or " : ", ";
    out += all[i];
  }
  return out;
}

std::variant<Quantity, QuantityProblem> parse_quantity(std::string_view text) {
  return parse(text, std::nullopt);
}

std::variant<Quantity, QuantityProblem> parse_quantity(std::string_view text, Dimension dimension) {
  return parse(text, dimension);
}

std::string rounded_quantity(double internal_value, const Unit& unit) {
  assert(std::isfinite(internal_value));
  constexpr int kDigits = 4;
  const std::string number = with_digits(internal_value / unit.multiply * unit.divide, kDigits);
  return unit.word == "1" ? number : number + " " + std::string(unit.word);
}

std::string format_quantity(double internal_value, std::string_view unit_word) {
  const Unit* unit = find_unit(unit_word);
  assert(unit != nullptr);
  const auto text = [](const std::string& number, const Unit& of) {
    return of.word == "1" ? number : number + " " + std::string(of.word);
  };
  const double near = internal_value / unit->multiply * unit->divide;
  if (std::isfinite(near)) {
    for (int digit_count = 1; digit_count <= kDigitsOfDouble; ++digit_count) {
      const std::string number = with_digits(near, digit_count);
      const std::optional<double> written = parse_number(number);
      if (written && unit->to_internal(*written) == internal_value) return text(number, *unit);
    }
    // The division rounded: the neighbours may still read back to the value.
    for (const double toward : {-HUGE_VAL, HUGE_VAL}) {
      const double neighbour = std::nextafter(near, toward);
      if (unit->to_internal(neighbour) == internal_value) return text(format_number(neighbour), *unit);
    }
  }
  return text(format_number(internal_value), internal_unit(unit->dimension));
}

}  // namespace opisthion::models
