// SPDX-License-Identifier: MIT
#pragma once
// One construct, meshed, condensed and reduced: ready to be loaded.
#include <string>
#include <vector>

#include <tl/expected.hpp>

#include "mesh/build/build.hpp"
#include "models/case/case.hpp"
#include "solver/core/condense.hpp"
#include "solver/core/reduced.hpp"
#include "solver/study/assessment.hpp"

namespace opisthion::study {

struct Prepared {
  mesh::Mesh mesh{};
  std::vector<core::CondensedComponent> components{};
  core::ReducedModel model{};
};

/// Why a construct could not be made ready: it cannot be built (no answer), or metal hangs on nothing (mechanism).
struct Unready {
  Status status = Status::no_answer;
  std::string reason{};
};

tl::expected<Prepared, Unready> prepare(const models::Case& the_case, const models::Construct& construct,
                                        const models::ParameterTable& parameters, int rod_elements_per_span);

/// Motion of every body [mm, rad], metal inside the components recovered; held bodies stay at zero.
std::vector<mesh::Vector6> body_motions(const Prepared& prepared, const Eigen::VectorXd& q);

}  // namespace opisthion::study
