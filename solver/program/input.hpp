// SPDX-License-Identifier: MIT
#pragma once
// From a path to a case: the only place that reads files.
#include <string>
#include <vector>

#include <tl/expected.hpp>

#include "models/case/case.hpp"
#include "models/library/parameter_table.hpp"
#include "models/xml/element.hpp"
#include "models/xml/finding.hpp"

namespace opisthion::program {

inline constexpr std::size_t kLargestCase_bytes = 4U << 20U;

/// A file as read. Of a result (HDF5) it is the case inside.
struct SourceText {
  std::string name{};  ///< as given on the command line
  std::string text{};
  bool too_large = false;
  bool from_result = false;
};
/// Throws IoError for what is missing, unreadable or a folder.
SourceText read_source(const std::string& path);

struct LoadedCase {
  models::Case the_case{};
  models::xml::Element root{};
  std::vector<models::Finding> findings{};  ///< warnings and notes
};
/// All findings when there is an error among them.
tl::expected<LoadedCase, std::vector<models::Finding>> load_case(const SourceText& source,
                                                                 const models::ParameterTable& library);

/// The embedded library. A finding in it is our own bug: throws std::logic_error.
models::ParameterTable load_library();
/// The library with the case's changes applied.
models::ParameterTable with_changes(models::ParameterTable library, const models::Case& the_case);

/// Findings in words, each with file:line:column and a caret line.
std::string words(const std::vector<models::Finding>& findings, const SourceText& source, bool colour);

/// Where a part of a construct ("rod 'left'", "anchor 'C2 left'") stands in the file, in bytes; without such a part the
/// construct itself, without that the root.
std::size_t place_of(const models::xml::Element& root, const std::string& construct, const std::string& item);

/// What the mesh cannot build, in words with the place of the construct in its file; empty when all can be built. Looks at
/// the constructs named, or at all.
std::string complaints(const LoadedCase& loaded, const SourceText& source, const models::ParameterTable& parameters,
                       const std::vector<std::string>& only_constructs);

}  // namespace opisthion::program
