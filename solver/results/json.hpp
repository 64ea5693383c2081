// SPDX-License-Identifier: MIT
#pragma once
#include <string>

#include "solver/results/stamp.hpp"
#include "solver/study/assessment.hpp"

namespace opisthion::results {

inline constexpr int kJsonSchema = 1;

/// The whole assessment as one JSON document with a newline at its end. Keys and units: solver/results/README.md.
/// Numbers read back to the same bits; what is not a finite number is null. Invalid UTF-8 in a name is replaced.
std::string to_json(const study::Assessment& assessment, const Stamp& stamp);

}  // namespace opisthion::results
