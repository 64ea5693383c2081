// SPDX-License-Identifier: MIT
#include "models/hardware/allowed_anchors.hpp"

#include <algorithm>

#include "models/hardware/occiput_surface.hpp"
#include "models/hardware/trajectory.hpp"

namespace opisthion::models {

namespace {

std::string at_level(std::string_view id, Level level) {
  constexpr std::string_view kPlace = "{level}";
  std::string out(id);
  const auto at = out.find(kPlace);
  if (at != std::string::npos) out.replace(at, kPlace.size(), name(level));
  return out;
}

Side other(Side side) {
  return side == Side::left ? Side::right : Side::left;
}

/// An anchor as it is planned, or as the library has it.
struct Planned {
  const Anchor& anchor;
  bool has_twin = true;  ///< one of its kind stands on the other side of its level
};

struct Measured {
  double mm = 0.0;
  bool generic = true;
};

Measured measure(const FitRule& rule, const Neck& neck, const Anchor& anchor, const ParameterReader& number) {
  std::optional<double> said;
  switch (rule.measured_at) {
    case MeasuredAt::own_side:
      said = neck.anatomy_at(anchor.level, anchor.side).*rule.side;
      break;
    case MeasuredAt::other_side:
      said = neck.anatomy_at(anchor.level, other(anchor.side)).*rule.side;
      break;
    case MeasuredAt::whole_level:
      if (const LevelAnatomy* level = neck.level_anatomy(anchor.level)) said = level->*rule.level;
      break;
    case MeasuredAt::its_place: {
      const KeelThickness keel = keel_thickness(neck, occiput_place(anchor, number).below_inion_mm, number);
      return {keel.thickness_mm, keel.generic};
    }
    case MeasuredAt::generic_adult:
      break;
  }
  if (said) return {*said, false};
  return {number.scalar(at_level(rule.generic, anchor.level)), true};
}

/// What the planned thread is thicker than the one that the rules were made for.
double extra_diameter(const Anchor& anchor, const ParameterReader& number) {
  if (grip_of(anchor.kind) != Grip::screw) return 0.0;
  const Purchase purchase = anchor.purchase.value_or(Purchase::unicortical);
  const double usual = number.scalar(library_stem(anchor.kind, anchor.level, purchase) + ".diameter");
  return std::max(0.0, thread_diameter_mm(anchor, number) - usual);
}

std::vector<FitReason> reasons(const Neck& neck, const Planned& planned, const ParameterReader& number) {
  const Anchor& anchor = planned.anchor;
  std::vector<FitReason> out;
  for (const FitRule& rule : anchor_kind(anchor.kind).rules) {
    if (!rule.at.contains(anchor.level) || (rule.against_length && !anchor.length_mm)) continue;
    FitReason reason;
    reason.rule = at_level(planned.has_twin || rule.alone.empty() ? rule.limit : rule.alone, anchor.level);
    reason.needed_mm = number.scalar(reason.rule);
    if (rule.against_length) reason.needed_mm = *anchor.length_mm - reason.needed_mm;
    if (rule.grows) reason.needed_mm += extra_diameter(anchor, number);
    reason.must_exceed = rule.must_exceed;
    const Measured found = measure(rule, neck, anchor, number);
    reason.found_mm = found.mm;
    reason.generic = found.generic;
    out.push_back(std::move(reason));
  }
  return out;
}

AllowedAnchor judge(const Neck& neck, const Planned& planned, const ParameterReader& number) {
  const Anchor& anchor = planned.anchor;
  const SideAnatomy here = neck.anatomy_at(anchor.level, anchor.side);
  AllowedAnchor answer;
  answer.kind = anchor.kind;
  answer.reasons = reasons(neck, planned, number);
  if (!answer.reasons.empty())
    answer.decisive = *std::min_element(answer.reasons.begin(), answer.reasons.end(),
                                        [](const auto& a, const auto& b) { return a.margin_mm() < b.margin_mm(); });
  answer.margin_mm = answer.decisive.margin_mm();
  answer.near_artery = passes_artery(anchor);
  answer.artery = here.artery;
  if (answer.near_artery) {
    answer.artery_in_the_way = here.artery == Artery::high;
    answer.artery_not_checked = here.artery == Artery::not_checked;
    answer.artery_unaffordable = here.artery == Artery::only || here.artery == Artery::dominant;
  }
  answer.bony_bridge = anchor_kind(anchor.kind).bony_bridge_misleads && here.bony_bridge.value_or(false);
  answer.removed_by = removed_by(neck, anchor);
  const auto& all = answer.reasons;
  const bool all_met = std::all_of(all.begin(), all.end(), [](const auto& r) { return r.met(); });
  const bool guessed = std::any_of(all.begin(), all.end(), [](const auto& r) { return r.generic; });
  const bool risk = answer.artery_in_the_way || answer.artery_not_checked || answer.artery_unaffordable;
  const bool tight = !all.empty() && answer.margin_mm < number.scalar("rule.marginal");
  if (!all_met || answer.removed_by)
    answer.fit = Fit::does_not_fit;
  else if (tight || risk || answer.bony_bridge || (answer.near_artery && guessed))
    answer.fit = Fit::marginal;
  return answer;
}

}  // namespace

std::optional<InstabilityKind> removed_by(const Neck& neck, const Anchor& anchor) {
  const NeededBone& needs = anchor_kind(anchor.kind).needs;
  const Level end = ends_at(anchor.kind, anchor.level);
  if (needs.lamina && neck.has(InstabilityKind::laminectomy, anchor.level)) return InstabilityKind::laminectomy;
  if (needs.lateral_mass)
    for (const Level level : {anchor.level, end})
      if (neck.has(InstabilityKind::lateral_mass_destroyed, level, anchor.side))
        return InstabilityKind::lateral_mass_destroyed;
  const auto broken = [&neck](Side side) { return neck.has(InstabilityKind::ring_fracture, side); };
  if (anchor.level == Level::C1) {
    if (needs.ring && broken(anchor.side)) return InstabilityKind::ring_fracture;
    if (needs.lamina && broken(Side::left) && broken(Side::right)) return InstabilityKind::ring_fracture;
  }
  if (needs.body && neck.has(InstabilityKind::body_destroyed, end)) return InstabilityKind::body_destroyed;
  return std::nullopt;
}

bool passes_artery(const Anchor& anchor) {
  if (runs_near_artery(anchor.kind, anchor.level)) return true;
  const auto& straight = anchor_kind(anchor.kind).artery_straight_through;
  return straight && straight->contains(anchor.level) && anchor.path == LateralMassPath::straight &&
         anchor.purchase == Purchase::bicortical;
}

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
  for (const AnchorKindRow& row : anchor_kinds()) {
    if (!sits_at(row.kind, level)) continue;
    const Anchor usual{.kind = row.kind, .level = level, .side = side};
    answers.push_back(judge(neck, {.anchor = usual}, number));
  }
  return answers;
}

std::optional<AllowedAnchor> judge_anchor(const Neck& neck, const Anchor& anchor, const std::vector<Anchor>& others,
                                          const ParameterReader& number) {
  if (!sits_at(anchor.kind, anchor.level)) return std::nullopt;
  const bool twin = std::any_of(others.begin(), others.end(), [&anchor](const Anchor& o) {
    return o.kind == anchor.kind && o.level == anchor.level && o.side == other(anchor.side);
  });
  return judge(neck, {.anchor = anchor, .has_twin = twin}, number);
}

std::optional<FitReason> canal_room(const Neck& neck, Level level, Grip grip, const ParameterReader& number) {
  for (const AnchorKindRow& row : anchor_kinds()) {
    if (row.grip != grip || !sits_at(row.kind, level)) continue;
    const Anchor usual{.kind = row.kind, .level = level};
    for (const FitRule& rule : row.rules)
      if (rule.level == &LevelAnatomy::canal_mm) return reasons(neck, {.anchor = usual}, number).front();
  }
  return std::nullopt;
}

}  // namespace opisthion::models
