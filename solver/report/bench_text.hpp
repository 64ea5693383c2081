// SPDX-License-Identifier: MIT
#pragma once
#include <string>

#include "models/case/bench.hpp"

namespace opisthion::report {

/// What a bench does beyond plain moments and forces: kind of moment, preload, cycles, hybrid, states in sequence. Empty for
/// a bench that does none of it. Names come as they are: escape them for a terminal.
std::string bench_words(const models::Bench& bench);

}  // namespace opisthion::report
