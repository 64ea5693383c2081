// SPDX-License-Identifier: MIT
#pragma once
#include "solver/study/assess.hpp"

namespace opisthion::program {

/// A for_each over a pool of threads; each index runs once, on whichever thread is free. An exception of any is thrown again
/// here when all have ended. done: called after each piece of work, on the thread that did it.
study::ForEach on_threads(int threads, std::function<void()> done);

/// As many as the machine has, at least one.
int hardware_threads();

}  // namespace opisthion::program
