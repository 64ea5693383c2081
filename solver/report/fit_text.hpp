// SPDX-License-Identifier: MIT
#pragma once
// Whether a construct's anchors fit, in words: only what a reader must not miss.
#include <string>

#include "solver/study/assessment.hpp"

namespace opisthion::report {

/// "C2 right: too small by 0.8 mm (...). C2 left: marginal: ..." for the anchors that are marginal, do not fit, or pass an
/// artery in the way or not looked at; empty when all fit. No layout; names escaped for the terminal.
std::string fit_paragraph(const study::ConstructResult& construct);

/// Some anchor does not fit, or an artery is in its way or cannot be risked: what was solved cannot be placed in this neck.
bool unfit(const study::ConstructResult& construct);

}  // namespace opisthion::report
