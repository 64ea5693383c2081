// SPDX-License-Identifier: MIT
#include "models/library/library_unit.hpp"

#include <array>

namespace opisthion::models {

namespace {

// Modulus or strength per density: the internal density is mg/cm3.
constexpr std::array<Unit, 1> kCompound{{{"MPa cm3/g", Dimension::none, 1.0, 1000.0}}};

}  // namespace

const Unit* find_library_unit(std::string_view word) {
  for (const Unit& unit : kCompound)
    if (unit.word == word) return &unit;
  return find_unit(word);
}

}  // namespace opisthion::models
