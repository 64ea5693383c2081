// SPDX-License-Identifier: MIT
#pragma once
// The nearest known word, for "did you mean".
#include <string>
#include <string_view>
#include <vector>

namespace opisthion::models {

/// Fewest insertions, deletions and replacements of one byte that turn a into b. Source: Levenshtein (1966), from memory.
std::size_t edit_distance(std::string_view a, std::string_view b);

/// The nearest of the known words, if it is near: a third of its length or 2 edits, whichever is more, but never all of it.
/// The first of equals; empty when none is near.
std::string nearest_word(std::string_view word, const std::vector<std::string_view>& known);

}  // namespace opisthion::models
