// SPDX-License-Identifier: MIT
#pragma once
#include <cstddef>

namespace opisthion::core {

/// Ids and unknowns are ints, as Eigen's indices are signed; the standard library's places are not.
inline std::size_t at_index(int i) {
  return static_cast<std::size_t>(i);
}

}  // namespace opisthion::core
