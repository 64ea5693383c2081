// SPDX-License-Identifier: MIT
#pragma once
#include <vector>

#include "solver/study/prepare.hpp"

namespace opisthion::study {

/// Share of the strain energy by item, largest first (ties by name), at most `most`. Empty when nothing is strained.
/// Metal condensed away is recovered beam by beam; regularisation is left out.
std::vector<EnergyShare> energy_by_item(const Prepared& prepared, const Eigen::VectorXd& q, std::size_t most = 6);

}  // namespace opisthion::study
