// SPDX-License-Identifier: MIT
#include "solver/study/full/friction_range.hpp"

#include <algorithm>

#include "solver/study/compare.hpp"
#include "solver/study/full/run.hpp"
#include "solver/study/row.hpp"

namespace opisthion::study {
namespace {

namespace full = core::full;

FrictionMotion& entry(FrictionRange& range, models::Motion motion) {
  const auto found = std::find_if(range.motions.begin(), range.motions.end(),
                                  [motion](const FrictionMotion& one) { return one.motion == motion; });
  if (found != range.motions.end()) return *found;
  range.motions.push_back({.motion = motion});
  return range.motions.back();
}

}  // namespace

FrictionRange friction_range(const models::Case& the_case, const models::Construct& construct,
                             const models::ParameterTable& parameters, const AssessOptions& options,
                             const ConstructResult& nominal) {
  FrictionRange out;
  for (const MotionResult& motion : nominal.motions)
    entry(out, motion.motion).cells[0][static_cast<std::size_t>(FrictionLevel::nominal)] = {
        .status = motion.status, .rotation_deg = motion.rotation_deg, .run = true};
  for (const WireState wires : kWireStates) {
    if (wires == WireState::slack && nominal.assembly.empty()) continue;
    for (const FrictionLevel level : kFrictionLevels) {
      if (wires == WireState::fresh && level == FrictionLevel::nominal) continue;
      const auto specimen =
          make_specimen(the_case, construct, parameters,
                        {.rod_elements_per_span = options.rod_elements_per_span, .friction = level, .wires = wires});
      const full::WorkspacePtr work = specimen ? full::make_workspace(specimen->model) : full::WorkspacePtr();
      const mesh::LoadCase* before = nullptr;
      FullMiddle known;
      for (const MotionResult& motion : nominal.motions) {
        FrictionCell& cell =
            entry(out, motion.motion).cells[static_cast<std::size_t>(wires)][static_cast<std::size_t>(level)];
        cell.run = true;
        if (!specimen) {
          cell.status = specimen.error().status;
          continue;
        }
        for (const mesh::LoadCase& load_case : specimen->mesh.program.cases) {
          if (load_case.kind != mesh::LoadKind::motion || load_case.id != models::name(motion.motion)) continue;
          const FullRun run = run_load(*specimen, load_case, specimen->mesh.program.steps, Look::roughly, *work,
                                       before != nullptr && opposed(*before, load_case) ? &known : nullptr);
          before = &load_case;
          known = run.middle;
          cell.status = run.verdict.status;
          if (has_figure(cell.status)) cell.rotation_deg = rotation_deg(run.figures.overall, motion.motion);
        }
      }
    }
  }
  return out;
}

}  // namespace opisthion::study
