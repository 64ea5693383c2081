// SPDX-License-Identifier: MIT
#include "solver/program/subcommands.hpp"

namespace opisthion::program {

const char* const kVersion = OPISTHION_VERSION;

}  // namespace opisthion::program
