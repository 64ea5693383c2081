// SPDX-License-Identifier: MIT
#pragma once
// Wires, friction and energy in a state of full kinematics, by name.
#include "solver/study/full/specimen.hpp"

namespace opisthion::study {

/// As their counterparts in grip_forces.hpp and energy.hpp.
std::vector<WireTension> wire_tensions(const Specimen& specimen, const core::full::State& state);
std::vector<std::string> slipping(const Specimen& specimen, const core::full::State& state);
std::vector<TightenedItem> tightened_items(const Specimen& specimen, const core::full::State& state);
std::vector<EnergyShare> energy_by_item(const Specimen& specimen, const core::full::State& state, std::size_t most = 6);

}  // namespace opisthion::study
