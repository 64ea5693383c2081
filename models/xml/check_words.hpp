// SPDX-License-Identifier: MIT
#pragma once
#include <string>
#include <string_view>

#include "models/xml/element.hpp"
#include "models/xml/findings.hpp"

namespace opisthion::models::xml {

/// How messages call an element: "anchor 'C2 left'" by its name, else by its parent: "rod 'left', through", "bench, shear".
std::string called(const Element& element, std::string_view parent_called);

/// A finding at the element's name.
Finding finding_at(const Element& element, FindingCode code, std::string where, std::string found, std::string expected);
/// A finding at the attribute's value.
Finding finding_at(const Attribute& attribute, FindingCode code, std::string where, std::string found, std::string expected);

/// Compares a whole tree with the vocabulary (words.hpp): elements and attributes that are unknown, missing, or there too
/// often, and text where none belongs. Values are the reader's.
void check_words(const Element& root, Findings& findings);

}  // namespace opisthion::models::xml
