// SPDX-License-Identifier: MIT
#pragma once
#include <string>

#include "solver/results/stamp.hpp"
#include "solver/study/curve.hpp"

namespace opisthion::results {

/// One line per row, plane and point, header with units; lines before the header start with "# " and hold origin and
/// caution. Text is quoted, what is no number is empty. Columns: solver/results/README.md.
std::string curves_csv(const study::Curves& curves, const Stamp& stamp);
/// Writes it (write_file: the old file or the whole new one). Throws IoError.
void write_curves_csv(const std::string& path, const study::Curves& curves, const Stamp& stamp);

}  // namespace opisthion::results
