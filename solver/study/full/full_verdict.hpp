// SPDX-License-Identifier: MIT
#pragma once
#include "solver/study/verdict.hpp"

namespace opisthion::study {

/// What a load's evidence means in full kinematics, where large rotations, true lengths and stored slip are no reason to
/// doubt.
Verdict judge_full(const Evidence& evidence);

}  // namespace opisthion::study
