// SPDX-License-Identifier: MIT
#include "tests/validation/robustness/run_case.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "solver/core/full/controlled.hpp"
#include "solver/study/full/run.hpp"

namespace opisthion::tests {
namespace {

namespace full = core::full;

constexpr double kFurther_rad = 20.0 * std::numbers::pi / 180.0;  // beyond where the load came to: a joint's whole range
constexpr double kShortOfTheEnd = 0.9;  // of the travel at which the whole load finds its balance beyond anatomy
constexpr double kFading = 0.01;        // of the regularisation, as the verdict looks at
constexpr double kNoMore = 1.0 + 1e-6;

/// Whether no joint is beyond its physical end, counted from the load's middle.
bool within_anatomy(const study::Specimen& specimen, const study::FullRun& run, const full::State& state) {
  const study::FullFigures figures = study::read_full_figures(specimen.mesh, state.poses, run.middle.middle);
  for (std::size_t i = 0; i < figures.joints.size(); ++i) {
    const double end_rad = specimen.mesh.joints[i].physical_end_deg * std::numbers::pi / 180.0;
    if (figures.joints[i].vector_rad.cwiseAbs().maxCoeff() > end_rad) return false;
    if (figures.joints[i].translation_mm.norm() > study::kPhysicalEnd_mm) return false;
  }
  return true;
}

void confirm(const study::Specimen& specimen, const mesh::LoadCase& load_case, const study::FullRun& run,
             full::Workspace& work, LoadRun& out) {
  const full::LoadPath load = study::load_path(specimen, load_case);
  const std::size_t first_branch = load.constant.moments.size();
  const auto travel_of = [&](const full::State& state) {
    return full::travel(load.growing, specimen.model, state, first_branch);
  };
  const bool whole_load = run.path.end == full::PathEnd::reached;
  const bool beyond = whole_load && !run.evidence.beyond.empty();
  const double came = run.has_state() ? travel_of(run.last()) - travel_of(specimen.start) : 0.0;
  full::ControlOptions options{.to = beyond ? kShortOfTheEnd * came : came + kFurther_rad, .steps = 20};
  if (whole_load && !beyond) options.solve.regularisation = kFading;  // it only stood on regularisation
  const full::ControlOutcome path = full::follow_controlled(specimen.model, load, specimen.start, options, work);
  for (const full::ControlledStep& step : path.steps) {
    if (!within_anatomy(specimen, run, step.state)) break;
    out.largest_factor = std::max(out.largest_factor, step.factor);
  }
  if (out.largest_factor > kNoMore)
    out.confirmed = Confirmed::no;
  else
    out.confirmed = path.end == full::ControlEnd::no_answer && path.reached() < came ? Confirmed::not_found : Confirmed::yes;
}

bool all_finite(const study::FullRun& run) {
  if (!run.figures.overall.cardan_rad.allFinite()) return false;
  for (const auto& joint : run.figures.joints)
    if (!joint.vector_rad.allFinite() || !joint.translation_mm.allFinite()) return false;
  return true;
}

}  // namespace

CaseRun run_case(const models::Case& the_case, const models::Construct& construct,
                 const models::ParameterTable& parameters) {
  CaseRun out;
  const auto specimen = study::make_specimen(the_case, construct, parameters, {});
  if (!specimen) {
    out.assembly = specimen.error().status;
    out.assembly_reason = specimen.error().reason;
    return out;
  }
  out.assembled = true;
  const full::WorkspacePtr work = full::make_workspace(specimen->model);
  for (const mesh::LoadCase& load_case : specimen->mesh.program.cases) {
    if (load_case.kind != mesh::LoadKind::motion) continue;
    const study::FullRun run =
        study::run_load(*specimen, load_case, specimen->mesh.program.steps, study::Look::closely, *work);
    LoadRun load{.load = load_case.name,
                 .status = run.verdict.status,
                 .reason = run.verdict.reason(),
                 .iterations = run.path.iterations,
                 .finite = all_finite(run)};
    if (load.status == study::Status::mechanism) {
      load.told = load.reason.find('%') != std::string::npos || !run.evidence.escape.empty();
      confirm(*specimen, load_case, run, *work, load);
    }
    out.loads.push_back(std::move(load));
  }
  return out;
}

}  // namespace opisthion::tests
