// SPDX-License-Identifier: MIT
#include <algorithm>
#include <cctype>
#include <map>

#include <fmt/format.h>

#include "models/xml/quantity.hpp"
#include "solver/program/input.hpp"
#include "solver/program/subcommands.hpp"
#include "solver/program/terminal.hpp"
#include "solver/report/cells.hpp"
#include "solver/report/columns.hpp"
#include "solver/report/finding_text.hpp"

namespace opisthion::program {
namespace {

// Widths of the summary.
constexpr std::size_t kName = 12;
constexpr std::size_t kColumn = 10;
constexpr std::size_t kTotal = 7;

std::string lower(std::string text) {
  std::transform(text.begin(), text.end(), text.begin(), [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
  return text;
}

bool matches(const models::Parameter& parameter, const std::string& word) {
  const std::string wanted = lower(word);
  for (const std::string* text : {&parameter.id, &parameter.source, &parameter.note, &parameter.file})
    if (lower(*text).find(wanted) != std::string::npos) return true;
  return false;
}

std::string value_words(const models::Parameter& parameter) {
  std::string out;
  for (std::size_t i = 0; i < parameter.written.size() && i < 8; ++i)
    out += (i == 0                                                        ? ""
            : i % 2 == 0 && parameter.unit.find(';') != std::string::npos ? " | "
                                                                          : " ") +
           models::format_number(parameter.written[i]);
  if (parameter.written.size() > 8) out += " ..";
  return parameter.unit == "1" ? out : out + " " + parameter.unit;
}

std::string indented(const std::string& label, const std::string& text) {
  constexpr std::size_t kIndent = 12;
  std::string body = report::wrap(report::escaped_for_terminal(text), report::kWidth - kIndent, 0);
  for (std::size_t at = body.find('\n'); at != std::string::npos; at = body.find('\n', at + 1))
    body.insert(at + 1, std::string(kIndent, ' '));
  return report::padded("    " + label, kIndent) + body + "\n";
}

std::string entry(const models::Parameter& parameter) {
  std::string out = fmt::format("{}  {}\n", parameter.id, value_words(parameter));
  out += indented("spread", fmt::format("{}; {}", parameter.spread, models::name(parameter.certainty)));
  out += indented("source", parameter.source);
  if (!parameter.note.empty()) out += indented("note", parameter.note);
  return out;
}

/// A row a file, a column a certainty.
std::string summary(const std::vector<const models::Parameter*>& all) {
  std::map<std::string, std::map<models::Certainty, int>> files;
  std::map<models::Certainty, int> total;
  for (const models::Parameter* parameter : all) {
    ++files[parameter->file.substr(0, parameter->file.find('.'))][parameter->certainty];
    ++total[parameter->certainty];
  }
  std::string out = report::padded("file", kName);
  for (const auto& [certainty, sum] : total)
    out += fmt::format("{:>{}}", report::clip(std::string(models::name(certainty)), kColumn - 1), kColumn);
  out += fmt::format("{:>{}}\n", "all", kTotal);
  const auto row = [&](const std::string& called, const std::map<models::Certainty, int>& counts) {
    out += report::padded(called, kName);
    int sum = 0;
    for (const auto& [certainty, unused] : total) {
      const auto found = counts.find(certainty);
      const int count = found == counts.end() ? 0 : found->second;
      out += fmt::format("{:>{}}", count, kColumn);
      sum += count;
    }
    out += fmt::format("{:>{}}\n", sum, kTotal);
  };
  for (const auto& [file, counts] : files) row(file, counts);
  row("all", total);
  return out + "\n" +
         report::wrap(fmt::format("{} numbers, each with its source, by library file (.xml). 'opisthion library WORD' lists "
                                  "those that match: alar, rod, assumed.",
                                  all.size()),
                      report::kWidth, 0) +
         "\n";
}

}  // namespace

Exit run(const LibraryCommand& command) {
  require_stdout();
  const models::ParameterTable library = load_library();
  const std::vector<const models::Parameter*> all = library.all();
  if (command.word.empty()) {
    print_result(summary(all) + ending());
    return Exit::solved;
  }
  std::string out;
  int count = 0;
  for (const models::Parameter* parameter : all)
    if (matches(*parameter, command.word) || models::name(parameter->certainty) == command.word) {
      out += entry(*parameter);
      ++count;
    }
  if (count == 0) {
    const std::string nearest = library.nearest(command.word);
    say(fmt::format("library: no number matches '{}'{}\n", report::escaped_for_terminal(command.word),
                    nearest.empty() ? "" : fmt::format(" (did you mean '{}'?)", nearest)));
    return Exit::usage;
  }
  print_result(out + fmt::format("{} of {} numbers\n", count, all.size()) + ending());
  return Exit::solved;
}

}  // namespace opisthion::program
