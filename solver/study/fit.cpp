// SPDX-License-Identifier: MIT
#include "solver/study/fit.hpp"

#include <algorithm>
#include <cmath>

#include "models/hardware/allowed_anchors.hpp"
#include "solver/study/figure.hpp"

namespace opisthion::study {
namespace {

using models::Fit;

/// What the size rule alone says. allowed_anchors counts the artery's risk into its own verdict, so it is asked anew here.
Fit size_alone(const models::AllowedAnchor& anchor, double marginal_mm) {
  const auto& rules = anchor.reasons;
  if (std::any_of(rules.begin(), rules.end(), [](const auto& rule) { return !rule.met(); })) return Fit::does_not_fit;
  const bool guessed = std::any_of(rules.begin(), rules.end(), [](const auto& rule) { return rule.generic; });
  return anchor.margin_mm < marginal_mm || (anchor.near_artery && guessed) ? Fit::marginal : Fit::fits;
}

/// Lengths in a sentence with one decimal, or two where one would not tell the measure from the rule.
std::string size_words(const models::AllowedAnchor& anchor, Fit size, bool led_by_artery) {
  const models::FitReason& rule = anchor.decisive;
  if (rule.rule.empty()) return "fits: no rule limits it here";
  const double margin_mm = std::abs(rule.margin_mm());
  const int decimals = margin_mm != 0.0 && margin_mm < 0.05 ? 2 : 1;
  const auto mm = [decimals](double value) { return figure(value, decimals) + " mm"; };
  const std::string basis = " (" + mm(rule.found_mm) + (rule.generic ? " in the generic adult, not measured" : "") +
                            ", the rule asks for " + (rule.must_exceed ? "more than " : "") + mm(rule.needed_mm) + ")";
  if (size == Fit::does_not_fit) return (margin_mm == 0.0 ? "too small" : "too small by " + mm(margin_mm)) + basis;
  const std::string spare = mm(margin_mm) + " to spare" + basis;
  if (led_by_artery) return "by size alone " + spare;
  return std::string(models::name(size)) + ": " + spare;
}

std::string artery_words(const models::AllowedAnchor& anchor) {
  if (anchor.artery_in_the_way) return "the artery runs high: it is in the way";
  if (anchor.artery_unaffordable) return "this artery is the dominant or only one: it cannot be risked";
  if (anchor.artery_not_checked) return "artery not checked: look at its course on the CT before this screw";
  return "";
}

AnchorFit judged(const models::Anchor& placed, const models::AllowedAnchor& anchor, double marginal_mm) {
  const bool forbidden = anchor.artery_in_the_way || anchor.artery_unaffordable;
  const Fit size = size_alone(anchor, marginal_mm);
  const bool led_by_artery = forbidden && size != Fit::does_not_fit;
  const std::string by_size = size_words(anchor, size, led_by_artery);
  const std::string by_artery = artery_words(anchor);
  AnchorFit out{.anchor = placed.name, .kind = std::string(models::title(placed.kind))};
  out.verdict = models::name(forbidden ? Fit::does_not_fit : anchor.fit);
  out.artery_in_the_way = anchor.artery_in_the_way;
  out.artery_not_checked = anchor.artery_not_checked;
  out.rule = anchor.decisive.rule;
  if (by_artery.empty())
    out.text = by_size;
  else
    out.text = led_by_artery ? by_artery + "; " + by_size : by_size + "; " + by_artery;
  return out;
}

}  // namespace

std::vector<AnchorFit> fits(const models::Case& the_case, const models::Construct& construct,
                            const models::ParameterTable& parameters) {
  const models::ParameterReader number(parameters);
  const double marginal_mm = number.scalar("rule.marginal");
  std::vector<AnchorFit> out;
  for (const models::Anchor& placed : construct.anchors) {
    const auto allowed = models::allowed_anchors(the_case.neck, placed.level, placed.side, number);
    const auto found =
        std::find_if(allowed.begin(), allowed.end(), [&placed](const auto& a) { return a.kind == placed.kind; });
    if (found != allowed.end())
      out.push_back(judged(placed, *found, marginal_mm));
    else
      out.push_back({.anchor = placed.name,
                     .kind = std::string(models::title(placed.kind)),
                     .verdict = std::string(models::name(Fit::does_not_fit)),
                     .text = "no such anchor at " + std::string(models::name(placed.level))});
  }
  return out;
}

}  // namespace opisthion::study
