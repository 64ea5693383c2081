// SPDX-License-Identifier: MIT
#pragma once
// Elements as 6x6 blocks in the global frame, fixed size: what beam.hpp hands out as matrices, condensation takes as blocks.
#include <array>

#include "mesh/system/system.hpp"

namespace opisthion::core {

/// Symmetric element between two bodies; ba = ab^T.
struct PairBlocks {
  mesh::Matrix6 aa{}, ab{}, bb{};
};

/// The same with the bone that a beam leans on (`b`one columns: ac, bc, cc with c the bone).
struct BoneBlocks {
  mesh::Matrix6 ac{}, bc{}, cc{};
};

PairBlocks beam_blocks(const mesh::Beam& beam);
/// Blocks of the bone, from the forces that the pair answers to the bone's rigid motion at both ends.
BoneBlocks bone_blocks(const mesh::System& system, const mesh::Beam& beam, const PairBlocks& pair);
PairBlocks cushion_blocks(const mesh::System& system, const mesh::Cushion& cushion);

/// Which of its bodies a cushion or beam counts as metal decides whether it belongs to a component.
inline bool is_metal(const mesh::System& system, mesh::BodyId id) {
  return mesh::body(system, id).kind == mesh::BodyKind::metal;
}

}  // namespace opisthion::core
