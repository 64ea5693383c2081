// SPDX-License-Identifier: MIT
#pragma once
// A construct's metal: screws in their beds, locks, rods.
#include <string>
#include <vector>

#include "mesh/build/assembly.hpp"
#include "models/hardware/trajectory.hpp"

namespace opisthion::mesh {

/// An anchor of the construct as it was built.
struct PlacedAnchor {
  const models::Anchor* anchor = nullptr;
  models::Trajectory path{};
  std::string label{};  ///< "C2 left pars screw 'name'"
  BodyId head{};        ///< end of the shank at the lock point
  bool loaded = false;  ///< the bench pushes its head
};

/// "C2 left pars screw 'name'"
std::string label_of(const models::Anchor& anchor);

/// The bone that this neck is made of.
struct BoneModuli {
  double cortex_MPa = 0.0;
  double cancellous_MPa = 0.0;
  double poisson = 0.0;
};
BoneModuli bone_moduli(const models::Bone& bone, const models::ParameterReader& number);

/// Screws: from the head a free shank to the entry, then one beam on its bed per layer of bone.
std::vector<PlacedAnchor> add_anchors(Assembly& assembly, const models::Construct& construct);

/// Rods and locks. Complains about rods that cannot be; those are left out.
std::vector<BuildComplaint> add_rods(Assembly& assembly, const models::Construct& construct,
                                     const std::vector<PlacedAnchor>& anchors, const BuildOptions& options);

/// Metal that ties fewer than two bones together and that no load pushes. Components must have been found.
std::vector<BuildComplaint> find_idle_metal(const Assembly& assembly, const Mesh& mesh,
                                            const std::vector<PlacedAnchor>& anchors);

}  // namespace opisthion::mesh
