// SPDX-License-Identifier: MIT
#pragma once
// Wires and friction in a state, by name.
#include <string>
#include <vector>

#include "solver/study/prepare.hpp"

namespace opisthion::study {

/// By name from what either kinematics found: forces of the system's strands in their order; frictions that slide, by place
/// in System::slips; what was tightened, with the force asked for and what is left.
std::vector<WireTension> named_tensions(const mesh::Mesh& mesh, const std::vector<double>& strand_N);
std::vector<std::string> named_slips(const mesh::Mesh& mesh, const std::vector<int>& sliding);
struct TightenedForce {
  mesh::ItemId item{};
  double asked_N = 0.0;
  double at_rest_N = 0.0;
};
std::vector<TightenedItem> named_tightened(const mesh::Mesh& mesh, const std::vector<TightenedForce>& forces);

/// Tension of every wire and clamp, in the order of the system's strands.
std::vector<WireTension> wire_tensions(const mesh::Mesh& mesh, const core::ReducedModel& model, const Eigen::VectorXd& q);
/// Names of the frictions that slide, each once.
std::vector<std::string> slipping(const mesh::Mesh& mesh, const core::ReducedModel& model, const Eigen::VectorXd& q);
/// What was tightened, and its force at q; of strands with one name the least that is left.
std::vector<TightenedItem> tightened_items(const mesh::Mesh& mesh, const core::ReducedModel& model,
                                           const Eigen::VectorXd& q);

}  // namespace opisthion::study
