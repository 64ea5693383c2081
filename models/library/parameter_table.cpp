// SPDX-License-Identifier: MIT
#include "models/library/parameter_table.hpp"

#include <array>
#include <cassert>
#include <cmath>
#include <utility>

#include "models/library/library_unit.hpp"
#include "models/xml/nearest.hpp"

namespace opisthion::models {

namespace {

constexpr std::array<std::pair<Certainty, std::string_view>, 8> kCertainties{{{Certainty::seen, "seen"},
                                                                              {Certainty::quoted, "quoted"},
                                                                              {Certainty::memory, "memory"},
                                                                              {Certainty::memory_low, "memory_low"},
                                                                              {Certainty::derived, "derived"},
                                                                              {Certainty::interpolated, "interpolated"},
                                                                              {Certainty::synthesis, "synthesis"},
                                                                              {Certainty::assumed, "assumed"}}};

constexpr std::string_view kSetByCase = "set by the case";

double to_written(double internal_value, std::string_view unit_word) {
  const Unit* unit = find_library_unit(unit_word);
  return unit == nullptr ? internal_value : internal_value / unit->multiply * unit->divide;
}

const Parameter& required(const ParameterTable& table, std::string_view id) {
  const Parameter* parameter = table.find(id);
  assert(parameter != nullptr && "a number that the library does not have");
  return *parameter;
}

}  // namespace

std::string_view name(Certainty certainty) {
  for (const auto& [value, word] : kCertainties)
    if (value == certainty) return word;
  return "assumed";
}

std::optional<Certainty> certainty_from_name(std::string_view text) {
  for (const auto& [value, word] : kCertainties)
    if (word == text) return value;
  return std::nullopt;
}

bool ParameterTable::add(Parameter parameter) {  // NOLINT(performance-unnecessary-value-param): it is moved from
  std::string id = parameter.id;
  return parameters_.try_emplace(std::move(id), std::move(parameter)).second;
}

bool ParameterTable::has(std::string_view id) const {
  return parameters_.find(id) != parameters_.end();
}

const Parameter* ParameterTable::find(std::string_view id) const {
  const auto at = parameters_.find(id);
  return at == parameters_.end() ? nullptr : &at->second;
}

bool ParameterTable::change(std::string_view id, double value) {
  const auto at = parameters_.find(id);
  if (at == parameters_.end() || at->second.values.size() != 1 || !std::isfinite(value)) return false;
  Parameter& parameter = at->second;
  if (parameter.source != kSetByCase) parameter.note = "the library's source: " + parameter.source;
  parameter.values = {value};
  parameter.written = {to_written(value, parameter.unit)};
  parameter.source = kSetByCase;
  parameter.spread = "none: " + std::string(kSetByCase);
  parameter.low.reset();
  parameter.high.reset();
  parameter.certainty = Certainty::assumed;
  return true;
}

std::vector<const Parameter*> ParameterTable::all() const {
  std::vector<const Parameter*> out;
  out.reserve(parameters_.size());
  for (const auto& entry : parameters_) out.push_back(&entry.second);
  return out;
}

std::string ParameterTable::nearest(std::string_view id) const {
  std::vector<std::string_view> ids;
  ids.reserve(parameters_.size());
  for (const auto& entry : parameters_) ids.emplace_back(entry.first);
  return nearest_word(id, ids);
}

double ParameterReader::scalar(std::string_view id) const {
  const Parameter& parameter = required(*table_, id);
  assert(parameter.values.size() == 1 && "a single number");
  read_.emplace(id);
  return parameter.values.front();
}

Eigen::Vector3d ParameterReader::point(std::string_view id) const {
  const Parameter& parameter = required(*table_, id);
  assert(parameter.values.size() == 3 && "a point");
  read_.emplace(id);
  return {parameter.values[0], parameter.values[1], parameter.values[2]};
}

std::vector<std::pair<double, double>> ParameterReader::curve(std::string_view id) const {
  const Parameter& parameter = required(*table_, id);
  assert(parameter.values.size() >= 2 && parameter.values.size() % 2 == 0 && "a curve");
  read_.emplace(id);
  std::vector<std::pair<double, double>> out;
  for (std::size_t i = 0; i + 1 < parameter.values.size(); i += 2)
    out.emplace_back(parameter.values[i], parameter.values[i + 1]);
  return out;
}

}  // namespace opisthion::models
