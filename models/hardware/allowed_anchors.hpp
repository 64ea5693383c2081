// SPDX-License-Identifier: MIT
#pragma once
// Which anchors this anatomy allows at a level and side, by how much, and by whose rule.
#include <string_view>
#include <vector>

#include "models/hardware/anchor.hpp"
#include "models/library/parameter_table.hpp"
#include "models/neck/neck.hpp"

namespace opisthion::models {

enum class Fit { fits, marginal, does_not_fit };
std::string_view name(Fit fit);

/// One measure against its rule. The rule's source stands in the library under `rule`.
struct FitReason {
  std::string_view rule{};  ///< library id of the limit: "rule.C2.isthmus_height"
  double needed_mm = 0.0;
  double found_mm = 0.0;
  bool must_exceed = false;  ///< found must be greater than needed (not only equal)
  bool generic = true;       ///< not read off this patient's CT: the generic adult's mean
  double margin_mm() const { return found_mm - needed_mm; }
  bool met() const { return must_exceed ? margin_mm() > 0.0 : margin_mm() >= 0.0; }
};

struct AllowedAnchor {
  AnchorKind kind = AnchorKind::lateral_mass;
  Fit fit = Fit::fits;
  double margin_mm = 0.0;            ///< smallest over its rules; negative: too small by that much
  FitReason decisive{};              ///< the rule with that margin
  std::vector<FitReason> reasons{};  ///< all rules of this kind
  bool near_artery = false;          ///< this kind can injure the vertebral artery
  Artery artery = Artery::not_checked;
  bool artery_in_the_way = false;    ///< near_artery and the course is high
  bool artery_not_checked = false;   ///< near_artery and nobody looked: must be said
  bool artery_unaffordable = false;  ///< near_artery and it is the dominant or only one
};

/// Every kind that has a trajectory at this level, in the order of AnchorKind. Does not look at what else is built.
/// Marginal: the margin is below rule.marginal, or the measure is generic while the screw runs near the artery.
std::vector<AllowedAnchor> allowed_anchors(const Neck& neck, Level level, Side side, const ParameterReader& number);

}  // namespace opisthion::models
