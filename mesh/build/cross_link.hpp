// SPDX-License-Identifier: MIT
#pragma once
#include <string>

#include "mesh/build/hardware.hpp"

namespace opisthion::mesh {

/// A round bar from one metal node to another, with a lock of finite stiffness at each end.
struct Bar {
  BodyId from{};
  BodyId to{};
  double diameter_mm = 0.0;
  models::Metal metal = models::Metal::titanium_alloy;
  std::string label{};  ///< "cross-link 'name'", "connector of rod 'third' on rod 'left'"
};
void add_bar(Assembly& assembly, const Bar& bar);

}  // namespace opisthion::mesh
