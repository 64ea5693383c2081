// SPDX-License-Identifier: MIT
#pragma once
// Laws moved along their argument, or scaled.
#include "mesh/system/laws.hpp"

namespace opisthion::mesh {

/// The law that answers at e + by what the given one answers at e: its slack, or its corners, stand `by` later.
ScalarLaw moved(const ScalarLaw& law, double by);
/// The same force times a factor, >= 0.
ScalarLaw scaled(const ScalarLaw& law, double factor);

}  // namespace opisthion::mesh
