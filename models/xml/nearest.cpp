// SPDX-License-Identifier: MIT
#include "models/xml/nearest.hpp"

#include <algorithm>

namespace opisthion::models {

namespace {

/// No known word is this long: longer ones are not compared, so that a huge attribute costs nothing.
constexpr std::size_t kLongestWord = 100;

char lower(char c) {
  return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
}

std::string lower(std::string_view text) {
  std::string out(text);
  for (char& c : out) c = lower(c);
  return out;
}

}  // namespace

std::size_t edit_distance(std::string_view a, std::string_view b) {
  std::vector<std::size_t> row(b.size() + 1);
  for (std::size_t j = 0; j <= b.size(); ++j) row[j] = j;
  for (std::size_t i = 1; i <= a.size(); ++i) {
    std::size_t diagonal = row[0];
    row[0] = i;
    for (std::size_t j = 1; j <= b.size(); ++j) {
      const std::size_t above = row[j];
      row[j] = std::min({row[j] + 1, row[j - 1] + 1, diagonal + (a[i - 1] == b[j - 1] ? 0U : 1U)});
      diagonal = above;
    }
  }
  return row.back();
}

std::string nearest_word(std::string_view word, const std::vector<std::string_view>& known) {
  if (word.empty() || word.size() > kLongestWord) return {};
  const std::string lowered = lower(word);
  std::string_view best{};
  std::size_t best_distance = 0;
  for (const std::string_view candidate : known) {
    const std::size_t distance = edit_distance(lowered, lower(candidate));
    const std::size_t allowed = std::max<std::size_t>(2, candidate.size() / 3);
    if (distance > allowed || distance >= std::max(candidate.size(), word.size())) continue;
    if (best.empty() || distance < best_distance) {
      best = candidate;
      best_distance = distance;
    }
  }
  return std::string(best);
}

}  // namespace opisthion::models
