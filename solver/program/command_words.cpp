// SPDX-License-Identifier: MIT
#include "solver/program/command_words.hpp"

#include <algorithm>
#include <filesystem>
#include <system_error>
#include <variant>

#include <fmt/format.h>

#include "models/xml/nearest.hpp"
#include "models/xml/quantity.hpp"
#include "solver/report/finding_text.hpp"

namespace opisthion::program {

using report::escaped_for_terminal;

std::string unknown_word(const std::string& option, const std::string& found, const std::vector<std::string_view>& known) {
  std::string text = fmt::format("{}: '{}' is not known here", option, escaped_for_terminal(found));
  const std::string nearest = models::nearest_word(found, known);
  if (!nearest.empty()) text += fmt::format(" (did you mean '{}'?)", escaped_for_terminal(nearest));
  text += "; known:";
  for (std::size_t i = 0; i < known.size(); ++i)
    text += fmt::format("{} '{}'", i == 0 ? "" : ",", escaped_for_terminal(known[i]));
  return report::wrapped_message(text, 0) + "\n";
}

std::string read_motions(const std::vector<std::string>& words, std::vector<models::Motion>& out) {
  std::vector<std::string_view> known;
  for (const models::Motion motion : models::kMotions) known.push_back(models::name(motion));
  for (const std::string& word : words) {
    const auto motion = models::motion_from_name(word);
    if (!motion) return unknown_word("--motion", word, known);
    out.push_back(*motion);
  }
  return {};
}

std::string read_constructs(const std::vector<std::string>& names, const models::Case& the_case,
                            std::vector<std::string>& out) {
  std::vector<std::string_view> known;
  for (const models::Construct& construct : the_case.constructs) known.push_back(construct.name);
  for (const std::string& name : names) {
    if (std::find(known.begin(), known.end(), name) == known.end()) return unknown_word("--construct", name, known);
    out.push_back(name);
  }
  return {};
}

std::string read_moment(const std::string& text, models::Case& the_case) {
  if (text.empty()) return {};
  const auto moment = models::parse_quantity(text, models::Dimension::moment);
  if (const auto* problem = std::get_if<models::QuantityProblem>(&moment))
    return fmt::format(
        "--moment: expected {}, found '{}'{}\n", problem->expected, escaped_for_terminal(problem->found),
        problem->nearest.empty() ? "" : fmt::format(" (did you mean '{}'?)", escaped_for_terminal(problem->nearest)));
  the_case.bench.moment_Nmm = std::get<models::Quantity>(moment).value;
  if (the_case.bench.moment_Nmm > 0.0 && the_case.bench.moment_Nmm <= models::kLargestMoment_Nmm) return {};
  return fmt::format("--moment: expected more than 0 and at most 20 N m, found '{}'\n", escaped_for_terminal(text));
}

std::string read_outputs(const std::string& case_path, const std::vector<std::pair<std::string, std::string>>& outputs) {
  const auto same = [](const std::string& a, const std::string& b) {
    std::error_code unknown;  // a file that is not there yet is compared by its name
    if (std::filesystem::equivalent(a, b, unknown) && !unknown) return true;
    return std::filesystem::absolute(a, unknown).lexically_normal() ==
           std::filesystem::absolute(b, unknown).lexically_normal();
  };
  for (std::size_t i = 0; i < outputs.size(); ++i) {
    const auto& [option, path] = outputs[i];
    if (path.empty()) continue;
    if (same(path, case_path))
      return fmt::format("{}: '{}' is the case itself, which it would overwrite\n", option, escaped_for_terminal(path));
    for (std::size_t k = 0; k < i; ++k)
      if (!outputs[k].second.empty() && same(path, outputs[k].second))
        return fmt::format("{} and {} name the same file, '{}'\n", outputs[k].first, option, escaped_for_terminal(path));
  }
  return {};
}

}  // namespace opisthion::program
