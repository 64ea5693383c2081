// SPDX-License-Identifier: MIT
#include "models/xml/native/embedded_library.hpp"

#include "models/library/library.hpp"
#include "models/xml/native/parse.hpp"
#include "models/xml/read_library.hpp"

namespace opisthion::models {

EmbeddedLibrary read_embedded_library() {
  EmbeddedLibrary library;
  for (const LibraryFile& file : library_files()) {
    const auto root = xml::parse(file.text);
    std::vector<Finding> findings = root ? read_library_file(*root, file.name, library.table) : root.error();
    library.findings.insert(library.findings.end(), findings.begin(), findings.end());
  }
  return library;
}

}  // namespace opisthion::models
