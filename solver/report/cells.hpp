// SPDX-License-Identifier: MIT
#pragma once
// Cells and lines that every text report shares: 100 columns, figures by their status.
#include <string>
#include <string_view>

#include "solver/study/assessment.hpp"

namespace opisthion::report {

inline constexpr std::size_t kWidth = 100;
inline constexpr std::size_t kIndent = 14;  ///< of text under a label

std::string escaped(std::string_view text);  ///< for the terminal
std::string line(char c);                    ///< across the width
std::string right(const std::string& text, std::size_t width);
/// Three figures are enough for a stiffness.
std::string stiffness(double value);
std::string degrees(double value);  ///< one decimal; a star where a bench could not see it
/// A gap or a room. Contact lets bone into bone by a tenth of a millimetre, which is its stiffness and no gap.
std::string millimetres(double value);
std::string travel(double value);  ///< like degrees
/// A figure as its status allows: plain, in parentheses, or a dash.
std::string as_status(study::Status status, const std::string& text);
std::string coloured(study::Status status, const std::string& text, bool colour);
/// A label, then text whose further lines stand under its first.
std::string paragraph(const std::string& label, const std::string& text);

}  // namespace opisthion::report
