// SPDX-License-Identifier: MIT
#pragma once
// Wires and friction in a state, by name.
#include <string>
#include <vector>

#include "solver/study/prepare.hpp"

namespace opisthion::study {

/// Tension of every wire and clamp, in the order of the system's strands.
std::vector<WireTension> wire_tensions(const mesh::Mesh& mesh, const core::ReducedModel& model, const Eigen::VectorXd& q);
/// Names of the frictions that slide, each once.
std::vector<std::string> slipping(const mesh::Mesh& mesh, const core::ReducedModel& model, const Eigen::VectorXd& q);
/// What was tightened, and its force at q; of strands with one name the least that is left.
std::vector<TightenedItem> tightened_items(const mesh::Mesh& mesh, const core::ReducedModel& model,
                                           const Eigen::VectorXd& q);

}  // namespace opisthion::study
