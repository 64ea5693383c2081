// SPDX-License-Identifier: MIT
#include "solver/study/full/friction_range.hpp"

#include <algorithm>

#include "models/quantity/units.hpp"
#include "solver/study/compare.hpp"
#include "solver/study/full/beam_by_beam.hpp"
#include "solver/study/full/specimen_words.hpp"
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
                             const FollowerFit& follower, const ConstructResult& nominal) {
  FrictionRange out;
  for (const MotionResult& motion : nominal.motions)
    entry(out, motion.motion).cells[0][static_cast<std::size_t>(FrictionLevel::nominal)] = {
        .status = motion.status, .rotation_deg = motion.rotation_deg, .run = true};
  for (const WireState wires : kWireStates) {
    if (wires == WireState::slack && nominal.assembly.empty()) continue;
    for (const FrictionLevel level : kFrictionLevels) {
      if (wires == WireState::fresh && level == FrictionLevel::nominal) continue;
      SpecimenOptions as{.rod_elements_per_span = options.rod_elements_per_span, .friction = level, .wires = wires};
      if (wires == WireState::fresh) as.follower = &follower;
      const auto specimen = make_specimen(the_case, construct, parameters, as);
      const full::WorkspacePtr work = specimen ? full::make_workspace(specimen->model) : full::WorkspacePtr();
      as.metal = Metal::corotational;
      if (specimen) as.follower = &specimen->follower;
      tl::expected<Specimen, Unready> beams = tl::unexpected(Unready{});  // made when the first motion asks for it
      full::WorkspacePtr beams_work;
      bool tried = false;
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
          const FullMiddle* opposite = before != nullptr && opposed(*before, load_case) ? &known : nullptr;
          FullRun run = run_load(*specimen, load_case, specimen->mesh.program.steps, Look::roughly, *work, opposite);
          // A rough look takes a contact that slides for a snap, and gives caps up early.
          const bool doubtful = !run.evidence.snaps.empty() || !run.evidence.caps_settled;
          if (run.verdict.status == Status::no_answer || doubtful)
            run = run_load(*specimen, load_case, specimen->mesh.program.steps, Look::figures, *work, opposite);
          before = &load_case;
          known = run.middle;
          if (models::to_deg(run.metal_turn_rad) > kMostMetalTurn_deg) {
            if (!tried && (beams = make_specimen(the_case, construct, parameters, as)))
              beams_work = full::make_workspace(beams->model);
            tried = true;
            if (beams && !end_beam_by_beam(run, *specimen, *beams, load_case, *beams_work)) {
              FullRun whole = run_load(*beams, load_case, specimen->mesh.program.steps, Look::roughly, *beams_work, nullptr);
              // Where that finds no end, condensed metal's figure stands, as roughly as these cells are looked at.
              if (has_figure(whole.verdict.status)) run = std::move(whole);
            }
          }
          cell.status = run.verdict.status;
          if (has_figure(cell.status)) cell.rotation_deg = rotation_deg(run.figures.overall, motion.motion);
        }
      }
    }
  }
  return out;
}

}  // namespace opisthion::study
