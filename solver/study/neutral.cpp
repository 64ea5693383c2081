// SPDX-License-Identifier: MIT
#include "solver/study/neutral.hpp"

#include <cmath>

namespace opisthion::study {

Solved solve_from(const Prepared& prepared, const Eigen::VectorXd& start, const Eigen::VectorXd& load, double regularisation,
                  core::EquilibriumWorkspace& work) {
  Solved solved{.q = start, .outcome = {}};
  core::EquilibriumOptions options;
  options.regularisation = regularisation;
  solved.outcome = core::solve_equilibrium(prepared.model, load, options, work, solved.q);
  return solved;
}

Neutral find_neutral(const Prepared& prepared, double regularisation, core::EquilibriumWorkspace& work) {
  Neutral neutral;
  const Eigen::VectorXd nothing = Eigen::VectorXd::Zero(prepared.model.dofs);
  const Solved start = solve_from(prepared, nothing, nothing, regularisation, work);
  neutral.found = static_cast<bool>(start.outcome);
  neutral.start = neutral.found ? start.q : nothing;
  const std::vector<mesh::LoadCase>& cases = prepared.mesh.program.cases;
  neutral.of_case.resize(cases.size());
  int motions = 0;
  Eigen::VectorXd sum = nothing;
  for (std::size_t i = 0; i < cases.size(); ++i) {
    const double small = cases[i].kind == mesh::LoadKind::motion ? kNeutralMoment_Nmm : kNeutralForce_N;
    const double scale = cases[i].magnitude == 0.0 ? 0.0 : small / std::abs(cases[i].magnitude);
    const Eigen::VectorXd load = core::load_vector(prepared.mesh.system, prepared.model, cases[i].loads) * scale;
    const Solved plus = solve_from(prepared, neutral.start, load, regularisation, work);
    const Solved minus = solve_from(prepared, neutral.start, -load, regularisation, work);
    neutral.found = neutral.found && plus.outcome && minus.outcome;
    neutral.of_case[i] = {.middle = 0.5 * (plus.q + minus.q), .half = 0.5 * (plus.q - minus.q)};
    if (cases[i].kind != mesh::LoadKind::motion) continue;
    sum += neutral.of_case[i].middle;
    ++motions;
  }
  neutral.rest = motions > 0 ? Eigen::VectorXd(sum / motions) : neutral.start;
  return neutral;
}

}  // namespace opisthion::study
