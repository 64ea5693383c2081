// SPDX-License-Identifier: MIT
#include <catch2/catch.hpp>
#include <clocale>
#include <cmath>
#include <cstring>
#include <limits>

#include "models/quantity/units.hpp"
#include "models/xml/nearest.hpp"
#include "models/xml/quantity.hpp"
#include "tests/reference/random.hpp"

namespace {

using namespace opisthion::models;
using Kind = QuantityProblem::Kind;

Quantity read(std::string_view text) {
  const auto parsed = parse_quantity(text);
  INFO(text);
  REQUIRE(std::holds_alternative<Quantity>(parsed));
  return std::get<Quantity>(parsed);
}

QuantityProblem problem(std::string_view text, Dimension dimension) {
  const auto parsed = parse_quantity(text, dimension);
  INFO(text);
  REQUIRE(std::holds_alternative<QuantityProblem>(parsed));
  return std::get<QuantityProblem>(parsed);
}

bool same_bits(double a, double b) {
  return std::memcmp(&a, &b, sizeof a) == 0;
}

}  // namespace

TEST_CASE("a number is read whole, or not at all") {
  for (const std::string_view text :
       {"",  " ",   "1,5",   "0x10",  "inf",    "-inf",  "nan",   "+1",       " 1",  "1 ",       "1e", "1e+", ".",
        "-", "--1", "1.2.3", "1e999", "-1e999", "1_000", "1'000", "\xC2\xB5", "1\n", "infinity", "1f", "1d5"}) {
    INFO(text);
    CHECK_FALSE(parse_number(text).has_value());
  }
  CHECK(parse_number(std::string_view("1\0", 2)) == std::nullopt);
  CHECK(parse_number("1.5") == 1.5);
  CHECK(parse_number("-0.25") == -0.25);
  CHECK(parse_number(".5") == 0.5);
  CHECK(parse_number("5.") == 5.0);
  CHECK(parse_number("1e3") == 1000.0);
  CHECK(parse_number("1E-3") == 1e-3);
}

TEST_CASE("a number is rounded correctly") {
  // Literals are rounded by the compiler, which is not ours. The texts are known hard cases: half way between two doubles,
  // the smallest normal number and its neighbour below (from memory: Clinger 1990; the 2.2250738585072012e-308 reports of
  // 2011).
  CHECK(parse_number("9007199254740993") == 9007199254740992.0);  // 2^53 + 1, a tie: to even
  CHECK(parse_number("9007199254740993.0000000000000000000000000000001") == 9007199254740994.0);
  CHECK(parse_number("2.2250738585072012e-308") == 0x1p-1022);
  CHECK(parse_number("2.2250738585072011e-308") == 0x0.fffffffffffffp-1022);
  CHECK(parse_number("4.9e-324") == 0x1p-1074);
  CHECK(parse_number("1.7976931348623157e308") == std::numeric_limits<double>::max());
  CHECK(parse_number("0.1") == 0x1.999999999999ap-4);
}

TEST_CASE("a number is read and written alike when the host has set a comma as decimal point") {
  const std::string before = std::setlocale(LC_NUMERIC, nullptr);
  bool found = false;
  for (const char* locale : {"de_DE.UTF-8", "fr_FR.UTF-8", "de_DE.utf8", "nl_NL.UTF-8"})
    found = found || std::setlocale(LC_NUMERIC, locale);
  if (!found) WARN("no locale with a decimal comma is installed: only the C locale was looked at");
  CHECK(parse_number("3.5") == 3.5);
  CHECK(parse_number("3,5") == std::nullopt);
  CHECK(format_number(3.5) == "3.5");
  std::setlocale(LC_NUMERIC, before.c_str());
}

TEST_CASE("a number is written as the shortest text that reads back to it") {
  CHECK(format_number(0.0) == "0");
  CHECK(format_number(0.1) == "0.1");
  CHECK(format_number(100.0) == "100");
  CHECK(format_number(-1234.5) == "-1234.5");
  CHECK(format_number(0.001) == "0.001");
  CHECK(format_number(1e-9) == "1e-9");
  CHECK(format_number(1.0 / 3.0) == "0.3333333333333333");
  CHECK(format_number(5e-324) == "5e-324");
  CHECK(format_number(1e22) == "1e22");
  opisthion::reference::Random random(7);
  for (int i = 0; i < 20'000; ++i) {
    const std::uint64_t bits = random.bits();
    double value = 0.0;
    std::memcpy(&value, &bits, sizeof value);
    if (!std::isfinite(value)) continue;
    const std::optional<double> back = parse_number(format_number(value));
    REQUIRE(back.has_value());
    REQUIRE(same_bits(*back, value));
  }
}

TEST_CASE("a quantity is turned into internal units") {
  CHECK(read("3.5 mm") == Quantity{3.5, 3.5, "mm", Dimension::length});
  CHECK(read("1.4 cm").value == 14.0);
  CHECK(read("0.002 m").value == 2.0);
  CHECK(read("90 deg").value == Approx(1.5707963267948966).epsilon(1e-15));
  CHECK(read("2 kN").value == 2000.0);
  CHECK(read("1.5 N m").value == 1500.0);
  CHECK(read("1.5 N mm").value == 1.5);
  CHECK(read("110 GPa").value == 110000.0);
  CHECK(read("1 N m/rad").value == 1000.0);
  CHECK(read("1 N m/deg").value == Approx(57295.779513082321).epsilon(1e-15));  // 1000 * 180/pi
  CHECK(read("150 mg/cm3").value == 150.0);
  CHECK(read("5 %").value == 0.05);
  CHECK(read("0.05") == Quantity{0.05, 0.05, "1", Dimension::none});
  CHECK(read("3.5   mm").value == 3.5);
}

TEST_CASE("a quantity that is wrong says what is wrong and what would do") {
  CHECK(problem("3.5", Dimension::length) ==
        QuantityProblem{Kind::missing_unit, "3.5", "a length in mm, cm or m", "3.5 mm"});
  // The unit that people say, not the internal one.
  CHECK(problem("1.5", Dimension::moment).nearest == "1.5 N m");
  CHECK(problem("30", Dimension::angle).nearest == "30 deg");
  CHECK(problem("50", Dimension::force).nearest == "50 N");
  CHECK(problem("150", Dimension::density).nearest == "150 mg/cm3");
  CHECK(problem("3,5 mm", Dimension::length).kind == Kind::bad_number);
  CHECK(problem("3,5 mm", Dimension::length).nearest == "3.5 mm");
  CHECK(problem("3.5mm", Dimension::length).nearest == "3.5 mm");
  CHECK(problem("+3.5 mm", Dimension::length).nearest == "3.5 mm");
  CHECK(problem(" 3.5 mm", Dimension::length).nearest == "3.5 mm");
  CHECK(problem("1,234,5 mm", Dimension::length).nearest.empty());
  CHECK(problem("inf mm", Dimension::length).kind == Kind::not_finite);
  CHECK(problem("NaN mm", Dimension::length).kind == Kind::not_finite);
  CHECK(problem("1e999 mm", Dimension::length).kind == Kind::not_finite);
  CHECK(problem("1e308 m", Dimension::length).kind == Kind::not_finite);
  CHECK(problem("1.5 Nm", Dimension::moment) ==
        QuantityProblem{Kind::unknown_unit, "Nm", "a moment in N mm or N m", "1.5 N m"});
  CHECK(problem("3 inch", Dimension::length).kind == Kind::unknown_unit);
  CHECK(problem("3 N", Dimension::length).kind == Kind::wrong_dimension);
  CHECK(problem("3 1", Dimension::none).kind == Kind::unknown_unit);
  CHECK(problem("3 mm", Dimension::none).kind == Kind::wrong_dimension);
  CHECK(problem("", Dimension::length).kind == Kind::bad_number);
  CHECK(problem("mm", Dimension::length).kind == Kind::bad_number);
}

TEST_CASE("a quantity is written so that it reads back to the same double, in every unit") {
  CHECK(format_quantity(1500.0, "N m") == "1.5 N m");
  CHECK(format_quantity(0.05, "1") == "0.05");
  CHECK(format_quantity(0.05, "%") == "5 %");
  CHECK(format_quantity(14.0, "cm") == "1.4 cm");
  CHECK(format_quantity(to_rad(90.0), "deg") == "90 deg");
  opisthion::reference::Random random(11);
  int fallbacks = 0;
  for (const Unit& unit : units()) {
    for (int i = 0; i < 500; ++i) {
      const double value = std::ldexp(random.between(-1.0, 1.0), random.whole(-40, 40));
      const std::string text = format_quantity(value, unit.word);
      INFO(text);
      const auto parsed = parse_quantity(text, unit.dimension);
      REQUIRE(std::holds_alternative<Quantity>(parsed));
      REQUIRE(std::get<Quantity>(parsed).value == value);
      if (std::get<Quantity>(parsed).unit != unit.word) ++fallbacks;
    }
  }
  CHECK(fallbacks > 0);  // a factor of 1000 skips doubles, so the internal unit must have been needed
}

TEST_CASE("a quantity in a message is rounded to four digits in the unit asked for") {
  CHECK(rounded_quantity(20'000.0, customary_unit(Dimension::moment)) == "20 N m");
  CHECK(rounded_quantity(0.1 * 3.0, customary_unit(Dimension::none)) == "0.3");
  CHECK(rounded_quantity(to_rad(45.0), customary_unit(Dimension::angle)) == "45 deg");
  CHECK(rounded_quantity(12.3456, *find_unit("cm")) == "1.235 cm");
}

TEST_CASE("the nearest known word is offered only when it is near") {
  // Distances by hand.
  CHECK(edit_distance("kitten", "sitting") == 3);
  CHECK(edit_distance("", "abc") == 3);
  CHECK(nearest_word("diamter", {"name", "diameter", "length"}) == "diameter");
  CHECK(nearest_word("Pars", {"pars", "pedicle"}) == "pars");
  CHECK(nearest_word("lateralmass", {"lateral mass", "laminar"}) == "lateral mass");
  CHECK(nearest_word("hook", {"pars", "pedicle", "laminar"}).empty());
  CHECK(nearest_word("x", {"mm"}).empty());
  CHECK(nearest_word(std::string(100'000, 'a'), {"mm"}).empty());
}
