// SPDX-License-Identifier: MIT
#pragma once
#include <vector>

#include "mesh/build/rod_route.hpp"

namespace opisthion::mesh {

/// One node of a rod as built.
struct RodNode {
  Station station{};
  BodyId body{};
};

struct BuiltRod {
  const RodRoute* route = nullptr;
  std::vector<RodNode> nodes{};             ///< between its end stops, along the rod; overhangs left out
  BodyId at(const Station& station) const;  ///< of a stop, or of a place that the route was told to keep a node at
};

/// Rods, locks on screws, hooks and plates, connectors, ties of wires, cross-links. Every route must have a path.
std::vector<BuiltRod> add_rods(Assembly& assembly, const RodRoutes& routes, const std::vector<BuiltPlate>& plates,
                               const BuildOptions& options);

}  // namespace opisthion::mesh
