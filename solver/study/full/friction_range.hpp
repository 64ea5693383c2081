// SPDX-License-Identifier: MIT
#pragma once
#include "models/case/case.hpp"
#include "models/library/parameter_table.hpp"
#include "solver/study/assess.hpp"
#include "solver/study/full/specimen.hpp"

namespace opisthion::study {

/// The motions again without friction, with it, and with all that is pressed on stuck fast; with wires as tightened and with
/// wires that have lost their tension. The nominal, fresh cells are those of `nominal`, and `follower` the path on which it
/// was found, which fresh wires keep; slack ones are another neck, for which a bench would set its guides anew.
FrictionRange friction_range(const models::Case& the_case, const models::Construct& construct,
                             const models::ParameterTable& parameters, const AssessOptions& options,
                             const FollowerFit& follower, const ConstructResult& nominal);

}  // namespace opisthion::study
