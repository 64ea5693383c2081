// SPDX-License-Identifier: MIT
#pragma once
// What must be true of a text before pugixml sees it. pugixml lets pass what XML forbids (unknown references, text outside
// the root, entity declarations); here that is an error, said with its place. It also bounds size and depth.
#include <optional>
#include <string_view>

#include "models/xml/finding.hpp"

namespace opisthion::models::xml {

inline constexpr std::string_view kBlanks = " \t\r\n";  ///< XML's white space
inline constexpr std::size_t kLargestFile_bytes = 4'000'000;
inline constexpr std::size_t kDeepestElement = 100;

/// The first thing that makes the text unreadable, if any.
std::optional<Finding> scan(std::string_view text);

}  // namespace opisthion::models::xml
