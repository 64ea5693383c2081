// SPDX-License-Identifier: MIT
#pragma once
// Text that fits its columns. It comes escaped (finding_text.hpp): no control characters.
#include <cstddef>
#include <string>
#include <string_view>

namespace opisthion::report {

/// Characters of plain text (every one counted as one column).
std::size_t columns(std::string_view text);
/// At most `most` columns; what is cut off shows as "..".
std::string clip(std::string_view text, std::size_t most);
/// Padded with blanks on the right (clipped where longer).
std::string padded(std::string_view text, std::size_t width);
/// Broken at blanks to `width` columns; the lines after the first are indented. Ends without a line break.
std::string wrap(std::string_view text, std::size_t width, std::size_t indent);

}  // namespace opisthion::report
