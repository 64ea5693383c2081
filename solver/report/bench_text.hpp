// SPDX-License-Identifier: MIT
#pragma once
#include <string>

#include "models/case/bench.hpp"

namespace opisthion::report {

/// Who runs the bench: each does other parts of what it asks for.
enum class BenchRun { small, full, curves };

/// What a bench does beyond plain moments and forces, as this run does it: kind of moment, preload, cycles, hybrid, states
/// in sequence; and what it leaves out. Empty for a bench that asks for none of it. Names come as they are: escape them for
/// a terminal.
std::string bench_words(const models::Bench& bench, BenchRun run);

}  // namespace opisthion::report
