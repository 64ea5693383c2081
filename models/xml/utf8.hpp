// SPDX-License-Identifier: MIT
#pragma once
#include <cstddef>
#include <string_view>

namespace opisthion::models::xml {

/// One character of UTF-8 text. length 0: not valid UTF-8 here (overlong, surrogate, cut off, beyond U+10FFFF).
struct Character {
  char32_t code = 0;
  std::size_t length = 0;
};
/// The character that begins at this byte; `at` must be inside the text.
Character character_at(std::string_view text, std::size_t at);

/// Characters of valid UTF-8 text; each bad byte counts as one.
std::size_t character_count(std::string_view text);

/// A character that XML 1.0 allows in a document (production 2 of the recommendation, from memory).
bool allowed_in_xml(char32_t code);

}  // namespace opisthion::models::xml
