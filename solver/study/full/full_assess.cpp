// SPDX-License-Identifier: MIT
#include "solver/study/full/full_assess.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <optional>
#include <string_view>

#include "models/quantity/units.hpp"
#include "solver/study/compare.hpp"
#include "solver/study/figure.hpp"
#include "solver/study/free_modes.hpp"
#include "solver/study/full/beam_by_beam.hpp"
#include "solver/study/full/friction_range.hpp"
#include "solver/study/full/full_grips.hpp"
#include "solver/study/full/full_verdict.hpp"
#include "solver/study/full/run.hpp"
#include "solver/study/full/specimen_words.hpp"
#include "solver/study/naming.hpp"
#include "solver/study/row.hpp"

namespace opisthion::study {
namespace {

namespace full = core::full;

constexpr double kNotKnown = std::numeric_limits<double>::quiet_NaN();

SolveRecord record(const FullRun& run) {
  SolveRecord out{.load_fraction = run.path.reached(), .iterations = run.path.iterations, .branches = run.path.branches};
  if (run.has_state()) out.residual = run.outcome().residual;
  out.regularisation_work_share = run.evidence.regularisation_share;
  out.strand_energy_share = run.evidence.strand_share;
  return out;
}

/// Tangent stiffness at the maximum [N m/deg]: a little further along the same load.
double tangent_stiffness(const Specimen& specimen, const mesh::LoadCase& load_case, models::Motion motion,
                         const FullRun& run, full::Workspace& work) {
  const auto further = a_little_further(specimen, load_case, run, work);
  if (!further) return 0.0;
  const double turned_deg =
      rotation_deg(read_full_figures(specimen.mesh, further->poses, run.middle.middle).overall, motion) -
      rotation_deg(run.figures.overall, motion);
  return turned_deg > 0.0 ? kFurther * models::to_Nm(std::abs(load_case.magnitude)) / turned_deg : 0.0;
}

/// A load's run, and on which specimen: beam by beam where condensed metal turned too far. Free modes are the condensed
/// one's.
struct LoadRun {
  const Specimen* specimen = nullptr;
  const Specimen* condensed = nullptr;
  full::Workspace* work = nullptr;
  FullRun run{};
};

std::vector<JointMotion> joints_of(const LoadRun& load, models::Motion motion) {
  std::vector<JointMotion> out = joint_motions(load.specimen->mesh, load.run.figures, motion);
  for (const core::Mode& mode : load.run.floating)
    for (std::size_t i = 0; i < out.size(); ++i) out[i].floats = out[i].floats || joint_floats(*load.condensed, mode, i);
  return out;
}

MotionResult motion_result(const LoadRun& load, const mesh::LoadCase& load_case, models::Motion motion) {
  const Specimen& specimen = *load.specimen;
  const FullRun& run = load.run;
  MotionResult out{.motion = motion, .status = run.verdict.status, .reason = run.verdict.reason(), .kinematics = "full"};
  out.moment_Nm = models::to_Nm(std::abs(load_case.magnitude));
  out.solve = record(run);
  if (run.has_state()) out.slipping = slipping(specimen, run.last());
  if (!has_figure(out.status)) return out;
  out.wires = wire_tensions(specimen, run.last());
  out.rotation_deg = rotation_deg(run.figures.overall, motion);
  if (out.rotation_deg != 0.0) out.secant_stiffness_Nm_per_deg = out.moment_Nm / out.rotation_deg;
  out.tangent_stiffness_Nm_per_deg = tangent_stiffness(specimen, load_case, motion, run, *load.work);
  const FullFigures lax = read_full_figures(specimen.mesh, run.middle.plus.poses, run.middle.middle);
  out.lax_zone_deg = std::abs(rotation_deg(lax.overall, motion));
  out.joints = joints_of(load, motion);
  out.measures = run.figures.measures;
  out.energy = energy_by_item(specimen, run.last());
  return out;
}

ForceResult force_result(const LoadRun& load, const mesh::LoadCase& load_case) {
  const Specimen& specimen = *load.specimen;
  const FullRun& run = load.run;
  ForceResult out{.id = load_case.id,
                  .name = load_case.name,
                  .line = load_case.line,
                  .status = run.verdict.status,
                  .reason = run.verdict.reason(),
                  .kinematics = "full",
                  .force_N = load_case.magnitude};
  out.solve = record(run);
  if (run.has_state()) out.slipping = slipping(specimen, run.last());
  if (!has_figure(out.status)) return out;
  out.wires = wire_tensions(specimen, run.last());
  out.travel_mm = full_probe_change(specimen.mesh, load_case.travel_probe, run.last().poses, run.middle.middle);
  if (out.travel_mm != 0.0) out.stiffness_N_per_mm = out.force_N / out.travel_mm;
  out.lax_zone_mm =
      std::abs(full_probe_change(specimen.mesh, load_case.travel_probe, run.middle.plus.poses, run.middle.middle));
  out.measures = run.figures.measures;
  return out;
}

CombinedResult combined_result(const LoadRun& load, const mesh::LoadCase& load_case) {
  const FullRun& run = load.run;
  CombinedResult out{.id = load_case.id,
                     .name = load_case.name,
                     .status = run.verdict.status,
                     .reason = run.verdict.reason(),
                     .moment_Nm = models::to_Nm(std::abs(load_case.magnitude))};
  out.solve = record(run);
  if (!has_figure(out.status)) return out;
  const Eigen::Vector3d deg = run.figures.overall.cardan_rad / models::kRad_per_deg;
  out.rotations_deg = {deg.x(), deg.y(), deg.z()};
  out.joints = joints_of(load, models::Motion::flexion);
  out.measures = run.figures.measures;
  return out;
}

/// Free modes at rest sorted into lax and floating, and the softest of the others.
void name_modes(ConstructResult& result, const Specimen& specimen, const full::State& rest, full::Workspace& work) {
  if (specimen.model.dofs == 0) return;
  const full::LoadPath load{.constant = specimen.constant, .growing = {}};
  Eigen::MatrixXd tangent;
  full::tangent_at(specimen.model, load, 0.0, 0.0, full::sliding_on(specimen.model, rest), work, tangent);
  tangent = 0.5 * (tangent + tangent.transpose()).eval();
  const core::Modes modes =
      core::softest_modes(tangent, specimen.model.dof_scale, std::min(specimen.model.dofs, kModesLookedAt));
  name_modes(result, specimen.mesh, specimen.numbering, modes,
             [&](const core::Mode& mode) { return probe_mode(specimen, rest, mode, kProbePush_N, work); });
}

/// The rotation about the load's axis [deg], or the travel along its line [mm].
double main_figure(const Specimen& specimen, const mesh::LoadCase& load_case, const FullRun& run) {
  if (!run.has_state()) return 0.0;
  if (load_case.kind != mesh::LoadKind::motion)
    return full_probe_change(specimen.mesh, load_case.travel_probe, run.last().poses, run.middle.middle);
  const auto motion = models::motion_from_name(load_case.id);
  return motion ? rotation_deg(run.figures.overall, *motion) : 0.0;
}

/// What the condensed run found out about regularisation, free modes, grafts and finer steps holds for the other one, too.
void inherit(FullRun& run, const FullRun& condensed) {
  run.floating = condensed.floating;
  run.evidence.moved_figure = condensed.evidence.moved_figure;
  run.evidence.regularised_mode = condensed.evidence.regularised_mode;
  run.evidence.loose_graft = condensed.evidence.loose_graft;
  run.evidence.loose_dens = condensed.evidence.loose_dens;
  run.evidence.floats = condensed.evidence.floats;
  run.evidence.steps = condensed.evidence.steps;
  run.evidence.from_rest = run.middle.from_rest;
  if (condensed.evidence.escapes && run.evidence.converged) {
    run.evidence.escapes = true;
    run.evidence.escape = condensed.evidence.escape;
  }
  run.verdict = judge_full(run.evidence);
}

/// Beam by beam: made when the first load asks for it.
struct Corotational {
  std::optional<Specimen> specimen{};
  full::WorkspacePtr work{};
  bool tried = false;
  const mesh::LoadCase* before = nullptr;  ///< the last load answered so, with the middle of its run
  FullMiddle known{};
};

/// Puts a load whose metal turned too far on beams of their own: its end from where condensed metal ended or, where that is
/// too far away, the whole path.
bool answer_beam_by_beam(LoadRun& load, Corotational& beams, const Built& built, const mesh::LoadCase& load_case) {
  if (!beams.tried) {
    beams.tried = true;
    auto made = make_specimen(built, {.metal = Metal::corotational, .follower = &load.condensed->follower});
    if (made) {
      beams.specimen = std::move(*made);
      beams.work = full::make_workspace(beams.specimen->model);
    }
  }
  if (!beams.specimen) return false;
  const FullMiddle* opposite = beams.before != nullptr && opposed(*beams.before, load_case) ? &beams.known : nullptr;
  load.specimen = &*beams.specimen;
  load.work = beams.work.get();
  if (!end_beam_by_beam(load.run, *load.condensed, *beams.specimen, load_case, *beams.work, opposite)) {
    const FullRun condensed = std::move(load.run);
    load.run =
        run_load(*beams.specimen, load_case, beams.specimen->mesh.program.steps, Look::figures, *beams.work, opposite);
    inherit(load.run, condensed);
  }
  beams.before = &load_case;
  beams.known = load.run.middle;
  return true;
}

struct Runs {
  std::vector<std::pair<std::string, Verdict>> loads{};
  double metal_turn_rad = 0.0;
  bool beam_by_beam = false;
  std::map<std::string, double> condensed_figure{};  ///< rotation or travel by load, of condensed metal
};

Runs run_all(ConstructResult& result, const Specimen& specimen, const Built& built, const AssessOptions& options,
             full::Workspace& work) {
  Runs out;
  Corotational beams;
  const mesh::LoadCase* before = nullptr;  // with the middle of its run
  FullMiddle known;
  for (const mesh::LoadCase& load_case : specimen.mesh.program.cases) {
    if (!wanted_load(load_case, options)) continue;
    LoadRun load{.specimen = &specimen, .condensed = &specimen, .work = &work};
    const FullMiddle* opposite = before != nullptr && opposed(*before, load_case) ? &known : nullptr;
    load.run = run_load(specimen, load_case, specimen.mesh.program.steps, Look::closely, work, opposite);
    before = &load_case;
    known = load.run.middle;
    out.condensed_figure[load_case.id] = main_figure(specimen, load_case, load.run);
    const double metal_turn_rad = load.run.metal_turn_rad;
    if (models::to_deg(metal_turn_rad) > kMostMetalTurn_deg && answer_beam_by_beam(load, beams, built, load_case))
      out.beam_by_beam = true;
    else
      out.metal_turn_rad = std::max(out.metal_turn_rad, metal_turn_rad);
    out.loads.emplace_back(load_case.name, load.run.verdict);
    switch (load_case.kind) {
      case mesh::LoadKind::motion:
        if (const auto motion = models::motion_from_name(load_case.id))
          result.motions.push_back(motion_result(load, load_case, *motion));
        break;
      case mesh::LoadKind::shear:
        result.shear.push_back(force_result(load, load_case));
        break;
      case mesh::LoadKind::axial:
        result.axial.push_back(force_result(load, load_case));
        break;
      case mesh::LoadKind::head:
        result.heads.push_back(force_result(load, load_case));
        break;
      case mesh::LoadKind::combined:
        result.combined.push_back(combined_result(load, load_case));
        break;
    }
  }
  const full::State& rest = specimen.start;
  const bool assembled =
      specimen.assembly == core::AssemblyStatus::assembled || specimen.follower.asked || !specimen.constant.forces.empty();
  const FullFigures at_rest = read_full_figures(specimen.mesh, rest.poses, assembled ? specimen.built.poses : rest.poses);
  result.at_rest = at_rest.measures;
  if (assembled) result.rest = joint_motions(specimen.mesh, at_rest, models::Motion::flexion);
  name_modes(result, specimen, rest, work);
  return out;
}

bool has_joint(const mesh::Mesh& mesh, std::string_view name) {
  return std::any_of(mesh.joints.begin(), mesh.joints.end(),
                     [name](const mesh::JointProbes& joint) { return joint.name == name; });
}

/// Relative change of each figure when every span of rod has twice the elements. Condensed metal tells it as well as any.
void refine(ConstructResult& result, const models::Case& the_case, const models::Construct& construct,
            const models::ParameterTable& parameters, const AssessOptions& options, const FollowerFit& follower,
            const std::map<std::string, double>& coarse) {
  const auto fine = make_specimen(the_case, construct, parameters,
                                  {.rod_elements_per_span = 2 * options.rod_elements_per_span, .follower = &follower});
  if (!fine || fine->mesh.system.beams.empty()) return;
  const full::WorkspacePtr work = full::make_workspace(fine->model);
  const auto relative = [](double before, double finer) {
    return finer != 0.0 ? std::abs(before - finer) / std::abs(finer) : 0.0;
  };
  for (const mesh::LoadCase& load_case : fine->mesh.program.cases) {
    if (!wanted_load(load_case, options)) continue;
    const auto peak = [&]() {
      const FullMiddle middle = find_middle(*fine, load_case, 1.0, *work);
      const full::PathOutcome path = full::follow(fine->model, load_path(*fine, load_case), fine->start,
                                                  {.steps = fine->mesh.program.steps,
                                                   .lax_to = small_factor(load_case),
                                                   .near_first = middle.found ? &middle.plus.poses : nullptr},
                                                  *work);
      return path.end == full::PathEnd::reached && middle.found
                 ? std::optional(std::pair{path.steps.back().state.poses, middle.middle})
                 : std::nullopt;
    };
    for (MotionResult& motion : result.motions)
      if (load_case.kind == mesh::LoadKind::motion && models::name(motion.motion) == load_case.id &&
          has_figure(motion.status)) {
        const auto there = peak();
        motion.solve.discretisation_error =
            there ? relative(coarse.at(load_case.id),
                             rotation_deg(read_full_figures(fine->mesh, there->first, there->second).overall, motion.motion))
                  : kNotKnown;
      }
    for (std::vector<ForceResult>* forces : {&result.shear, &result.axial, &result.heads})
      for (ForceResult& force : *forces)
        if (force.id == load_case.id && has_figure(force.status)) {
          const auto there = peak();
          force.solve.discretisation_error =
              there ? relative(coarse.at(load_case.id),
                               full_probe_change(fine->mesh, load_case.travel_probe, there->first, there->second))
                    : kNotKnown;
        }
  }
}

}  // namespace

ConstructResult assess_full(const models::Case& the_case, const models::Construct& construct,
                            const models::ParameterTable& parameters, const AssessOptions& options, RowKind row) {
  ConstructResult result = begin_row(the_case, construct, parameters, row);
  result.kinematics = "full";
  const auto stopped = [&result](const Unready& unready) {
    result.status = unready.status;
    result.reason = unready.reason;
    return result;
  };
  auto built = build_parts(the_case, construct, parameters, options.rod_elements_per_span);
  if (!built) return stopped(built.error());
  result.foundation_factor = built->mesh.foundation_factor;
  result.parameters_read.insert(built->mesh.parameters_read.begin(), built->mesh.parameters_read.end());
  const auto specimen = make_specimen(*built, {});
  if (!specimen) return stopped(specimen.error());
  const full::WorkspacePtr work = full::make_workspace(specimen->model);
  result.assembly = tightened_items(*specimen, specimen->start);
  const Runs runs = run_all(result, *specimen, *built, options, *work);
  result.notes = specimen_notes(*specimen, models::to_deg(runs.metal_turn_rad), runs.beam_by_beam);
  if (row != RowKind::construct)
    result.notes.push_back("tissue is generic and not fitted to measured motion yet: " +
                           std::string(has_joint(specimen->mesh, "C1-C2")
                                           ? "C1-C2 extends further and rotates less than on benches, and every share leans "
                                             "on that"
                                           : "every share leans on that"));
  if (!specimen->mesh.system.beams.empty())
    refine(result, the_case, construct, parameters, options, specimen->follower, runs.condensed_figure);
  if (!specimen->model.frictions.empty() && options.friction_range)
    result.friction = friction_range(the_case, construct, parameters, options, specimen->follower, result);
  finish_row(result, runs.loads);
  return result;
}

}  // namespace opisthion::study
