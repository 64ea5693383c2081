// SPDX-License-Identifier: MIT
#pragma once
#include <string>

#include "solver/results/stamp.hpp"
#include "solver/study/curve.hpp"

namespace opisthion::results {

inline constexpr int kCurvesJsonSchema = 1;

/// The curves as one JSON document with a newline at its end. Keys and units: solver/results/README.md.
std::string curves_json(const study::Curves& curves, const Stamp& stamp);

}  // namespace opisthion::results
