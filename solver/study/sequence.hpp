// SPDX-License-Identifier: MIT
#pragma once
// One specimen tested in several states: what each state changes against the one before.
#include <array>
#include <optional>
#include <string>
#include <vector>

#include "solver/study/assessment.hpp"

namespace opisthion::study {

/// A state of the bench's sequence that was assessed.
struct SequenceState {
  const ConstructResult* row = nullptr;  ///< of the assessment
  std::string since{};                   ///< the row before; empty: the first
  /// By motion: rotation less that of the row before [deg], about the load's axis; only where both are solved.
  std::array<std::optional<double>, models::kMotions.size()> change_deg{};
};

/// In the order of the test; states whose row was not run are left out, and the next one counts from the last that was.
std::vector<SequenceState> sequence_of(const Assessment& assessment);

}  // namespace opisthion::study
