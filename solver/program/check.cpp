// SPDX-License-Identifier: MIT
#include <algorithm>
#include <set>

#include <fmt/format.h>

#include "mesh/build/lock_tilt.hpp"
#include "models/hardware/allowed_anchors.hpp"
#include "models/quantity/units.hpp"
#include "solver/program/input.hpp"
#include "solver/program/subcommands.hpp"
#include "solver/program/terminal.hpp"
#include "solver/report/caution.hpp"
#include "solver/report/columns.hpp"
#include "solver/report/finding_text.hpp"

namespace opisthion::program {
namespace {

using report::escaped_for_terminal;

constexpr std::size_t kWidth = 100;
constexpr std::string_view kLargestTilt = "lock.largest_tilt";

std::string fit_words(const models::AllowedAnchor& anchor) {
  const models::FitReason& rule = anchor.decisive;
  if (rule.rule.empty()) return "fits: no rule limits it here";
  return fmt::format("{} by {:.1f} mm: {:.1f} mm{}, the rule asks for {}{:.1f} mm ({})", models::name(anchor.fit),
                     rule.margin_mm(), rule.found_mm, rule.generic ? " (generic adult, not measured)" : "",
                     rule.must_exceed ? "more than " : "", rule.needed_mm, rule.rule);
}

std::vector<std::string> artery_words(const models::AllowedAnchor& anchor) {
  std::vector<std::string> out;
  if (anchor.artery_not_checked) out.emplace_back("artery not checked: look at its course on the CT before this screw");
  if (anchor.artery_in_the_way) out.emplace_back("the artery runs high: it is in the way");
  if (anchor.artery_unaffordable) out.emplace_back("this artery is the dominant or only one: it cannot be risked");
  return out;
}

std::string bulleted(const std::string& text) {
  std::string out = "      " + report::wrap(text, kWidth - 8, 0) + "\n";
  for (std::size_t at = out.find('\n'); at + 1 < out.size(); at = out.find('\n', at + 1)) out.insert(at + 1, "        ");
  return out;
}

/// What each rod asks of the heads it lies in, and a warning where that is more than a head can give.
struct LockNotes {
  std::string text{};
  std::size_t warnings = 0;
};

LockNotes locks_of(const models::Construct& construct, const models::Neck& neck, const models::ParameterReader& number,
                   std::set<std::string_view>& rules) {
  LockNotes notes;
  const double largest_deg = models::to_deg(number.scalar(kLargestTilt));
  std::string rod;
  for (const mesh::LockTilt& lock : mesh::lock_tilts(neck, construct, number)) {
    if (lock.rod != rod) notes.text += fmt::format("  rod '{}'\n", escaped_for_terminal(lock.rod));
    rod = lock.rod;
    const std::string words =
        fmt::format("leans {:.0f} deg in the head of '{}'", lock.tilt_deg, escaped_for_terminal(lock.anchor));
    if (lock.tilt_deg <= largest_deg) {
      notes.text += bulleted(words);
      continue;
    }
    notes.text +=
        bulleted(fmt::format("warning: {}, more than the {:.0f} deg that a polyaxial head takes up ({}): bend the "
                             "rod or choose another head",
                             words, largest_deg, kLargestTilt));
    rules.insert(kLargestTilt);
    ++notes.warnings;
  }
  return notes;
}

std::string anchors_of(const models::Construct& construct, const models::Neck& neck, const models::ParameterReader& number,
                       std::set<std::string_view>& rules) {
  std::string out = fmt::format("construct '{}'\n", escaped_for_terminal(construct.name));
  for (const models::Anchor& anchor : construct.anchors) {
    out += fmt::format("  anchor '{}': {} at {} {}\n", escaped_for_terminal(anchor.name), models::title(anchor.kind),
                       models::name(anchor.level), models::name(anchor.side));
    for (const models::AllowedAnchor& allowed : models::allowed_anchors(neck, anchor.level, anchor.side, number)) {
      if (allowed.kind != anchor.kind) continue;
      out += bulleted(fit_words(allowed));
      for (const std::string& words : artery_words(allowed)) out += bulleted(words);
      if (!allowed.decisive.rule.empty()) rules.insert(allowed.decisive.rule);
    }
  }
  if (construct.anchors.empty()) out += "  no anchors\n";
  return out;
}

std::string sources_of(const std::set<std::string_view>& rules, const models::ParameterTable& parameters) {
  if (rules.empty()) return {};
  std::string out = "rules and where they come from\n";
  for (const std::string_view rule : rules)
    if (const models::Parameter* parameter = parameters.find(rule))
      out += bulleted(fmt::format("{}: {} ({})", rule, parameter->source, models::name(parameter->certainty)));
  return out;
}

std::string summary(const std::vector<models::Finding>& findings, std::size_t complaint_count, std::size_t warning_count) {
  const auto count = [&findings](models::Severity severity) {
    return static_cast<std::size_t>(
        std::count_if(findings.begin(), findings.end(), [severity](const auto& f) { return f.severity == severity; }));
  };
  return fmt::format("{} errors, {} warnings, {} notes\n", count(models::Severity::error) + complaint_count,
                     count(models::Severity::warning) + warning_count, count(models::Severity::note));
}

std::string ending() {
  return "\n" + report::wrap(report::kCaution, kWidth, 0) + "\n";
}

}  // namespace

Exit run(const CheckCommand& command) {
  require_stdout();
  const SourceText source = read_source(command.path);
  const models::ParameterTable library = load_library();
  const bool colour = colour_wanted(stdout_is_terminal());
  const auto loaded = load_case(source, library);
  if (!loaded) {
    print_result(words(loaded.error(), source, colour) + summary(loaded.error(), 0, 0) + ending());
    return Exit::case_file;
  }
  const models::ParameterTable parameters = with_changes(library, loaded->the_case);
  const std::string unbuildable = complaints(*loaded, source, parameters, {});
  std::string out = words(loaded->findings, source, colour) + unbuildable;
  const models::ParameterReader number(parameters);
  std::set<std::string_view> rules;
  std::size_t lock_warnings = 0;
  for (const models::Construct& construct : loaded->the_case.constructs) {
    out += anchors_of(construct, loaded->the_case.neck, number, rules);
    const LockNotes locks = locks_of(construct, loaded->the_case.neck, number, rules);
    out += locks.text;
    lock_warnings += locks.warnings;
  }
  out += sources_of(rules, parameters);
  out += summary(loaded->findings, static_cast<std::size_t>(std::count(unbuildable.begin(), unbuildable.end(), '\n')),
                 lock_warnings);
  print_result(out + ending());
  return unbuildable.empty() ? Exit::solved : Exit::case_file;
}

}  // namespace opisthion::program
