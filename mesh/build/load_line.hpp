// SPDX-License-Identifier: MIT
#pragma once
#include <string>

#include "mesh/build/assembly.hpp"

namespace opisthion::mesh {

/// Where a vertical load acts, in the reference pose.
struct LoadLine {
  Vector3 through = Vector3::Zero();
  std::string words{};  ///< "vertical, midway between the condyles (x 8.8, y 0.0, z 117.3 mm)"
};

LoadLine load_line(const Assembly& assembly, models::Level level, models::AxialLine line);

/// "x 8.8, y 0.0, z 117.3 mm", and one coordinate of it.
std::string place_in_words(const Vector3& p);
std::string coordinate_in_words(double value);

}  // namespace opisthion::mesh
