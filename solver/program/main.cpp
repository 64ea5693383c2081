// SPDX-License-Identifier: MIT
#include <algorithm>
#include <csignal>
#include <cstdlib>
#include <exception>
#include <new>

#include <fmt/format.h>
#include <CLI/CLI.hpp>

#include "models/case/bench.hpp"
#include "models/xml/nearest.hpp"
#include "solver/program/subcommands.hpp"
#include "solver/program/terminal.hpp"
#include "solver/report/caution.hpp"
#include "solver/report/finding_text.hpp"
#include "solver/results/io_error.hpp"

namespace {

using namespace opisthion::program;

/// A failed assert is our own bug; the shell sees 70, not a signal.
extern "C" void on_abort(int) {
  std::_Exit(static_cast<int>(Exit::bug));
}

/// The word that the parser stumbled over, with the nearest one it knows; empty when that is not what went wrong.
std::string hint(const CLI::App& app, int argc, char** argv) {
  const CLI::App* at = &app;
  std::vector<std::string> known;
  for (const CLI::App* sub : app.get_subcommands(nullptr)) known.push_back(sub->get_name());
  if (argc < 2) return {};
  const auto nearest = [](const std::string& word, const std::vector<std::string>& words) {
    const std::string found = opisthion::models::nearest_word(word, {words.begin(), words.end()});
    return found.empty() ? std::string() : " (did you mean '" + found + "'?)";
  };
  const std::string shown = opisthion::report::escaped_for_terminal(argv[1]);
  if (std::find(known.begin(), known.end(), argv[1]) != known.end()) {
    at = app.get_subcommand(std::string(argv[1]));
  } else if (argv[1][0] != '-') {
    return fmt::format("'{}' is no subcommand{}; there are check, assess, curves and library\n", shown,
                       nearest(argv[1], known));
  }
  std::vector<std::string> options;
  for (const CLI::Option* option : at->get_options())
    for (const std::string& name : option->get_lnames()) options.push_back("--" + name);
  for (int i = 1; i < argc; ++i) {
    const std::string word = std::string(argv[i]).substr(0, std::string(argv[i]).find('='));
    if (word.size() > 2 && word.starts_with("--") && std::find(options.begin(), options.end(), word) == options.end())
      return fmt::format("'{}' is no option here{}\n", opisthion::report::escaped_for_terminal(word),
                         nearest(word, options));
  }
  return {};
}

int run(int argc, char** argv) {
  CLI::App app{
      "opisthion: does this construct hold this neck? Levels C0 to T3 and their fixation from behind, as a beam-and-spring "
      "model.",
      kProgram};
  app.set_version_flag("--version", fmt::format("{} {}", kProgram, kVersion));
  app.require_subcommand(1);
  app.footer(fmt::format(
      "Examples:\n  opisthion check examples/old_dens_fracture.xml\n  opisthion assess examples/old_dens_fracture.xml\n"
      "  opisthion library alar\n\nExit codes: 0 every construct solved or approximate; 1 some construct without an answer; "
      "2 usage;\n"
      "3 case file; 4 input or output; 70 our bug.\n\n{}",
      opisthion::report::kCaution));

  CheckCommand check;
  CLI::App* check_app = app.add_subcommand("check", "reads and criticises a case: words, anatomy, what cannot be built");
  check_app->add_option("CASE", check.path, "case file (XML), or a result (HDF5) for the case inside")->required();
  check_app->add_flag("--quiet", check.quiet, "no progress and no notes on stderr");
  check_app->footer("Example:\n  opisthion check examples/old_dens_fracture.xml");

  AssessCommand assess;
  CLI::App* assess_app = app.add_subcommand("assess", "six motions, shear and axial loads of every construct, side by side");
  assess_app->add_option("CASE", assess.path, "case file (XML), or a result (HDF5) to be solved again")->required();
  assess_app->add_option("--motion", assess.motions, "only this motion, e.g. left_rotation; may be given again")
      ->allow_extra_args(false);
  assess_app->add_option("--moment", assess.moment, "maximum moment in place of the bench's, e.g. \"1.5 N m\"");
  assess_app->add_option("--construct", assess.constructs, "only the construct of this name; may be given again")
      ->allow_extra_args(false);
  assess_app->add_option(
      "--kinematics", assess.kinematics,
      "small (without the rows of the intact and the injured neck, so without shares), full, or auto (the "
      "default: full)");
  assess_app->add_flag("--json", assess.json, "print one JSON document instead of tables");
  assess_app->add_option("--out", assess.out, "write an HDF5 result, too");
  assess_app->add_option("--export-system", assess.export_folder,
                         "write the system of small kinematics (stiffness, loads, nodes, elements, uncondensed) into this "
                         "folder, whichever kinematics answers");
  assess_app->add_option("--threads", assess.threads, "threads; the result is the same for any number")
      ->check(CLI::Range(1, 256));
  assess_app->add_flag("--quiet", assess.quiet, "no progress and no notes on stderr");
  assess_app->footer(
      "Examples:\n  opisthion assess examples/old_dens_fracture.xml --motion flexion --motion left_rotation\n"
      "  opisthion assess examples/old_dens_fracture.xml --moment \"1.0 N m\" --json\n"
      "  opisthion assess examples/old_dens_fracture.xml --out result.h5 && examples/read_results.py result.h5");

  CurvesCommand curves;
  CLI::App* curves_app = app.add_subcommand(
      "curves", "moment-rotation curves per joint: all six components, axes, lax zones, stiffnesses, loops of friction");
  curves_app->add_option("CASE", curves.path, "case file (XML), or a result (HDF5) to be solved again")->required();
  curves_app->add_option("--motion", curves.motions, "only this motion's side of its curve; may be given again")
      ->allow_extra_args(false);
  curves_app->add_option("--moment", curves.moment, "maximum moment in place of the bench's, e.g. \"1.5 N m\"");
  curves_app
      ->add_option("--construct", curves.constructs,
                   "only the construct of this name, beside the neck without metal; may be given again")
      ->allow_extra_args(false);
  curves_app->add_option("--steps", curves.steps, "equal steps from zero to the maximum in place of the bench's, each way")
      ->check(CLI::Range(opisthion::models::kFewestSteps, opisthion::models::kMostSteps));
  curves_app->add_flag("--json", curves.json, "print one JSON document instead of tables");
  curves_app->add_option("--csv", curves.csv, "write a table, too: a line a point");
  curves_app->add_option("--out", curves.out, "write an HDF5 result, too");
  curves_app->add_option("--threads", curves.threads, "threads; the result is the same for any number")
      ->check(CLI::Range(1, 256));
  curves_app->add_flag("--quiet", curves.quiet, "no progress and no notes on stderr");
  curves_app->footer(
      "Examples:\n  opisthion curves examples/old_dens_fracture.xml --motion left_rotation --motion right_rotation\n"
      "  opisthion curves examples/old_dens_fracture.xml --steps 20 --csv curves.csv --quiet");

  LibraryCommand library;
  CLI::App* library_app =
      app.add_subcommand("library", "what is known and from where: value, unit, spread, certainty, source");
  library_app->add_option("WORD", library.word, "list the numbers whose id, source or note holds this word");
  library_app->footer("Examples:\n  opisthion library\n  opisthion library interface.foundation_factor");

  for (CLI::App* command : {check_app, assess_app, curves_app, library_app})
    command->footer(command->get_footer() + fmt::format("\n\n{}", opisthion::report::kCaution));

  if (argc < 2) {
    say(app.help());
    return static_cast<int>(Exit::usage);
  }
  try {
    app.parse(argc, argv);
  } catch (const CLI::CallForHelp&) {
    print_result(app.get_subcommands().empty() ? app.help() : app.get_subcommands().front()->help(kProgram));
    return 0;
  } catch (const CLI::CallForVersion&) {
    print_result(fmt::format("{} {}\n", kProgram, kVersion));
    return 0;
  } catch (const CLI::ParseError& error) {
    const std::string nearer = hint(app, argc, argv);
    say(nearer.empty() ? opisthion::report::escaped_for_terminal(error.what()) + "\n" : nearer);
    say("see: opisthion --help\n");
    return static_cast<int>(Exit::usage);
  }
  if (check_app->parsed()) return static_cast<int>(opisthion::program::run(check));
  if (assess_app->parsed()) return static_cast<int>(opisthion::program::run(assess));
  if (curves_app->parsed()) return static_cast<int>(opisthion::program::run(curves));
  return static_cast<int>(opisthion::program::run(library));
}

}  // namespace

int main(int argc, char** argv) {
  // A closed pipe, a full disk and a size limit are errors of a write call, not sudden ends.
  std::signal(SIGPIPE, SIG_IGN);
  std::signal(SIGXFSZ, SIG_IGN);
  std::signal(SIGABRT, on_abort);
  try {
    return run(argc, argv);
  } catch (const opisthion::results::IoError& error) {
    say(fmt::format("opisthion: {}\n", error.what()));
    return static_cast<int>(Exit::io);
  } catch (const std::exception& error) {
    say(fmt::format("opisthion: our own bug, please report it: {}\n",
                    opisthion::report::escaped_for_terminal(error.what())));
    return static_cast<int>(Exit::bug);
  }
}
