// SPDX-License-Identifier: MIT
#include <algorithm>
#include <map>
#include <set>

#include <fmt/format.h>

#include "mesh/build/lock_tilt.hpp"
#include "models/quantity/units.hpp"
#include "solver/program/input.hpp"
#include "solver/program/subcommands.hpp"
#include "solver/program/terminal.hpp"
#include "solver/report/cells.hpp"
#include "solver/report/columns.hpp"
#include "solver/report/finding_text.hpp"
#include "solver/study/assess.hpp"
#include "solver/study/fit.hpp"

namespace opisthion::program {
namespace {

using report::escaped_for_terminal;

constexpr std::string_view kLargestTilt = "lock.largest_tilt";

std::string bulleted(const std::string& text) {
  std::string out = "      " + report::wrap(text, report::kWidth - 8, 0) + "\n";
  for (std::size_t at = out.find('\n'); at + 1 < out.size(); at = out.find('\n', at + 1)) out.insert(at + 1, "        ");
  return out;
}

/// What is told of the constructs: findings with a place in the file, and the list of every anchor and rod.
struct Told {
  std::vector<models::Finding> findings{};
  std::string list{};
  std::set<std::string, std::less<>> rules{};
};

/// A finding about a part of a construct, underlined at its element.
models::Finding about(const LoadedCase& loaded, const models::Construct& construct, std::string_view element,
                      const std::string& part) {
  const std::string item = fmt::format("{} '{}'", element, part);
  return {.offset = place_of(loaded.root, construct.name, item),
          .length = element.size(),
          .where = fmt::format("construct '{}', {}", construct.name, item)};
}

/// "anchor 'C2 left': pars at C2 left"
std::string heading(const models::Construct& construct, std::size_t index, const study::AnchorFit& fit) {
  if (index >= construct.anchors.size()) return fmt::format("  tie '{}': {}\n", escaped_for_terminal(fit.anchor), fit.kind);
  const models::Anchor& anchor = construct.anchors[index];
  return fmt::format("  anchor '{}': {} at {}{}\n", escaped_for_terminal(anchor.name), fit.kind, models::name(anchor.level),
                     models::is_midline(anchor.kind) ? "" : fmt::format(" {}", models::name(anchor.side)));
}

void tell_of_anchors(Told& told, const LoadedCase& loaded, const models::Construct& construct,
                     const models::ParameterTable& parameters) {
  const std::vector<study::AnchorFit> fits = study::fits(loaded.the_case, construct, parameters);
  for (std::size_t i = 0; i < fits.size(); ++i) {
    const study::AnchorFit& fit = fits[i];
    told.list += heading(construct, i, fit);
    told.list += bulleted(fit.rule.empty() ? fit.text : fmt::format("{} ({})", fit.text, fit.rule));
    if (!fit.rule.empty()) told.rules.insert(fit.rule);
    const bool bad = study::does_not_fit(fit);
    // An artery that nobody looked at is a warning of the reader already.
    if (!bad && (fit.verdict == "fits" || fit.artery_not_checked)) continue;
    models::Finding finding = about(loaded, construct, i < construct.anchors.size() ? "anchor" : "tie", fit.anchor);
    finding.severity = bad ? models::Severity::warning : models::Severity::note;
    finding.code = fit.artery_in_the_way ? models::FindingCode::artery_in_the_way
                   : bad                 ? models::FindingCode::does_not_fit
                                         : models::FindingCode::fit_marginal;
    finding.found = fit.text;
    told.findings.push_back(finding);
  }
  if (fits.empty() && construct.ties.empty()) told.list += "  no anchors\n";
}

/// What was built all the same, and loads that nothing answers.
void tell_of_mechanics(Told& told, const LoadedCase& loaded, const models::Construct& construct,
                       const models::ParameterTable& parameters) {
  const auto about_construct = [&](std::string found) {
    models::Finding finding{.code = models::FindingCode::nothing_held,
                            .severity = models::Severity::warning,
                            .offset = place_of(loaded.root, construct.name, ""),
                            .length = std::string_view("construct").size(),
                            .where = fmt::format("construct '{}'", construct.name),
                            .found = std::move(found)};
    told.findings.push_back(std::move(finding));
  };
  const study::ConstructResult result = study::assess_construct(loaded.the_case, construct, parameters, {});
  for (const std::string& note : result.notes) told.list += bulleted(escaped_for_terminal(note));
  std::map<std::string, std::string> loads_by_reason;
  const auto take = [&](const auto& load, const std::string& what) {
    if (load.status != study::Status::mechanism) return;
    std::string& loads = loads_by_reason[load.reason];
    loads += (loads.empty() ? "" : ", ") + what;
  };
  for (const study::MotionResult& motion : result.motions) take(motion, std::string(models::title(motion.motion)));
  for (const auto* forces : {&result.shear, &result.axial, &result.heads})
    for (const study::ForceResult& force : *forces) take(force, force.name);
  if (loads_by_reason.empty() && result.status == study::Status::mechanism) about_construct(result.reason);
  for (const auto& [reason, loads] : loads_by_reason) about_construct(loads + ": " + reason);
}

/// What each rod asks of the heads it lies in, and a warning where that is more than a head can give.
void tell_of_rods(Told& told, const LoadedCase& loaded, const models::Construct& construct,
                  const models::ParameterReader& number) {
  const double largest_deg = models::to_deg(number.scalar(kLargestTilt));
  std::string rod;
  for (const mesh::LockTilt& lock : mesh::lock_tilts(loaded.the_case.neck, construct, number)) {
    if (lock.rod != rod) told.list += fmt::format("  rod '{}'\n", escaped_for_terminal(lock.rod));
    rod = lock.rod;
    const std::string words = fmt::format("leans {:.0f} deg in the head of '{}'", lock.tilt_deg, lock.anchor);
    const bool too_far = lock.tilt_deg > largest_deg;
    told.list += bulleted(escaped_for_terminal(words) + (too_far ? fmt::format(": too far ({})", kLargestTilt) : ""));
    if (!too_far) continue;
    models::Finding finding = about(loaded, construct, "rod", lock.rod);
    finding.code = models::FindingCode::rod_leans;
    finding.severity = models::Severity::warning;
    finding.found =
        fmt::format("{}, more than the {:.0f} deg that a polyaxial head takes up: bend the rod or choose another head",
                    words, largest_deg);
    told.findings.push_back(finding);
    told.rules.emplace(kLargestTilt);
  }
}

/// What the reader said and what the constructs give, in the order of the file.
Told told_of(const LoadedCase& loaded, const models::ParameterTable& parameters) {
  Told told{.findings = loaded.findings};
  const models::ParameterReader number(parameters);
  for (const models::Construct& construct : loaded.the_case.constructs) {
    told.list += fmt::format("construct '{}'\n", escaped_for_terminal(construct.name));
    tell_of_anchors(told, loaded, construct, parameters);
    tell_of_rods(told, loaded, construct, number);
    tell_of_mechanics(told, loaded, construct, parameters);
  }
  std::stable_sort(told.findings.begin(), told.findings.end(),
                   [](const auto& a, const auto& b) { return a.offset < b.offset; });
  return told;
}

std::string sources_of(const std::set<std::string, std::less<>>& rules, const models::ParameterTable& parameters) {
  if (rules.empty()) return {};
  std::string out = "rules and where they come from\n";
  for (const std::string& rule : rules)
    if (const models::Parameter* parameter = parameters.find(rule))
      out += bulleted(fmt::format("{}: {} ({})", rule, parameter->source, models::name(parameter->certainty)));
  return out;
}

std::string counted(std::size_t count, std::string_view what) {
  return fmt::format("{} {}{}", count, what, count == 1 ? "" : "s");
}

/// Complaints begin at the left; their further lines are indented.
std::size_t count_of(const std::string& complaints) {
  std::size_t count = 0;
  char before = '\n';
  for (const char c : complaints) {
    if (before == '\n' && c != ' ') ++count;
    before = c;
  }
  return count;
}

std::string summary(const std::vector<models::Finding>& findings, std::size_t complaint_count) {
  const auto count = [&findings](models::Severity severity) {
    return static_cast<std::size_t>(
        std::count_if(findings.begin(), findings.end(), [severity](const auto& f) { return f.severity == severity; }));
  };
  return counted(count(models::Severity::error) + complaint_count, "error") + ", " +
         counted(count(models::Severity::warning), "warning") + ", " + counted(count(models::Severity::note), "note") + "\n";
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
  const Told told = told_of(*loaded, parameters);
  print_result(words(told.findings, source, colour) + unbuildable + told.list + sources_of(told.rules, parameters) +
               summary(told.findings, count_of(unbuildable)) + ending());
  return unbuildable.empty() ? Exit::solved : Exit::case_file;
}

}  // namespace opisthion::program
