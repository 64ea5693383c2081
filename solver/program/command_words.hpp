// SPDX-License-Identifier: MIT
#pragma once
// Words of the command line that several subcommands share, and what is wrong with them, in words.
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "models/case/case.hpp"

namespace opisthion::program {

/// A usage mistake in words, with the nearest known word.
std::string unknown_word(const std::string& option, const std::string& found, const std::vector<std::string_view>& known);

/// Each returns the mistake in words, empty when all is well.
std::string read_motions(const std::vector<std::string>& words, std::vector<models::Motion>& out);
std::string read_constructs(const std::vector<std::string>& names, const models::Case& the_case,
                            std::vector<std::string>& out);
/// Sets the bench's maximum; nothing for an empty text.
std::string read_moment(const std::string& text, models::Case& the_case);

/// What would be written over the case, or over another output: in words, empty when nothing would. outputs: option and
/// path, empty paths ignored.
std::string read_outputs(const std::string& case_path, const std::vector<std::pair<std::string, std::string>>& outputs);

}  // namespace opisthion::program
