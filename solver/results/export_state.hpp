// SPDX-License-Identifier: MIT
#pragma once
// One state in finite rotation with all that it hangs on, as JSON: enough for someone else to work out its energy, the
// forces that are left over and its tangent again.
#include <span>
#include <string>

#include "mesh/system/component.hpp"
#include "solver/core/full/solve.hpp"

namespace opisthion::results {

/// A state that `solve` or `follow` left, and what it was solved under.
struct FullState {
  std::string name{};
  const core::full::Model& model;
  const core::full::LoadPath& load;
  double factor = 1.0;          ///< of the growing load
  double regularisation = 1.0;  ///< factor of it
  const core::full::State& state;
  std::span<const mesh::Component> components{};  ///< that the model was made of; empty where it is not condensed
  bool converged = true;                          ///< false: just a state, in balance or not
};

/// Text of a JSON object; units N, mm, N mm, rad; numbers with all their digits; matrices as rows; global axes unless a name
/// says otherwise. tests/verification/full_state.py is its reader, and README.md lists the keys.
///
/// Laws are described in the reference pose, as the mesh has them (paths, surfaces, directions), with the parameters that
/// they have after assembly, and so is what "linear" parts were made of ("mesh"); nothing that follows from these is
/// written, but for what the solver itself makes of them
/// ("elongation", "force", "stiffness", "energy_Nmm", and all of "solver").
std::string full_state_text(const FullState& what);
/// Writes it. Throws IoError.
void export_full_state(const std::string& path, const FullState& what);

}  // namespace opisthion::results
