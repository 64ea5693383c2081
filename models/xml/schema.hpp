// SPDX-License-Identifier: MIT
#pragma once
#include "models/xml/element.hpp"

namespace opisthion::models::xml {

/// The vocabulary as an XML Schema (1.0), for editors; models/xml/case.xsd is its text. It knows words, units and what is
/// required; ranges, names and everything between parts are the reader's, which stays the authority.
Element case_schema();

}  // namespace opisthion::models::xml
