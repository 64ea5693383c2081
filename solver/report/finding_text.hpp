// SPDX-License-Identifier: MIT
#pragma once
// Findings in words. Lines and columns count from 1; columns count bytes, not characters, so that every editor and script
// that counts bytes agrees. Nothing from a file or a file name reaches the terminal unescaped.
#include <cstddef>
#include <string>
#include <string_view>

#include "models/xml/finding.hpp"

namespace opisthion::report {

struct Position {
  std::size_t line = 1;
  std::size_t column = 1;  ///< in bytes
};
/// Where the byte offset stands; an offset beyond the end stands at the end.
Position position(std::string_view file_text, std::size_t offset);

std::string_view name(models::FindingCode code);   ///< "unknown_word"
std::string_view name(models::Severity severity);  ///< "error"

/// Control characters, bytes that are not UTF-8 and characters that turn the direction of text become \x1b, \u202e.
std::string escaped_for_terminal(std::string_view text);

/// "anchor 'C2 left', attribute 'diameter': expected a length in mm, cm or m, found '3,5 mm' (did you mean '3.5 mm'?)"
std::string sentence(const models::Finding& finding);

/// An escaped message, broken at blanks to 100 columns; its further lines are indented by 8. used: columns of the first line
/// that are taken already.
std::string wrapped_message(std::string_view message, std::size_t used);

/// file:line:column: error: sentence (wrapped), then the source line (100 columns of it around the finding, tabs kept) and a
/// caret line.
std::string text(const models::Finding& finding, std::string_view file_name, std::string_view file_text, bool colour);

}  // namespace opisthion::report
