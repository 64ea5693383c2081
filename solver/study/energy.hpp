// SPDX-License-Identifier: MIT
#pragma once
#include <map>
#include <vector>

#include "solver/study/prepare.hpp"

namespace opisthion::study {

/// Shares of energies by item name [N mm], largest first (ties by name), at most `most`.
std::vector<EnergyShare> shares_of(const std::map<std::string, double>& energy_Nmm, std::size_t most);

/// Share of the strain energy by item, largest first (ties by name), at most `most`. Empty when nothing is strained.
/// Metal condensed away is recovered beam by beam; regularisation is left out.
/// model: prepared's, with the laws that the state belongs to. After assembly, what the load has stored since.
std::vector<EnergyShare> energy_by_item(const Prepared& prepared, const core::ReducedModel& model, const Eigen::VectorXd& q,
                                        std::size_t most = 6);

}  // namespace opisthion::study
