// SPDX-License-Identifier: MIT
#pragma once
// What the rules of a bench share.
#include <string>
#include <string_view>

#include "models/case/rules.hpp"

namespace opisthion::models {

/// What acts on the top needs one; `top_is` says what the top is to it: "the level that the weight lies on".
void needs_top(Rules& rules, const std::string& path, const std::string& where, std::string_view top_is);
/// A line runs through a bone: the condyles are C0's, the lateral masses C1's, the dens C2's, and C0 and C1 have no body.
/// That bone must be one of the neck's.
void needs_its_bone(Rules& rules, Level loaded, AxialLine line, const std::string& path, const std::string& where);
/// And nothing that lies above the top: what acts on the top cannot lean on a bone that the top does not carry.
void needs_its_bone_below(Rules& rules, Level top, AxialLine line, const std::string& path, const std::string& where);

void check_preload(Rules& rules);
void check_combined(Rules& rules);
void check_sequence(Rules& rules);

}  // namespace opisthion::models
