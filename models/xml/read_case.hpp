// SPDX-License-Identifier: MIT
#pragma once
#include <tl/expected.hpp>
#include <vector>

#include "models/case/case.hpp"
#include "models/library/parameter_table.hpp"
#include "models/xml/element.hpp"
#include "models/xml/finding.hpp"

namespace opisthion::models {

struct CaseFile {
  Case the_case{};
  std::vector<Finding> findings{};  ///< warnings and notes, by position
};

/// Reads and checks a whole case. On any error: all findings (errors, warnings, notes), by position in the file; at most
/// 200. The table is the library's; the case's own settings are kept in Case::changes, not applied.
tl::expected<CaseFile, std::vector<Finding>> read_case(const xml::Element& root, const ParameterTable& parameters);

}  // namespace opisthion::models
