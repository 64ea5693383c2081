// SPDX-License-Identifier: MIT
#include "models/hardware/allowed_anchors.hpp"

#include <algorithm>

#include "models/hardware/trajectory.hpp"

namespace opisthion::models {

namespace {

/// The id of the limit and of the generic adult's measure, and what the CT said.
struct Measure {
  std::string_view rule;
  std::string_view generic;
  std::optional<double> measured;
  bool must_exceed;
};

std::vector<Measure> measures(AnchorKind kind, const SideAnatomy& a) {
  const Measure isthmus{"rule.C2.isthmus_height", "anatomy.C2.isthmus_height", a.isthmus_height_mm, true};
  const Measure internal{"rule.C2.internal_height", "anatomy.C2.internal_height", a.internal_height_mm, true};
  switch (kind) {
    case AnchorKind::lateral_mass:
      return {{"rule.C1.lateral_mass.width", "anatomy.C1.lateral_mass_width", a.lateral_mass_width_mm, false},
              {"rule.C1.lateral_mass.depth", "anatomy.C1.lateral_mass_depth", a.lateral_mass_depth_mm, false}};
    case AnchorKind::pars:
      // Shorter than a transarticular screw: it stops before the groove, so it needs height for itself but no room above.
      return {{"rule.C2.pars.isthmus_height", "anatomy.C2.isthmus_height", a.isthmus_height_mm, false}};
    case AnchorKind::pedicle:
      return {isthmus, internal, {"rule.C2.pedicle.width", "anatomy.C2.pedicle_width", a.pedicle_width_mm, true}};
    case AnchorKind::laminar:
      return {{"rule.C2.laminar.thickness", "anatomy.C2.lamina_thickness", a.lamina_thickness_mm, false},
              {"rule.C2.laminar.height", "anatomy.C2.lamina_height", a.lamina_height_mm, false}};
    case AnchorKind::transarticular:
      return {isthmus, internal};
  }
  return {};
}

bool runs_near_artery(AnchorKind kind) {
  return kind == AnchorKind::pars || kind == AnchorKind::pedicle || kind == AnchorKind::transarticular;
}

AllowedAnchor judge(AnchorKind kind, const SideAnatomy& anatomy, const SideAnatomy& other, const ParameterReader& number) {
  AllowedAnchor answer;
  answer.kind = kind;
  for (const Measure& m : measures(kind, anatomy))
    answer.reasons.push_back({m.rule, number.scalar(m.rule), m.measured.value_or(number.scalar(m.generic)), m.must_exceed,
                              !m.measured.has_value()});
  // A laminar screw enters beside the spinous process and lives in the opposite lamina: that one must be thick enough.
  if (kind == AnchorKind::laminar) {
    const auto far = measures(kind, other);
    answer.reasons.front().found_mm = far.front().measured.value_or(number.scalar(far.front().generic));
    answer.reasons.front().generic = !far.front().measured.has_value();
  }
  answer.decisive = *std::min_element(answer.reasons.begin(), answer.reasons.end(),
                                      [](const auto& a, const auto& b) { return a.margin_mm() < b.margin_mm(); });
  answer.margin_mm = answer.decisive.margin_mm();
  answer.near_artery = runs_near_artery(kind);
  answer.artery = anatomy.artery;
  if (answer.near_artery) {
    answer.artery_in_the_way = anatomy.artery == Artery::high;
    answer.artery_not_checked = anatomy.artery == Artery::not_checked;
    answer.artery_unaffordable = anatomy.artery == Artery::only || anatomy.artery == Artery::dominant;
  }
  const bool all_met = std::all_of(answer.reasons.begin(), answer.reasons.end(), [](const auto& r) { return r.met(); });
  const bool guessed = std::any_of(answer.reasons.begin(), answer.reasons.end(), [](const auto& r) { return r.generic; });
  const bool risk = answer.artery_in_the_way || answer.artery_not_checked || answer.artery_unaffordable;
  if (!all_met)
    answer.fit = Fit::does_not_fit;
  else if (answer.margin_mm < number.scalar("rule.marginal") || risk || (answer.near_artery && guessed))
    answer.fit = Fit::marginal;
  return answer;
}

}  // namespace

std::string_view name(Fit fit) {
  switch (fit) {
    case Fit::fits:
      return "fits";
    case Fit::marginal:
      return "marginal";
    case Fit::does_not_fit:
      return "does not fit";
  }
  return "";
}

std::vector<AllowedAnchor> allowed_anchors(const Neck& neck, Level level, Side side, const ParameterReader& number) {
  std::vector<AllowedAnchor> answers;
  const SideAnatomy here = neck.anatomy_at(level, side);
  const SideAnatomy there = neck.anatomy_at(level, side == Side::left ? Side::right : Side::left);
  for (const AnchorKind kind :
       {AnchorKind::lateral_mass, AnchorKind::pars, AnchorKind::pedicle, AnchorKind::laminar, AnchorKind::transarticular})
    if (has_trajectory(kind, level)) answers.push_back(judge(kind, here, there, number));
  return answers;
}

}  // namespace opisthion::models
