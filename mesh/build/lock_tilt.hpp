// SPDX-License-Identifier: MIT
#pragma once
// How far a rod leans out of the heads that hold it: what a polyaxial head would have to take up.
#include <string>
#include <vector>

#include "models/case/case.hpp"
#include "models/library/parameter_table.hpp"

namespace opisthion::mesh {

/// One rod in one head.
struct LockTilt {
  std::string rod{};      ///< name in the case
  std::string anchor{};   ///< name in the case
  double tilt_deg = 0.0;  ///< 0..90, between the rod's tangent at the lock and the plane across the screw's axis
};

/// Every lock of the construct, rod by rod in the order of the case. The rod is the one that build lays; rods without length
/// are left out (build complains about them).
std::vector<LockTilt> lock_tilts(const models::Neck& neck, const models::Construct& construct,
                                 const models::ParameterReader& number);

}  // namespace opisthion::mesh
