// SPDX-License-Identifier: MIT
#include <algorithm>
#include <variant>

#include <fmt/format.h>

#include "models/xml/nearest.hpp"
#include "models/xml/quantity.hpp"
#include "models/xml/write_case.hpp"
#include "solver/program/input.hpp"
#include "solver/program/progress.hpp"
#include "solver/program/subcommands.hpp"
#include "solver/program/terminal.hpp"
#include "solver/program/threads.hpp"
#include "solver/report/caution.hpp"
#include "solver/report/finding_text.hpp"
#include "solver/report/table.hpp"
#include "solver/results/export_system.hpp"
#include "solver/results/hdf5.hpp"
#include "solver/results/json.hpp"
#include "solver/study/assess.hpp"

namespace opisthion::program {
namespace {

using report::escaped_for_terminal;

/// A usage mistake in words, with the nearest known word.
std::string unknown(const std::string& option, const std::string& found, const std::vector<std::string_view>& known) {
  std::string text = fmt::format("{}: '{}' is not known here", option, escaped_for_terminal(found));
  const std::string nearest = models::nearest_word(found, known);
  if (!nearest.empty()) text += fmt::format(" (did you mean '{}'?)", escaped_for_terminal(nearest));
  text += "; known:";
  for (std::size_t i = 0; i < known.size(); ++i)
    text += fmt::format("{} '{}'", i == 0 ? "" : ",", escaped_for_terminal(known[i]));
  return report::wrapped_message(text, 0) + "\n";
}

/// The command's words as options; what is wrong with them, in words.
std::string read_options(const AssessCommand& command, models::Case& the_case, study::AssessOptions& options) {
  std::vector<std::string_view> motion_names, construct_names;
  for (const models::Motion motion : models::kMotions) motion_names.push_back(models::name(motion));
  for (const models::Construct& construct : the_case.constructs) construct_names.push_back(construct.name);
  for (const std::string& word : command.motions) {
    const auto motion = models::motion_from_name(word);
    if (!motion) return unknown("--motion", word, motion_names);
    options.only_motions.push_back(*motion);
  }
  for (const std::string& name : command.constructs) {
    if (std::find(construct_names.begin(), construct_names.end(), name) == construct_names.end())
      return unknown("--construct", name, construct_names);
    options.only_constructs.push_back(name);
  }
  if (command.moment.empty()) return {};
  const auto moment = models::parse_quantity(command.moment, models::Dimension::moment);
  if (const auto* problem = std::get_if<models::QuantityProblem>(&moment))
    return fmt::format(
        "--moment: expected {}, found '{}'{}\n", problem->expected, escaped_for_terminal(problem->found),
        problem->nearest.empty() ? "" : fmt::format(" (did you mean '{}'?)", escaped_for_terminal(problem->nearest)));
  the_case.bench.moment_Nmm = std::get<models::Quantity>(moment).value;
  if (!(the_case.bench.moment_Nmm > 0.0 && the_case.bench.moment_Nmm <= models::kLargestMoment_Nmm))
    return fmt::format("--moment: expected more than 0 and at most 20 N m, found '{}'\n",
                       escaped_for_terminal(command.moment));
  return {};
}

bool answered(const study::ConstructResult& construct) {
  return construct.status == study::Status::solved || construct.status == study::Status::approximate;
}

}  // namespace

Exit run(const AssessCommand& command) {
  require_stdout();
  const SourceText source = read_source(command.path);
  const models::ParameterTable library = load_library();
  const bool colour = colour_wanted(stderr_is_terminal());
  auto loaded = load_case(source, library);
  if (!loaded) {
    say(words(loaded.error(), source, colour));
    return Exit::case_file;
  }
  if (!command.quiet) say(words(loaded->findings, source, colour));
  study::AssessOptions options;
  if (const std::string mistake = read_options(command, loaded->the_case, options); !mistake.empty()) {
    say(mistake);
    return Exit::usage;
  }
  const models::ParameterTable parameters = with_changes(library, loaded->the_case);
  if (const std::string unbuildable = complaints(*loaded, source, parameters, options.only_constructs);
      !unbuildable.empty()) {
    say(unbuildable);
    return Exit::case_file;
  }

  const int threads = command.threads > 0 ? command.threads : hardware_threads();
  study::Assessment assessment;
  {
    Progress progress("assessing construct", static_cast<int>(loaded->the_case.constructs.size()), command.quiet);
    assessment =
        study::assess(loaded->the_case, parameters, options, on_threads(threads, [&progress]() { progress.step(); }));
  }
  // A moment from the command line is part of what was assessed, so it goes into the case that the result carries.
  const results::Stamp stamp{.program = kProgram,
                             .version = kVersion,
                             .caution = std::string(report::kCaution),
                             .case_xml = command.moment.empty() ? source.text : models::write_case_text(loaded->the_case)};
  if (!command.out.empty()) results::write_hdf5(command.out, assessment, stamp);
  if (!command.export_folder.empty()) results::export_system(command.export_folder, loaded->the_case, parameters, options);
  print_result(command.json ? results::to_json(assessment, stamp)
                            : report::table(assessment, {.program = fmt::format("{} {}", kProgram, kVersion),
                                                         .colour = colour_wanted(stdout_is_terminal())}));
  return std::all_of(assessment.constructs.begin(), assessment.constructs.end(), answered) ? Exit::solved : Exit::unanswered;
}

}  // namespace opisthion::program
