// SPDX-License-Identifier: MIT
#include "solver/study/curves.hpp"

#include <algorithm>

#include <fmt/format.h>

#include "models/xml/write_case.hpp"
#include "solver/program/command_words.hpp"
#include "solver/program/input.hpp"
#include "solver/program/progress.hpp"
#include "solver/program/subcommands.hpp"
#include "solver/program/terminal.hpp"
#include "solver/program/threads.hpp"
#include "solver/report/caution.hpp"
#include "solver/report/curves_text.hpp"
#include "solver/report/finding_text.hpp"
#include "solver/results/curves_csv.hpp"
#include "solver/results/curves_hdf5.hpp"
#include "solver/results/curves_json.hpp"
#include "solver/study/compare.hpp"

namespace opisthion::program {
namespace {

/// The command's words as options; what is wrong with them, in words.
std::string read_options(const CurvesCommand& command, models::Case& the_case, study::CurvesOptions& options) {
  // A moment and steps from the command line are part of what was solved, so they go into the case that the result carries.
  if (command.steps > 0) the_case.bench.steps = command.steps;
  options.steps = the_case.bench.steps;
  if (std::string mistake = read_motions(command.motions, options.only_motions); !mistake.empty()) return mistake;
  if (std::string mistake = read_constructs(command.constructs, the_case, options.only_constructs); !mistake.empty())
    return mistake;
  if (const std::string mistake = read_moment(command.moment, the_case); !mistake.empty()) return mistake;
  return read_outputs(command.path, {{"--csv", command.csv}, {"--out", command.out}});
}

}  // namespace

Exit run(const CurvesCommand& command) {
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
  study::CurvesOptions options;
  if (const std::string mistake = read_options(command, loaded->the_case, options); !mistake.empty()) {
    say(mistake);
    return Exit::usage;
  }
  if (!loaded->the_case.bench.top) {
    say(fmt::format("{}: the bench names no top level, so no moment is applied and there are no curves\n",
                    report::escaped_for_terminal(source.name)));
    return Exit::case_file;
  }
  const models::ParameterTable parameters = with_changes(library, loaded->the_case);
  if (const std::string unbuildable = complaints(*loaded, source, parameters, options.only_constructs);
      !unbuildable.empty()) {
    say(unbuildable);
    return Exit::case_file;
  }

  const int threads = command.threads > 0 ? command.threads : hardware_threads();
  study::Curves curves;
  {
    Progress progress("curves of row", study::row_count(loaded->the_case, options), command.quiet);
    curves = study::curves(loaded->the_case, parameters, options, on_threads(threads, [&progress]() { progress.step(); }));
  }
  const bool changed = !command.moment.empty() || command.steps > 0;
  const results::Stamp stamp{.program = kProgram,
                             .version = kVersion,
                             .caution = std::string(report::kCaution),
                             .case_xml = changed ? models::write_case_text(loaded->the_case) : source.text};
  if (!command.out.empty()) results::write_curves_hdf5(command.out, curves, stamp);
  if (!command.csv.empty()) results::write_curves_csv(command.csv, curves, stamp);
  print_result(command.json ? results::curves_json(curves, stamp)
                            : report::curves_text(curves, {.program = fmt::format("{} {}", kProgram, kVersion),
                                                           .colour = colour_wanted(stdout_is_terminal())}));
  // The injured neck may honestly be a mechanism: that is why it gets metal.
  const bool answered = std::all_of(curves.rows.begin(), curves.rows.end(), [](const study::CurveRow& row) {
    return row.row == study::RowKind::injured || study::has_figure(row.status);
  });
  return answered ? Exit::solved : Exit::unanswered;
}

}  // namespace opisthion::program
