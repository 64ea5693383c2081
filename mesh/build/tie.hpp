// SPDX-License-Identifier: MIT
#pragma once
// Wires and clamps that tie the back of one level to the back of another, without a rod.
#include "mesh/build/hardware.hpp"

namespace opisthion::mesh {

/// Two strands each, left and right of the tie's middle, that pull only. All parts of a tie lie behind the joints, so
/// tightening it extends the joint unless a block props the two backs apart, in the end until bone meets bone.
void add_ties(Assembly& assembly, const models::Construct& construct);

/// Two hooks, over the upper edge of the arch or lamina above and under the lower edge of the lamina below, drawn together
/// by a screw behind them: strands of metal that bear on bone by hooks instead of wires. Nothing holds the backs apart.
void add_clamp(Assembly& assembly, const models::Tie& clamp);

/// "midline wire 'name'"
std::string label_of(const models::Tie& tie);

}  // namespace opisthion::mesh
