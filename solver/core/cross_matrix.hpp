// SPDX-License-Identifier: MIT
#pragma once
#include "mesh/system/system.hpp"

namespace opisthion::core {

/// [r]x: what turns a cross product into a product, [r]x v = r x v.
inline mesh::Matrix3 cross_matrix(const mesh::Vector3& r) {
  mesh::Matrix3 m;
  m << 0.0, -r.z(), r.y(), r.z(), 0.0, -r.x(), -r.y(), r.x(), 0.0;
  return m;
}

}  // namespace opisthion::core
