// SPDX-License-Identifier: MIT
#pragma once
#include <vector>

#include "solver/study/prepare.hpp"

namespace opisthion::study {

/// Share of the strain energy by item, largest first (ties by name), at most `most`. Empty when nothing is strained.
/// Metal condensed away is recovered beam by beam; regularisation is left out.
/// model: prepared's, with the laws that the state belongs to. After assembly, what the load has stored since.
std::vector<EnergyShare> energy_by_item(const Prepared& prepared, const core::ReducedModel& model, const Eigen::VectorXd& q,
                                        std::size_t most = 6);

}  // namespace opisthion::study
