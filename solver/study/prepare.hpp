// SPDX-License-Identifier: MIT
#pragma once
// One construct, meshed, condensed, reduced and assembled: ready to be loaded.
#include <string>
#include <vector>

#include <tl/expected.hpp>

#include "mesh/build/build.hpp"
#include "models/case/case.hpp"
#include "solver/core/assemble.hpp"
#include "solver/core/condense.hpp"
#include "solver/core/reduced.hpp"
#include "solver/study/assessment.hpp"

namespace opisthion::study {

struct Prepared {
  mesh::Mesh mesh{};
  std::vector<core::CondensedComponent> components{};
  core::ReducedModel model{};  ///< as assembled; motions count from the reference pose
  core::Assembly assembly{};   ///< how it got there (its model has moved to `model`)
};

/// Why a construct could not be made ready: it cannot be built (no answer), metal hangs on nothing or tightening pulls a
/// part away (mechanism), or tightening finds no equilibrium (no answer).
struct Unready {
  Status status = Status::no_answer;
  std::string reason{};
};

/// Meshed, and its metal condensed: what both kinematics start from.
struct Built {
  mesh::Mesh mesh{};
  std::vector<core::CondensedComponent> components{};
};
tl::expected<Built, Unready> build_parts(const models::Case& the_case, const models::Construct& construct,
                                         const models::ParameterTable& parameters, int rod_elements_per_span);

tl::expected<Prepared, Unready> prepare(const models::Case& the_case, const models::Construct& construct,
                                        const models::ParameterTable& parameters, int rod_elements_per_span);

/// Motion of every body [mm, rad], metal inside the components recovered; held bodies stay at zero. Metal of a component
/// that is locked last counts from where it was locked.
std::vector<mesh::Vector6> body_motions(const Prepared& prepared, const Eigen::VectorXd& q);

}  // namespace opisthion::study
