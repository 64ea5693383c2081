// SPDX-License-Identifier: MIT
#include "mesh/build/build.hpp"

namespace opisthion::mesh {

ItemId Origins::add(Origin origin) {
  origins_.push_back(std::move(origin));
  return {static_cast<int>(origins_.size()) - 1};
}

int Mesh::find_probe(std::string_view id) const {
  for (std::size_t i = 0; i < probes.size(); ++i)
    if (probes[i].id == id) return static_cast<int>(i);
  return -1;
}

}  // namespace opisthion::mesh
