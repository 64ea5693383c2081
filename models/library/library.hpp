// SPDX-License-Identifier: MIT
#pragma once
// The library XML, embedded in the program at build time: nothing below the program opens files.
#include <string_view>
#include <vector>

namespace opisthion::models {

struct LibraryFile {
  std::string_view name;  ///< "tissue.xml"
  std::string_view text;
};
/// All library files, sorted by name.
const std::vector<LibraryFile>& library_files();

}  // namespace opisthion::models
