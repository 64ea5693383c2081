// SPDX-License-Identifier: MIT
#include "models/case/rules.hpp"

#include "models/xml/nearest.hpp"

namespace opisthion::models {

void Rules::add(FindingCode code, const std::string& path, std::string where, std::string_view found,
                std::string_view expected, std::string nearest, Severity severity) {
  const Place place = places.at(path);
  findings.add({code, severity, place.offset, place.length, std::move(where), std::string(found), std::string(expected),
                std::move(nearest)});
}

std::string Rules::neck_span() const {
  return "from " + std::string(name(neck.upper)) + " to " + std::string(name(neck.lower));
}

bool Rules::in_neck(Level level, const std::string& path, const std::string& where) {
  if (!trusted(path) || !neck_trusted() || neck.upper > neck.lower) return false;
  if (neck.contains(level)) return true;
  add(FindingCode::level_outside_neck, path, where, name(level), "a level of the neck, " + neck_span());
  return false;
}

bool Rules::in_neck(JointId joint, const std::string& path, const std::string& where) {
  return in_neck(joint.upper, path, where) && in_neck(joint.lower, path, where);
}

void Rules::once(std::string_view name, const std::string& path, const std::string& where, std::string_view what,
                 std::set<std::string_view>& seen) {
  if (!trusted(path) || seen.insert(name).second) return;
  add(FindingCode::duplicate_name, path, where, name, "each " + std::string(what) + " with a name of its own");
}

std::string Rules::near(std::string_view name, const std::set<std::string_view>& known) const {
  return findings.full() ? std::string() : nearest_word(name, {known.begin(), known.end()});
}

std::optional<double> Rules::number(std::string_view id) const {
  const Parameter* found = parameters.find(id);
  if (found == nullptr || found->values.size() != 1) return std::nullopt;
  return found->values[0];
}

std::string indexed(std::string_view what, std::size_t i) {
  return std::string(what) + "[" + std::to_string(i) + "]";
}
std::string quoted(std::string_view what, std::string_view item) {
  return std::string(what) + " '" + std::string(item) + "'";
}
std::string attribute(const std::string& where, std::string_view name) {
  return where + ", attribute '" + std::string(name) + "'";
}

}  // namespace opisthion::models
