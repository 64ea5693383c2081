// SPDX-License-Identifier: MIT
#include "solver/report/cells.hpp"

#include <cmath>

#include "solver/report/columns.hpp"
#include "solver/report/finding_text.hpp"
#include "solver/study/compare.hpp"
#include "solver/study/figure.hpp"

namespace opisthion::report {

using study::figure;
using study::Status;

std::string escaped(std::string_view text) {
  return escaped_for_terminal(text);
}
std::string line(char c) {
  return std::string(kWidth, c) + "\n";
}
std::string right(const std::string& text, std::size_t width) {
  return columns(text) >= width ? text : std::string(width - columns(text), ' ') + text;
}

std::string stiffness(double value) {
  if (value == 0.0 || !std::isfinite(value)) return "-";
  const double size = std::abs(value);
  return figure(value, size >= 100.0 ? 0 : size >= 10.0 ? 1 : size >= 0.1 ? 2 : 4);
}

std::string degrees(double value) {
  return figure(value, 1) + (study::below_resolution_deg(value) ? "*" : " ");
}
std::string millimetres(double value) {
  return figure(value < 0.0 && value > -study::kTravelResolution_mm ? 0.0 : value, 1);
}
std::string travel(double value) {
  return figure(value, 1) + (study::below_resolution_mm(value) ? "*" : " ");
}

std::string as_status(Status status, const std::string& text) {
  if (status == Status::solved) return text;
  if (status != Status::approximate || text == "-") return "- ";
  std::string bare = text;
  while (!bare.empty() && bare.back() == ' ') bare.pop_back();
  return "(" + bare + ")";
}

std::string coloured(Status status, const std::string& text, bool colour) {
  if (!colour) return text;
  const char* code = status == Status::solved ? "\x1b[32m" : status == Status::approximate ? "\x1b[33m" : "\x1b[31m";
  return code + text + "\x1b[0m";
}

std::string paragraph(const std::string& label, const std::string& text) {
  std::string body = wrap(text, kWidth - kIndent, 0);
  std::string out = padded("  " + label, kIndent);
  for (const char c : body) {
    out += c;
    if (c == '\n') out.append(kIndent, ' ');
  }
  return out + "\n";
}

}  // namespace opisthion::report
