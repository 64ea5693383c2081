// SPDX-License-Identifier: MIT
#include "models/xml/utf8.hpp"

namespace opisthion::models::xml {

Character character_at(std::string_view text, std::size_t at) {
  const auto byte = [&](std::size_t i) { return static_cast<unsigned char>(text[i]); };
  const unsigned lead = byte(at);
  if (lead < 0x80) return {lead, 1};
  std::size_t length = 0;
  char32_t code = 0;
  char32_t least = 0;
  if ((lead & 0xE0U) == 0xC0) {
    length = 2;
    code = lead & 0x1FU;
    least = 0x80;
  } else if ((lead & 0xF0U) == 0xE0) {
    length = 3;
    code = lead & 0x0FU;
    least = 0x800;
  } else if ((lead & 0xF8U) == 0xF0) {
    length = 4;
    code = lead & 0x07U;
    least = 0x10000;
  } else {
    return {};
  }
  if (length > text.size() - at) return {};
  for (std::size_t i = 1; i < length; ++i) {
    if ((byte(at + i) & 0xC0U) != 0x80) return {};
    code = (code << 6U) | (byte(at + i) & 0x3FU);
  }
  if (code < least || code > 0x10FFFF || (code >= 0xD800 && code <= 0xDFFF)) return {};
  return {code, length};
}

std::size_t character_count(std::string_view text) {
  std::size_t count = 0;
  for (std::size_t at = 0; at < text.size(); ++count) {
    const std::size_t length = character_at(text, at).length;
    at += length == 0 ? 1 : length;
  }
  return count;
}

bool allowed_in_xml(char32_t code) {
  return code == 0x9 || code == 0xA || code == 0xD || (code >= 0x20 && code <= 0xD7FF) ||
         (code >= 0xE000 && code <= 0xFFFD) || (code >= 0x10000 && code <= 0x10FFFF);
}

}  // namespace opisthion::models::xml
