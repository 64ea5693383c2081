// SPDX-License-Identifier: MIT
#pragma once
// What is said of a specimen as a whole.
#include <string>
#include <vector>

#include "solver/study/full/specimen.hpp"

namespace opisthion::study {

/// Loads in which condensed metal turns further than this within its own frame are answered beam by beam instead (DESIGN
/// 4.3): up to it condensing keeps every rotation within 2 % or 0.05 deg, above it in no class of constructs for sure
/// (DEVELOPERS D21).
inline constexpr double kMostMetalTurn_deg = 1.0;

/// metal_turn_deg: the largest of the loads that condensed metal answered. beam_by_beam: others were followed so.
std::vector<std::string> specimen_notes(const Specimen& specimen, double metal_turn_deg, bool beam_by_beam);
/// Whether a floating mode is this joint's: it moves by a tenth of the mode's largest motion.
bool joint_floats(const Specimen& specimen, const core::Mode& mode, std::size_t joint);

}  // namespace opisthion::study
