// SPDX-License-Identifier: MIT
#pragma once
// Reads one library file into the parameter table.
#include <string_view>
#include <vector>

#include "models/library/parameter_table.hpp"
#include "models/xml/element.hpp"
#include "models/xml/finding.hpp"

namespace opisthion::models {

/// <library name="..." about="...">: any number of
///   <number id value [unit] [low high] spread certainty source [note]/>   value, low, high: "33.8 N/mm"
///   <point id x y z [unit] spread certainty source [note]/>               "11.14 mm"
///   <curve id at_unit value_unit spread certainty source [note]><point at="1" value="28"/>...</curve>
/// A plain number says unit="1", so that a forgotten unit is found. Curves rise in `at` and never fall in value.
/// Adds every number without an error of its own; reports all that is wrong. file: the library file's name, kept with each.
std::vector<Finding> read_library_file(const xml::Element& root, std::string_view file, ParameterTable& table);

}  // namespace opisthion::models
