// SPDX-License-Identifier: MIT
#pragma once
// Assembly in finite rotation, in the order of THEORY 8: tighten, make fast, lock, anchor friction.
#include "solver/core/assemble.hpp"
#include "solver/core/full/path.hpp"

namespace opisthion::core::full {

struct Assembled {
  AssemblyStatus status = AssemblyStatus::not_needed;
  Model model{};
  State state{};  ///< where every load starts
  bool friction_held = false;
  bool unstable = false;  ///< the assembled state is no stable equilibrium, and no other was found
  double imbalance_N = 0.0;
  SolveOutcome outcome{};
  Eigen::VectorXd escape{};
  explicit operator bool() const { return status == AssemblyStatus::not_needed || status == AssemblyStatus::assembled; }
};

/// On kept bodies; `parts` empty: on every body (the whole corotational model).
Assembled assemble(const mesh::System& system, std::span<const mesh::Component> components,
                   std::span<const CondensedComponent> parts);

}  // namespace opisthion::core::full
