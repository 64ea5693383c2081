// SPDX-License-Identifier: MIT
#include "solver/report/columns.hpp"

#include <algorithm>

namespace opisthion::report {
namespace {

bool continues(char c) {
  return (static_cast<unsigned char>(c) & 0xC0U) == 0x80U;
}

/// Byte offset after `count` characters.
std::size_t after(std::string_view text, std::size_t count) {
  std::size_t at = 0;
  while (at < text.size() && count > 0) {
    ++at;
    while (at < text.size() && continues(text[at])) ++at;
    --count;
  }
  return at;
}

}  // namespace

std::size_t columns(std::string_view text) {
  return static_cast<std::size_t>(std::count_if(text.begin(), text.end(), [](char c) { return !continues(c); }));
}

std::string clip(std::string_view text, std::size_t most) {
  if (columns(text) <= most) return std::string(text);
  if (most <= 2) return std::string(text.substr(0, after(text, most)));
  return std::string(text.substr(0, after(text, most - 2))) + "..";
}

std::string padded(std::string_view text, std::size_t width) {
  std::string out = clip(text, width);
  out.append(width - columns(out), ' ');
  return out;
}

std::string wrap(std::string_view text, std::size_t width, std::size_t indent) {
  std::string out;
  std::size_t used = 0;
  while (!text.empty()) {
    const std::size_t end = std::min(text.find(' '), text.size());
    std::string_view word = text.substr(0, end);
    text.remove_prefix(std::min(end + 1, text.size()));
    if (word.empty()) continue;
    const std::size_t wide = columns(word);
    if (used > 0 && used + 1 + wide > width) {
      out += '\n';
      out.append(indent, ' ');
      used = indent;
    } else if (used > 0) {
      out += ' ';
      ++used;
    }
    out += word;
    used += wide;
  }
  return out;
}

}  // namespace opisthion::report
