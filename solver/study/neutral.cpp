// SPDX-License-Identifier: MIT
#include "solver/study/neutral.hpp"

#include <cmath>

namespace opisthion::study {

int axis_index(models::Motion motion) {
  const Eigen::Vector3d axis = models::moment_axis(motion);
  Eigen::Index index = 0;
  axis.cwiseAbs().maxCoeff(&index);
  return static_cast<int>(index);
}

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
  Solved start = solve_from(prepared, nothing, nothing, regularisation, work);
  neutral.found = static_cast<bool>(start.outcome);
  neutral.start = neutral.found ? start.q : nothing;
  neutral.middle.fill(neutral.start);
  neutral.rest = neutral.start;
  int axes = 0;
  Eigen::VectorXd sum = nothing;
  for (const mesh::LoadCase& load_case : prepared.mesh.program.cases) {
    if (load_case.kind != mesh::LoadKind::motion || load_case.magnitude == 0.0) continue;
    const auto motion = models::motion_from_name(load_case.id);
    if (!motion) continue;
    const auto axis = static_cast<std::size_t>(axis_index(*motion));
    if (neutral.half[axis].size() > 0) continue;
    const Eigen::VectorXd load = core::load_vector(prepared.mesh.system, prepared.model, load_case.loads) *
                                 (kNeutralMoment_Nmm / std::abs(load_case.magnitude));
    const Solved plus = solve_from(prepared, neutral.start, load, regularisation, work);
    const Solved minus = solve_from(prepared, neutral.start, -load, regularisation, work);
    neutral.found = neutral.found && plus.outcome && minus.outcome;
    neutral.middle[axis] = 0.5 * (plus.q + minus.q);
    neutral.half[axis] = 0.5 * (plus.q - minus.q);
    sum += neutral.middle[axis];
    ++axes;
  }
  if (axes > 0) neutral.rest = sum / axes;
  return neutral;
}

}  // namespace opisthion::study
