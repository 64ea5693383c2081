// SPDX-License-Identifier: MIT
#pragma once
// Two rows that stand beside the constructs: the same neck without metal, before and after the injury. Where nothing is
// injured they are one, the intact one.
#include <string>
#include <string_view>

#include "models/case/case.hpp"

namespace opisthion::models {

/// Names of these rows; no construct may take them.
inline constexpr std::string_view kIntactRow = "intact";
inline constexpr std::string_view kInjuredRow = "injured";

/// No anchor, no metal, no graft.
Construct bare_construct(std::string_view row = kInjuredRow);

/// The neck before anything happened to it, on the same bench, with the row "intact" as its only construct.
/// Kept: levels, what was read off the CT (bones, canal, arteries, a bony roof of the artery groove: it is no joint), bone
/// quality, numbers that the case sets, the bench.
/// Gone: instabilities and resections, the state of every joint (stiff or fused ones are intact), slip and its reduction,
/// the head position at fixation, loads on heads of anchors and the sequence of states, for both name what is not there.
Case intact_case(const Case& the_case);

/// The neck as it is brought to the operation, on the same bench, with the row "injured" as its only construct.
/// Kept: all that intact_case keeps, and instabilities, joint states, slips.
/// Gone: what only an operation brings about (reduction of a slip, head position at fixation; that one stays where a fused
/// C0-C1 or C1-C2 holds the head as it is), loads on heads of anchors, the sequence.
Case injured_case(const Case& the_case);

}  // namespace opisthion::models
