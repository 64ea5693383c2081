// SPDX-License-Identifier: MIT
#pragma once
// The only place that writes to the screen: results to stdout, all else to stderr.
#include <string>
#include <string_view>

namespace opisthion::program {

/// The caution that ends what a person reads.
std::string ending();
/// Writes all of it, or throws IoError (closed, full).
void print_result(std::string_view text);
/// Throws IoError when there is no stdout at all, before any work is done for it.
void require_stdout();
/// To stderr; what cannot be said is not said.
void say(std::string_view text);

bool stdout_is_terminal();
bool stderr_is_terminal();
/// NO_COLOR set to anything but nothing, or a terminal without abilities, asks for no colour.
bool colour_wanted(bool is_terminal);

}  // namespace opisthion::program
