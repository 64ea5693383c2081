// SPDX-License-Identifier: MIT
#pragma once
// Whether this anatomy takes each anchor of a construct. Mechanics do not ask: a screw that cannot be placed may solve best,
// so every assessment carries this beside its figures.
#include <string>
#include <vector>

#include "models/case/case.hpp"
#include "models/library/parameter_table.hpp"

namespace opisthion::study {

/// One overall answer for an anchor. An artery that is in the way or cannot be risked outranks the size rule: however much
/// bone there is, the verdict is then "does not fit".
struct AnchorFit {
  std::string anchor{};            ///< name of the anchor or tie in the case
  std::string kind{};              ///< "pedicle"
  std::string verdict{};           ///< "fits", "marginal", "does not fit"
  bool artery_in_the_way = false;  ///< the artery runs high on the screw's path
  std::string text{};              ///< "too small by 0.8 mm (3.2 mm, the rule asks for more than 4.0 mm)"
  bool artery_not_checked = false;
  std::string rule{};         ///< library id of the size rule in the text; empty when none limits it
  std::string source{};       ///< whose rule that is
  bool bone_removed = false;  ///< the bone it would hold in is taken out, destroyed or broken off
};

inline bool does_not_fit(const AnchorFit& fit) {
  return fit.verdict == "does not fit";
}

/// One for each anchor of the construct, in its order, then one for each tie that passes under a lamina or arch; also for
/// constructs that cannot be built. The reader remembers the rules and measures that were asked: they belong to the sources
/// used.
std::vector<AnchorFit> fits(const models::Case& the_case, const models::Construct& construct,
                            const models::ParameterReader& number);
std::vector<AnchorFit> fits(const models::Case& the_case, const models::Construct& construct,
                            const models::ParameterTable& parameters);

}  // namespace opisthion::study
