// SPDX-License-Identifier: MIT
#include <algorithm>
#include <array>
#include <string_view>
#include <utility>

#include <fmt/format.h>

#include "models/xml/write_case.hpp"
#include "solver/program/command_words.hpp"
#include "solver/program/input.hpp"
#include "solver/program/progress.hpp"
#include "solver/program/subcommands.hpp"
#include "solver/program/terminal.hpp"
#include "solver/program/threads.hpp"
#include "solver/report/caution.hpp"
#include "solver/report/table.hpp"
#include "solver/results/export_system.hpp"
#include "solver/results/hdf5.hpp"
#include "solver/results/json.hpp"
#include "solver/study/assess.hpp"

namespace opisthion::program {
namespace {

constexpr std::array<std::pair<std::string_view, study::Kinematics>, 3> kKinematics{
    {{"auto", study::Kinematics::automatic}, {"small", study::Kinematics::small}, {"full", study::Kinematics::full}}};

std::string read_kinematics(const std::string& word, study::Kinematics& out) {
  std::vector<std::string_view> known;
  for (const auto& [name, kinematics] : kKinematics) {
    known.push_back(name);
    if (name != word) continue;
    out = kinematics;
    return {};
  }
  return word.empty() ? std::string() : unknown_word("--kinematics", word, known);
}

/// The command's words as options; what is wrong with them, in words.
std::string read_options(const AssessCommand& command, models::Case& the_case, study::AssessOptions& options) {
  std::string mistake = read_motions(command.motions, options.only_motions);
  if (mistake.empty()) mistake = read_constructs(command.constructs, the_case, options.only_constructs);
  if (mistake.empty()) mistake = read_kinematics(command.kinematics, options.kinematics);
  if (mistake.empty()) mistake = read_moment(command.moment, the_case);
  if (mistake.empty()) mistake = read_outputs(command.path, {{"--out", command.out}});
  return mistake;
}

/// A neck that the injury leaves without hold is what the constructs are for: no fault of theirs.
bool answered(const study::ConstructResult& construct) {
  return construct.row != study::RowKind::construct || construct.status == study::Status::solved ||
         construct.status == study::Status::approximate;
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
    Progress progress("assessing construct", study::row_count(loaded->the_case, options), command.quiet);
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
