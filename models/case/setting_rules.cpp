// SPDX-License-Identifier: MIT
#include <algorithm>
#include <limits>
#include <variant>

#include "models/case/rules.hpp"
#include "models/library/library_unit.hpp"
#include "models/quantity/units.hpp"
#include "models/xml/quantity.hpp"

namespace opisthion::models {

namespace {

/// What a library number may be set to at the very most: far beyond its spread, but short of what no model can answer.
struct Limits {
  double lowest;
  double highest;
};

/// The limit that a message states is the limit that holds: rounded to its digits.
double as_written(double limit, const Unit& unit) {
  const auto parsed = parse_quantity(rounded_quantity(limit, unit));
  const auto* quantity = std::get_if<Quantity>(&parsed);
  return quantity == nullptr ? limit : quantity->value;
}

/// From a hundredth of the low end to 100 times the high one, 10 000 times where the spread runs over decades; a number
/// without a range is taken for its own range. What is positive in the library stays positive, a share stays within 1. The
/// factors are choices of this project.
Limits limits_of(const Parameter& parameter, const Unit& unit) {
  constexpr double kFactor = 100.0;
  constexpr double kFactorOverDecades = 1e4;
  const double low = parameter.low.value_or(parameter.values[0]);
  const double high = parameter.high.value_or(parameter.values[0]);
  const auto says = [&](std::string_view word) { return parameter.spread.find(word) != std::string::npos; };
  const double factor = says("log-uniform") || says("rigid") ? kFactorOverDecades : kFactor;
  Limits out{low > 0.0 ? low / kFactor : low * factor, high < 0.0 ? high / kFactor : high * factor};
  if (low == 0.0 && high == 0.0) out = {-std::numeric_limits<double>::max(), std::numeric_limits<double>::max()};
  if (unit.word == "1" && high <= 1.0) out.highest = std::min(out.highest, 1.0);
  // Lateral strain of an isotropic elastic body: its volume would grow under pressure beyond 1/2.
  constexpr double kLargestPoisson = 0.5;
  constexpr std::string_view kPoisson = "poisson";
  if (parameter.id.size() > kPoisson.size() && parameter.id.substr(parameter.id.size() - kPoisson.size()) == kPoisson)
    out.highest = std::min(out.highest, kLargestPoisson);
  if (unit.dimension == Dimension::angle) {
    out.lowest = std::max(out.lowest, to_rad(-180.0));
    out.highest = std::min(out.highest, to_rad(180.0));
  }
  return {as_written(out.lowest, unit), as_written(out.highest, unit)};
}

void setting(Rules& rules, const ParameterChange& change, const Parameter& parameter, const std::string& path,
             const std::string& where) {
  const Unit* library_unit = find_library_unit(parameter.unit);
  const Unit& unit = library_unit == nullptr ? internal_unit(Dimension::none) : *library_unit;
  const Limits limits = limits_of(parameter, unit);
  std::string spread;
  if (parameter.low && parameter.high)
    spread = rounded_quantity(*parameter.low, unit) + " to " + rounded_quantity(*parameter.high, unit);
  const bool possible = change.value >= limits.lowest && change.value <= limits.highest;
  if (!possible) {
    const std::string near = spread.empty() ? "the library has " + rounded_quantity(parameter.values[0], unit)
                                            : "the library's spread is " + spread;
    rules.add(FindingCode::out_of_range, path, where, change.text,
              "a value from " + rounded_quantity(limits.lowest, unit) + " to " + rounded_quantity(limits.highest, unit) +
                  " (" + near + ")");
    return;
  }
  const bool low = parameter.low && change.value < *parameter.low;
  const bool high = parameter.high && change.value > *parameter.high;
  if (!low && !high) return;
  if (spread.empty())
    spread = parameter.low ? "at least " + rounded_quantity(*parameter.low, unit)
                           : "at most " + rounded_quantity(*parameter.high, unit);
  rules.add(FindingCode::out_of_range, path, where, change.text,
            "a value inside the library's spread, " + spread + " (" + parameter.spread + ")", {}, Severity::warning);
}

}  // namespace

void check_settings(Rules& rules) {
  std::set<std::string_view> seen;
  for (std::size_t i = 0; i < rules.the_case.changes.size(); ++i) {
    const ParameterChange& change = rules.the_case.changes[i];
    const std::string path = indexed("set", i);
    if (!rules.trusted(path + "@number")) continue;
    const std::string where = quoted("set", change.id);
    const Parameter* parameter = rules.parameters.find(change.id);
    if (parameter == nullptr || parameter->values.size() != 1) {
      const std::string nearest =
          parameter == nullptr && !rules.findings.full() ? rules.parameters.nearest(change.id) : std::string();
      rules.add(
          FindingCode::unknown_parameter, path + "@number", attribute(where, "number"), change.id,
          parameter == nullptr ? "the id of a library number" : "the id of a single number (this one is a point or a curve)",
          nearest);
      continue;
    }
    if (!seen.insert(change.id).second)
      rules.add(FindingCode::duplicate_name, path + "@number", where, change.id, "each number set once");
    if (!rules.trusted(path + "@value")) continue;
    setting(rules, change, *parameter, path + "@value", attribute(where, "value"));
  }
}

}  // namespace opisthion::models
