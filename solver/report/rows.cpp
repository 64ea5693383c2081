// SPDX-License-Identifier: MIT
#include "solver/report/rows.hpp"

#include <algorithm>

#include <fmt/format.h>

#include "solver/report/cells.hpp"
#include "solver/study/figure.hpp"

namespace opisthion::report {

using study::ConstructResult;
using study::figure;
using study::MotionResult;

std::string heads(std::size_t first, std::size_t column) {
  constexpr std::array<std::array<const char*, 6>, 2> kHeads{
      {{"flexion", "extension", "left", "right", "left", "right"}, {"", "", "bending", "bending", "rotation", "rotation"}}};
  std::string out;
  for (const auto& words : kHeads) {
    std::string text(first, ' ');
    for (const char* word : words) text += right(std::string(word) + " ", column);
    while (!text.empty() && text.back() == ' ') text.pop_back();
    out += text + "\n";
  }
  return out;
}

std::string percent(const std::optional<double>& share) {
  return share ? figure(*share, 0) + " " : "-";
}
bool any_share(const ConstructResult& construct, const Share& share) {
  return std::any_of(construct.motions.begin(), construct.motions.end(),
                     [&share](const MotionResult& m) { return (m.*share.which).has_value(); });
}

bool is_neck(const ConstructResult& row) {
  return row.row != study::RowKind::construct;
}

std::string titled(std::size_t number, const ConstructResult& construct) {
  return is_neck(construct) ? "-  " + escaped(construct.name) : fmt::format("{}  {}", number, escaped(construct.name));
}

}  // namespace opisthion::report
