// SPDX-License-Identifier: MIT
#pragma once
#include <string>

namespace opisthion::results {

/// What every result says of its origin beside the numbers. No date: equal input gives equal bytes.
struct Stamp {
  std::string program{};  ///< "opisthion"
  std::string version{};  ///< "0.1.0"
  std::string caution{};
  std::string case_xml{};  ///< text of the case as it was assessed
};

}  // namespace opisthion::results
