// SPDX-License-Identifier: MIT
#pragma once
#include <string>

#include "solver/results/stamp.hpp"
#include "solver/study/curve.hpp"

namespace opisthion::results {

inline constexpr const char* kCurvesFormat = "opisthion-curves";
inline constexpr const char* kCurvesFormatVersion = "1";

/// Writes the curves as HDF5 (layout: solver/results/README.md). The file at `path` is the old one or the whole new one.
/// Throws IoError, and then leaves nothing behind. The case inside can be solved again.
void write_curves_hdf5(const std::string& path, const study::Curves& curves, const Stamp& stamp);

}  // namespace opisthion::results
