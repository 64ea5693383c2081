// SPDX-License-Identifier: MIT
#include "solver/study/fit.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

#include "models/hardware/allowed_anchors.hpp"
#include "solver/study/figure.hpp"

namespace opisthion::study {
namespace {

using models::Fit;

constexpr std::string_view kBonyBridge =
    "a bony bridge roofs the artery groove: the arch looks taller than it is, measure it under the bridge";

/// What the size rule alone says. allowed_anchors counts the artery's risk into its own verdict, so it is asked anew here.
Fit size_alone(const models::AllowedAnchor& anchor, double marginal_mm) {
  const auto& rules = anchor.reasons;
  if (std::any_of(rules.begin(), rules.end(), [](const auto& rule) { return !rule.met(); })) return Fit::does_not_fit;
  const bool guessed = std::any_of(rules.begin(), rules.end(), [](const auto& rule) { return rule.generic; });
  return anchor.margin_mm < marginal_mm || (anchor.near_artery && guessed) ? Fit::marginal : Fit::fits;
}

/// Lengths in a sentence with one decimal, or two where one would not tell the measure from the rule.
std::string size_words(const models::AllowedAnchor& anchor, Fit size, bool led_by_other) {
  const models::FitReason& rule = anchor.decisive;
  if (rule.rule.empty()) return "fits: no rule limits it here";
  const double margin_mm = std::abs(rule.margin_mm());
  const int decimals = margin_mm != 0.0 && margin_mm < 0.05 ? 2 : 1;
  const auto mm = [decimals](double value) { return figure(value, decimals) + " mm"; };
  const std::string basis = " (" + mm(rule.found_mm) + (rule.generic ? " in the generic adult, not measured" : "") +
                            ", the rule asks for " + (rule.must_exceed ? "more than " : "") + mm(rule.needed_mm) + ")";
  if (size == Fit::does_not_fit) return (margin_mm == 0.0 ? "too small" : "too small by " + mm(margin_mm)) + basis;
  const std::string spare = mm(margin_mm) + " to spare" + basis;
  if (led_by_other) return "by size alone " + spare;
  return std::string(models::name(size)) + ": " + spare;
}

std::string artery_words(const models::AllowedAnchor& anchor) {
  if (anchor.artery_in_the_way) return "the artery runs high: it is in the way";
  if (anchor.artery_unaffordable) return "this artery is the dominant or only one: it cannot be risked";
  if (anchor.artery_not_checked) return "artery not checked: look at its course on the CT before this screw";
  return "";
}

std::string_view removed_words(models::InstabilityKind by) {
  switch (by) {
    case models::InstabilityKind::laminectomy:
      return "the lamina it holds in is taken out";
    case models::InstabilityKind::lateral_mass_destroyed:
      return "the lateral mass it holds in is destroyed";
    case models::InstabilityKind::ring_fracture:
      return "the ring it holds in is broken on this side";
    case models::InstabilityKind::body_destroyed:
      return "the vertebral body it ends in is destroyed";
    default:
      return "the bone it holds in is gone";
  }
}

AnchorFit judged(const models::Anchor& placed, const models::AllowedAnchor& anchor, const models::ParameterReader& number) {
  const double marginal_mm = number.scalar("rule.marginal");
  const bool forbidden = anchor.artery_in_the_way || anchor.artery_unaffordable;
  const Fit size = size_alone(anchor, marginal_mm);
  const bool led_by_other = (forbidden || anchor.removed_by || anchor.bony_bridge) && size != Fit::does_not_fit;
  const std::string by_size = size_words(anchor, size, led_by_other);
  const std::string by_artery = artery_words(anchor);
  AnchorFit out{.anchor = placed.name, .kind = std::string(models::title(placed.kind))};
  out.verdict = models::name(forbidden ? Fit::does_not_fit : anchor.fit);
  out.artery_in_the_way = anchor.artery_in_the_way;
  out.artery_not_checked = anchor.artery_not_checked;
  out.bone_removed = anchor.removed_by.has_value();
  out.rule = anchor.decisive.rule;
  if (const models::Parameter* rule = number.table().find(out.rule)) out.source = rule->source;
  std::vector<std::string> parts;
  if (anchor.removed_by) parts.emplace_back(removed_words(*anchor.removed_by));
  if (!by_artery.empty()) parts.push_back(by_artery);
  if (anchor.bony_bridge) parts.emplace_back(kBonyBridge);
  // What decides comes first: the size when it alone forbids the anchor, or when nothing else weighs more.
  parts.insert(led_by_other ? parts.end() : parts.begin(), by_size);
  for (const std::string& part : parts) out.text += (out.text.empty() ? "" : "; ") + part;
  return out;
}

/// What of a tie stands in the canal, and at which levels.
std::vector<models::Level> levels_in_canal(const models::Tie& tie) {
  switch (tie.kind) {
    case models::TieKind::sublaminar_wire:
    case models::TieKind::clamp:
      return {tie.upper, tie.lower};
    case models::TieKind::midline_wire:
      return {tie.upper};  // below it goes round the spinous process
    case models::TieKind::spinous_wire:
      return {};
  }
  return {};
}

/// The level with the least room decides.
std::optional<AnchorFit> judged(const models::Tie& tie, const models::Neck& neck, const models::ParameterReader& number) {
  const models::Grip grip = tie.kind == models::TieKind::clamp ? models::Grip::hook : models::Grip::wire;
  std::optional<models::FitReason> least;
  models::Level where = tie.upper;
  for (const models::Level level : levels_in_canal(tie)) {
    const auto room = models::canal_room(neck, level, grip, number);
    if (!room || (least && least->margin_mm() <= room->margin_mm())) continue;
    least = room;
    where = level;
  }
  if (!least) return std::nullopt;
  models::AllowedAnchor canal{.margin_mm = least->margin_mm(), .decisive = *least, .reasons = {*least}};
  canal.fit = size_alone(canal, number.scalar("rule.marginal"));
  AnchorFit out{.anchor = tie.name, .kind = std::string(models::title(tie.kind))};
  out.verdict = models::name(canal.fit);
  out.text = "canal at " + std::string(models::name(where)) + ": " + size_words(canal, canal.fit, false);
  out.rule = least->rule;
  if (const models::Parameter* rule = number.table().find(out.rule)) out.source = rule->source;
  return out;
}

}  // namespace

std::vector<AnchorFit> fits(const models::Case& the_case, const models::Construct& construct,
                            const models::ParameterReader& number) {
  std::vector<AnchorFit> out;
  for (const models::Anchor& placed : construct.anchors) {
    if (const auto allowed = models::judge_anchor(the_case.neck, placed, construct.anchors, number))
      out.push_back(judged(placed, *allowed, number));
    else
      out.push_back({.anchor = placed.name,
                     .kind = std::string(models::title(placed.kind)),
                     .verdict = std::string(models::name(Fit::does_not_fit)),
                     .text = "no such anchor at " + std::string(models::name(placed.level))});
  }
  for (const models::Tie& tie : construct.ties)
    if (auto one = judged(tie, the_case.neck, number)) out.push_back(std::move(*one));
  return out;
}

std::vector<AnchorFit> fits(const models::Case& the_case, const models::Construct& construct,
                            const models::ParameterTable& parameters) {
  return fits(the_case, construct, models::ParameterReader(parameters));
}

}  // namespace opisthion::study
