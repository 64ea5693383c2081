// SPDX-License-Identifier: MIT
#pragma once
#include <stdexcept>

namespace opisthion::results {

/// The disk or the file system said no. The text is one sentence that names the file. Caught in main: exit code 4.
struct IoError : std::runtime_error {
  using runtime_error::runtime_error;
};

}  // namespace opisthion::results
