// SPDX-License-Identifier: MIT
#pragma once
// The shipped library and the shipped cases, for tests.
#include <string_view>

#include "models/case/case.hpp"
#include "models/library/parameter_table.hpp"

namespace opisthion::tests {

/// The library that is built into the program. Aborts the test when it has a finding.
const models::ParameterTable& library();
/// A case of examples/ by file name. Aborts the test when it cannot be read.
models::Case example(std::string_view file_name);

}  // namespace opisthion::tests
