// SPDX-License-Identifier: MIT
#pragma once
#include <functional>

#include "mesh/build/build.hpp"
#include "solver/core/stability.hpp"
#include "solver/study/assessment.hpp"

namespace opisthion::study {

inline constexpr double kProbePush_N = 2.0;  ///< lax or floating: the push that a free mode is tried with (THEORY 5)
inline constexpr int kModesLookedAt = 12;    ///< free ones and the next

/// Sorts free modes into lax and floating, by what a small push says of each, and names the softest of the others.
/// numbering: first_dof and dofs of the model that the modes belong to.
void name_modes(ConstructResult& result, const mesh::Mesh& mesh, const core::ReducedModel& numbering,
                const core::Modes& modes, const std::function<core::LaxProbe(const core::Mode&)>& probe);

}  // namespace opisthion::study
