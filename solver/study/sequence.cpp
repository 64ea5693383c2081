// SPDX-License-Identifier: MIT
#include "solver/study/sequence.hpp"

#include <algorithm>

namespace opisthion::study {
namespace {

const MotionResult* solved(const ConstructResult& row, models::Motion motion) {
  const auto found = std::find_if(row.motions.begin(), row.motions.end(), [motion](const MotionResult& one) {
    return one.motion == motion && one.status == Status::solved;
  });
  return found == row.motions.end() ? nullptr : &*found;
}

}  // namespace

std::vector<SequenceState> sequence_of(const Assessment& assessment) {
  std::vector<SequenceState> out;
  for (const std::string& name : assessment.bench.sequence) {
    const auto row = std::find_if(assessment.constructs.begin(), assessment.constructs.end(),
                                  [&name](const ConstructResult& one) { return one.name == name; });
    if (row == assessment.constructs.end()) continue;
    SequenceState state{.row = &*row};
    if (!out.empty()) {
      state.since = out.back().row->name;
      for (const models::Motion motion : models::kMotions) {
        const MotionResult* now = solved(*row, motion);
        const MotionResult* then = solved(*out.back().row, motion);
        if (now != nullptr && then != nullptr)
          state.change_deg[static_cast<std::size_t>(motion)] = now->rotation_deg - then->rotation_deg;
      }
    }
    out.push_back(std::move(state));
  }
  return out;
}

}  // namespace opisthion::study
