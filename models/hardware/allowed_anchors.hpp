// SPDX-License-Identifier: MIT
#pragma once
// Which anchors this anatomy allows at a level and side, by how much, and by whose rule.
#include <optional>
#include <string>
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
  std::string rule{};      ///< library id of the limit: "rule.C2.isthmus_height"
  double needed_mm = 0.0;  ///< the limit, and what a thicker or longer screw than usual asks beyond it
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
  std::vector<FitReason> reasons{};  ///< all rules of this kind here
  bool near_artery = false;          ///< it can injure the vertebral artery of its level and side
  Artery artery = Artery::not_checked;
  bool artery_in_the_way = false;    ///< near_artery and the course is high
  bool artery_not_checked = false;   ///< near_artery and nobody looked: must be said
  bool artery_unaffordable = false;  ///< near_artery and it is the dominant or only one
  bool bony_bridge = false;          ///< the measure may be that of a bony bridge over the artery
  std::optional<InstabilityKind>
      removed_by{};  ///< the bone it holds in is gone or broken off: it does not fit, whatever the size
};

/// What has taken away the bone that this anchor holds in, at its entry or its end; empty while it is there.
std::optional<InstabilityKind> removed_by(const Neck& neck, const Anchor& anchor);

/// Passes the vertebral artery of its level closely: by its kind, or by a straight path through both cortices.
bool passes_artery(const Anchor& anchor);

/// Every kind that is put in at this level, in the order of AnchorKind, each as the library has it. Does not look at what
/// else is built; laminar screws are taken to cross. An occluded artery is no risk. Marginal: the margin is below
/// rule.marginal, the artery is at risk, the measure is generic while the screw runs near the artery, or a bony bridge may
/// have misled.
std::vector<AllowedAnchor> allowed_anchors(const Neck& neck, Level level, Side side, const ParameterReader& number);

/// The same for one anchor as it is planned: its thickness, length, path and place (keel), and whether its twin stands on
/// the other side (`others` may hold the anchor itself). Empty when the kind is not put in at its level.
std::optional<AllowedAnchor> judge_anchor(const Neck& neck, const Anchor& anchor, const std::vector<Anchor>& others,
                                          const ParameterReader& number);

/// Room in the canal for a wire or a blade under the lamina (arch) of a level; the blades of a clamp are hooks. Empty for
/// screws and where no such rule is known.
std::optional<FitReason> canal_room(const Neck& neck, Level level, Grip grip, const ParameterReader& number);

}  // namespace opisthion::models
