// SPDX-License-Identifier: MIT
#pragma once
#include <string>

#include "solver/results/stamp.hpp"
#include "solver/study/assessment.hpp"

namespace opisthion::results {

inline constexpr const char* kFormat = "opisthion-result";
inline constexpr const char* kFormatVersion = "1";

/// Writes the assessment as HDF5 (layout: solver/results/README.md). The file at `path` is the old one or the whole new one.
/// Throws IoError, and then leaves nothing behind.
void write_hdf5(const std::string& path, const study::Assessment& assessment, const Stamp& stamp);

/// Whether bytes start as an HDF5 file does.
bool looks_like_hdf5(std::string_view first_bytes);
/// The case text inside a result: a result can be solved again from itself. Throws IoError.
std::string read_case_text(const std::string& path);

}  // namespace opisthion::results
