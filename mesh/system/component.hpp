// SPDX-License-Identifier: MIT
#pragma once
// Components: metal that hangs together linearly. Each condenses to its ports.
#include <vector>

#include "mesh/system/system.hpp"

namespace opisthion::mesh {

struct Component {
  std::vector<int> beams{};        ///< indices into System::beams, ascending
  std::vector<int> cushions{};     ///< indices into System::cushions that touch this component's metal
  std::vector<BodyId> interior{};  ///< metal bodies that condense away, ascending
  std::vector<BodyId> ports{};     ///< bodies that stay (bone gripped, metal loaded or touched by a law), ascending
  bool locked_last =
      false;  ///< stress-free in the assembled pose, because its rods are locked after everything is tightened
};

/// Connected components of the metal, ordered by their lowest body. Cushions between bones belong to none.
/// Metal bodies that are ports still connect.
std::vector<Component> find_components(const System& system);

}  // namespace opisthion::mesh
