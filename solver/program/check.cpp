// SPDX-License-Identifier: MIT
#include <algorithm>
#include <set>

#include <fmt/format.h>

#include "models/hardware/allowed_anchors.hpp"
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

std::string_view kind_words(models::AnchorKind kind) {
  switch (kind) {
    case models::AnchorKind::lateral_mass:
      return "lateral mass";
    case models::AnchorKind::pars:
      return "pars";
    case models::AnchorKind::pedicle:
      return "pedicle";
    case models::AnchorKind::laminar:
      return "laminar";
    case models::AnchorKind::transarticular:
      return "transarticular";
  }
  return "";
}

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

std::string anchors_of(const models::Construct& construct, const models::Neck& neck, const models::ParameterReader& number,
                       std::set<std::string_view>& rules) {
  std::string out = fmt::format("construct '{}'\n", escaped_for_terminal(construct.name));
  for (const models::Anchor& anchor : construct.anchors) {
    out += fmt::format("  anchor '{}': {} at {} {}\n", escaped_for_terminal(anchor.name), kind_words(anchor.kind),
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

std::string summary(const std::vector<models::Finding>& findings, std::size_t complaint_count) {
  const auto count = [&findings](models::Severity severity) {
    return static_cast<std::size_t>(
        std::count_if(findings.begin(), findings.end(), [severity](const auto& f) { return f.severity == severity; }));
  };
  return fmt::format("{} errors, {} warnings, {} notes\n", count(models::Severity::error) + complaint_count,
                     count(models::Severity::warning), count(models::Severity::note));
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
    print_result(words(loaded.error(), source, colour) + summary(loaded.error(), 0) + ending());
    return Exit::case_file;
  }
  const models::ParameterTable parameters = with_changes(library, loaded->the_case);
  const std::string unbuildable = complaints(*loaded, source, parameters, {});
  std::string out = words(loaded->findings, source, colour) + unbuildable;
  const models::ParameterReader number(parameters);
  std::set<std::string_view> rules;
  for (const models::Construct& construct : loaded->the_case.constructs)
    out += anchors_of(construct, loaded->the_case.neck, number, rules);
  out += sources_of(rules, parameters);
  out += summary(loaded->findings, static_cast<std::size_t>(std::count(unbuildable.begin(), unbuildable.end(), '\n')));
  print_result(out + ending());
  return unbuildable.empty() ? Exit::solved : Exit::case_file;
}

}  // namespace opisthion::program
