// SPDX-License-Identifier: MIT
#pragma once
#include <string>

#include "solver/study/assessment.hpp"

namespace opisthion::report {

/// All rows under one another, with their shares, and which constructs a bench could not tell apart.
std::string comparison(const study::Assessment& assessment, bool colour);
/// One specimen's states in the order of the test: each rotation, and its change since the state before. Empty without a
/// sequence.
std::string sequence_block(const study::Assessment& assessment);

}  // namespace opisthion::report
