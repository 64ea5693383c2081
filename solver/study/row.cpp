// SPDX-License-Identifier: MIT
#include "solver/study/row.hpp"

#include <algorithm>

#include "solver/study/fit.hpp"

namespace opisthion::study {
namespace {

void take_worst(SolveRecord& worst, const SolveRecord& one, bool first) {
  worst.load_fraction = first ? one.load_fraction : std::min(worst.load_fraction, one.load_fraction);
  worst.iterations = std::max(worst.iterations, one.iterations);
  worst.residual = std::max(worst.residual, one.residual);
  worst.regularisation_work_share = std::max(worst.regularisation_work_share, one.regularisation_work_share);
  worst.strand_energy_share = std::max(worst.strand_energy_share, one.strand_energy_share);
  worst.discretisation_error = std::max(worst.discretisation_error, one.discretisation_error);
}

}  // namespace

bool wanted_load(const mesh::LoadCase& load_case, const AssessOptions& options) {
  if (options.only_motions.empty()) return true;
  const auto motion = load_case.kind == mesh::LoadKind::motion ? models::motion_from_name(load_case.id) : std::nullopt;
  return motion &&
         std::find(options.only_motions.begin(), options.only_motions.end(), *motion) != options.only_motions.end();
}

ConstructResult begin_row(const models::Case& the_case, const models::Construct& construct,
                          const models::ParameterTable& parameters, RowKind row) {
  ConstructResult result;
  result.row = row;
  result.name = construct.name;
  if (row != RowKind::construct) return result;
  const models::ParameterReader rules(parameters);
  result.fit = fits(the_case, construct, rules);
  result.parameters_read = rules.ids_read();
  return result;
}

void finish_row(ConstructResult& result, const std::vector<std::pair<std::string, Verdict>>& loads) {
  bool first = true;
  const auto take = [&](const SolveRecord& solve) {
    take_worst(result.solve, solve, first);
    first = false;
  };
  for (const MotionResult& motion : result.motions) take(motion.solve);
  for (const CombinedResult& combined : result.combined) take(combined.solve);
  for (const auto* forces : {&result.shear, &result.axial, &result.heads})
    for (const ForceResult& force : *forces) take(force.solve);
  const ConstructVerdict verdict = judge_construct(loads);
  result.status = verdict.status;
  result.reason = verdict.status == Status::solved && result.kinematics == "full" ? "every load held" : verdict.reason;
  for (const FreeMotion& motion : result.free)
    if (!motion.lax) result.reason += "; floats: " + motion.what;
}

}  // namespace opisthion::study
