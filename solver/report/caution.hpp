// SPDX-License-Identifier: MIT
#pragma once
#include <string_view>

namespace opisthion::report {

/// Ends every output that a person may act on: screens, files, figures. One text, everywhere.
inline constexpr std::string_view kCaution =
    "For teaching, research and bench planning. Not a medical device. Simulated generic adult neck under bench loads; no "
    "muscles, no healing. Compares constructs; does not show that a patient is safe, will fuse, or may go without a brace. "
    "The licensed surgeon in charge decides, under local rules.";

}  // namespace opisthion::report
