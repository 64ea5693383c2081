// SPDX-License-Identifier: MIT
#pragma once
// Parts that every JSON document of results shares, so that one thing reads alike everywhere.
#include <array>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "solver/study/assessment.hpp"

namespace opisthion::results {

using Json = nlohmann::ordered_json;

/// JSON has no NaN: what is not finite is null. Negative zero reads 0, so that equal states print equal text.
Json number(double value);
Json number(const std::optional<double>& value);
/// Three numbers, or three nulls where they are not to be shown.
Json numbers(const std::array<double, 3>& values, bool shown);
/// A stiffness is given only where something moved: force over nothing is no number.
Json stiffness(double value);
Json measures_json(const study::Measures& measures, bool shown);
Json solve_json(const study::SolveRecord& solve, bool full);  ///< full: with the branches met
Json bench_json(const models::Bench& bench);
std::string_view moment_kind_word(models::MomentKind kind);  ///< "conservative", "fixed_axis", "head_following"
Json assembly_json(const std::vector<study::TightenedItem>& items);
Json changes_json(const std::vector<models::ParameterChange>& changes);
/// Indented, with a newline at its end; invalid UTF-8 in a name is replaced.
std::string document_text(const Json& document);

}  // namespace opisthion::results
