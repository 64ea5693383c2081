// SPDX-License-Identifier: MIT
#pragma once
// What the rules of a bench share.
#include <string>
#include <string_view>

#include "models/case/rules.hpp"

namespace opisthion::models {

/// What acts on the top needs one; `top_is` says what the top is to it: "the level that the weight lies on".
void needs_top(Rules& rules, const std::string& path, const std::string& where, std::string_view top_is);
/// C0 and C1 have no vertebral body that a line could run through.
void needs_a_body(Rules& rules, Level level, AxialLine line, const std::string& path, const std::string& where);

void check_preload(Rules& rules);
void check_combined(Rules& rules);
void check_sequence(Rules& rules);

}  // namespace opisthion::models
