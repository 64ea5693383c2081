// SPDX-License-Identifier: MIT
#include "solver/study/neutral.hpp"

#include <cmath>

namespace opisthion::study {

Solved solve_from(const Prepared& prepared, const Eigen::VectorXd& start, const Eigen::VectorXd& load, double regularisation,
                  core::EquilibriumWorkspace& work) {
  Solved solved{.q = start, .outcome = {}, .with_caps = {}};
  core::EquilibriumOptions options;
  options.regularisation = regularisation;
  const bool prestressed = prepared.assembly.prestress.size() > 0;
  if (prepared.model.frictions.empty() && !prestressed) {
    solved.outcome = core::solve_equilibrium(prepared.model, load, options, work, solved.q);
    return solved;
  }
  solved.with_caps = prepared.model;
  solved.outcome = core::solve_with_friction(*solved.with_caps, load, options, work, solved.q);
  if (!prestressed || (solved.outcome && core::stands(*solved.with_caps, solved.q))) return solved;
  // Without geometric stiffness the energy is convex: an answer there is, and it may be a start from which the way is short.
  solved.q = start;
  solved.with_caps = core::without_prestress(prepared.model, prepared.assembly);
  solved.outcome = core::solve_with_friction(*solved.with_caps, load, options, work, solved.q);
  solved.buckled = true;
  if (!solved.outcome) return solved;
  Solved again{.q = solved.q, .outcome = {}, .with_caps = prepared.model};
  again.outcome = core::solve_with_friction(*again.with_caps, load, options, work, again.q);
  if (again.outcome && core::stands(*again.with_caps, again.q)) return again;
  return solved;
}

Neutral find_neutral(const Prepared& prepared, double regularisation, core::EquilibriumWorkspace& work) {
  Neutral neutral;
  const Eigen::VectorXd nothing = Eigen::VectorXd::Zero(prepared.model.dofs);
  Solved start =
      solve_from(prepared, prepared.assembly.q.size() > 0 ? prepared.assembly.q : nothing, nothing, regularisation, work);
  neutral.found = static_cast<bool>(start.outcome);
  neutral.caps_settled = start.outcome.caps_settled;
  neutral.buckled = start.buckled;
  neutral.start = neutral.found ? start.q : nothing;
  neutral.with_caps = std::move(start.with_caps);
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
    neutral.buckled = neutral.buckled || plus.buckled || minus.buckled;
    neutral.caps_settled = neutral.caps_settled && plus.outcome.caps_settled && minus.outcome.caps_settled;
    neutral.of_case[i] = {.middle = 0.5 * (plus.q + minus.q), .half = 0.5 * (plus.q - minus.q)};
    if (cases[i].kind != mesh::LoadKind::motion) continue;
    sum += neutral.of_case[i].middle;
    ++motions;
  }
  neutral.rest = motions > 0 ? Eigen::VectorXd(sum / motions) : neutral.start;
  return neutral;
}

}  // namespace opisthion::study
