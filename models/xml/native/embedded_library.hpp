// SPDX-License-Identifier: MIT
#pragma once
#include <vector>

#include "models/library/parameter_table.hpp"
#include "models/xml/finding.hpp"

namespace opisthion::models {

struct EmbeddedLibrary {
  ParameterTable table{};
  std::vector<Finding> findings{};  ///< empty, unless the program was built from a broken library: our own bug
};

/// Every library file that was built into the program, read into one table.
EmbeddedLibrary read_embedded_library();

}  // namespace opisthion::models
