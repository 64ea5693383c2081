// SPDX-License-Identifier: MIT
#include "solver/study/assess.hpp"

#include <Eigen/Cholesky>
#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include "models/quantity/units.hpp"
#include "solver/core/stability.hpp"
#include "solver/study/compare.hpp"
#include "solver/study/energy.hpp"
#include "solver/study/figure.hpp"
#include "solver/study/figures.hpp"
#include "solver/study/fit.hpp"
#include "solver/study/free_modes.hpp"
#include "solver/study/full/full_assess.hpp"
#include "solver/study/full/hybrid.hpp"
#include "solver/study/grip_forces.hpp"
#include "solver/study/naming.hpp"
#include "solver/study/neutral.hpp"
#include "solver/study/row.hpp"
#include "solver/study/rows.hpp"
#include "solver/study/shares.hpp"
#include "solver/study/verdict.hpp"

namespace opisthion::study {
namespace {

double component(const Eigen::Vector3d& rotation_rad, models::Motion motion) {
  return models::to_deg(models::moment_axis(motion).dot(rotation_rad));
}

/// Index of a case in its program, which is also the index of its neutral.
std::size_t index_of(const Prepared& prepared, const mesh::LoadCase& load_case) {
  return static_cast<std::size_t>(&load_case - prepared.mesh.program.cases.data());
}
const Middle& middle_of(const Prepared& prepared, const Neutral& neutral, const mesh::LoadCase& load_case) {
  return neutral.of_case[index_of(prepared, load_case)];
}

/// One load with all that was found out about it.
struct Examined {
  Solved solved{};
  Figures figures{};
  Evidence evidence{};
  Verdict verdict{};
  std::vector<core::Mode> floating{};
};

constexpr double kNoFigure = std::numeric_limits<double>::quiet_NaN();

/// Beyond a joint's physical end a small-displacement value is no figure of anything: it is withheld, the reason stands.
void withhold(MotionResult& motion) {
  motion.beyond_physical_end = true;
  motion.rotation_deg = motion.secant_stiffness_Nm_per_deg = motion.tangent_stiffness_Nm_per_deg = kNoFigure;
  motion.measures = {};
  for (JointMotion& joint : motion.joints) {
    joint.rotation_deg = kNoFigure;
    joint.rotations_deg.fill(kNoFigure);
    joint.rotation_vector_deg.fill(kNoFigure);
    joint.translation_mm.fill(kNoFigure);
  }
}
void withhold(ForceResult& force) {
  force.beyond_physical_end = true;
  force.travel_mm = force.stiffness_N_per_mm = kNoFigure;
  force.measures = {};
}

std::string point_words(const Eigen::Vector3d& p) {
  return "reference point of the upper body at (" + figure(p.x(), 1) + ", " + figure(p.y(), 1) + ", " + figure(p.z(), 1) +
         ") mm";
}

void look_beyond(std::vector<Cause>& beyond, const Prepared& prepared, const Figures& figures) {
  for (std::size_t i = 0; i < figures.joints.size(); ++i) {
    const mesh::JointProbes& joint = prepared.mesh.joints[i];
    const double turn = models::to_deg(figures.joints[i].rotation_rad.cwiseAbs().maxCoeff());
    const double slide = figures.joints[i].translation_mm.norm();
    if (turn > joint.physical_end_deg)
      beyond.push_back({.what = "small displacement puts " + joint.name + " beyond its physical end of " +
                                figure(joint.physical_end_deg, 0) + " deg",
                        .figure = figure(turn, 1) + " deg"});
    if (slide > kPhysicalEnd_mm)
      beyond.push_back({.what = "small displacement puts " + joint.name + " beyond its physical end of " +
                                figure(kPhysicalEnd_mm, 0) + " mm",
                        .figure = figure(slide, 1) + " mm"});
  }
}

/// The motion in which assembly's forces buckle what they hold: at rest, or in this state.
std::string buckling_words(const Prepared& prepared, const Solved& solved) {
  const core::ReducedModel& model = model_of(prepared, solved.with_caps);
  core::Mode mode = prepared.assembly.buckling;
  if (solved.buckled) {
    Eigen::MatrixXd tangent;
    core::tangent_at(model, solved.q, 0.0, tangent);
    tangent += prepared.assembly.prestress;
    const core::Modes modes = core::softest_modes(tangent, model.dof_scale, 1);
    if (!modes.softest.empty() && modes.softest.front().stiffness_N_per_mm < 0.0) mode = modes.softest.front();
  }
  if (mode.shape.size() != model.dofs) return "on the way to this load";
  return describe(largest_relative_motion(prepared.mesh, model, mode.shape), Sense::both_ways);
}

/// Whether a part that seems to escape only drifts within its play: pushed on that way, it comes to a stop at once, and at
/// the same place however weak regularisation is. In a mechanism the push carries it as far as regularisation is weak.
bool soon_stopped(const core::ReducedModel& model, const Eigen::VectorXd& load, const Eigen::VectorXd& q,
                  const Eigen::VectorXd& escape, core::EquilibriumWorkspace& work) {
  const Eigen::VectorXd scale = Eigen::Map<const Eigen::VectorXd>(model.dof_scale.data(), model.dofs);
  const Eigen::VectorXd pushed = load + kProbePush_N * scale.cwiseAbs2().cwiseProduct(escape);
  std::array<double, 2> travel_mm{};
  for (std::size_t i = 0; i < travel_mm.size(); ++i) {
    Eigen::VectorXd there = q;
    if (!core::solve_equilibrium(model, pushed, {.regularisation = i == 0 ? 0.1 : 0.01}, work, there)) return false;
    travel_mm[i] = scale.cwiseProduct(there - q).norm();
  }
  constexpr double kSamePlace = 1.5;  // a mechanism goes ten times as far
  return travel_mm[1] < kPhysicalEnd_mm && travel_mm[1] < kSamePlace * travel_mm[0];
}

/// Where assembly has put the joints, from the pose as built, told where that is further than small displacement may.
void look_at_rest(Evidence& evidence, const Prepared& prepared, const Neutral& neutral) {
  if (prepared.assembly.status != core::AssemblyStatus::assembled) return;
  const Figures rest = read_figures(prepared, neutral.rest, Eigen::VectorXd::Zero(neutral.rest.size()));
  for (std::size_t i = 0; i < rest.joints.size(); ++i) {
    const double turn = models::to_deg(rest.joints[i].rotation_rad.norm());
    const double slide = rest.joints[i].translation_mm.norm();
    if (turn > kMostSmallRest_deg || slide > kMostSmallSlide_mm)
      evidence.rest += (evidence.rest.empty() ? "" : ", ") + prepared.mesh.joints[i].name + " by " + figure(turn, 1) +
                       " deg and " + figure(slide, 1) + " mm";
  }
  look_beyond(evidence.rest_beyond, prepared, rest);
}

Examined examine(const Prepared& prepared, const mesh::LoadCase& load_case, const Neutral& neutral,
                 const Neutral& neutral_tenth, core::EquilibriumWorkspace& work) {
  Examined out;
  const Eigen::VectorXd load = core::load_vector(prepared.mesh.system, prepared.model, load_case.loads);
  out.solved = solve_from(prepared, neutral.start, load, 1.0, work);
  const core::ReducedModel& model = model_of(prepared, out.solved.with_caps);
  const core::EquilibriumOutcome& outcome = out.solved.outcome;
  out.evidence.converged = static_cast<bool>(outcome) && neutral.found && out.solved.q.allFinite();
  out.evidence.iterations = outcome.iterations;
  out.evidence.residual = outcome.residual;
  if (!out.evidence.converged) {
    out.verdict = judge_load(out.evidence);
    return out;
  }
  const core::StabilityOutcome stability = core::judge(model, load, out.solved.q, {}, work);
  out.evidence.escapes = stability.runaway || !stability.driven.empty();
  if (out.evidence.escapes) {
    Eigen::VectorXd escape = stability.driven.empty() ? stability.escape : stability.driven.front().shape;
    const bool known = escape.size() == model.dofs;
    if (known && escape.dot(load) < 0.0) escape = -escape;  // the way the load pushes it
    const std::string words =
        known ? describe(largest_relative_motion(prepared.mesh, model, escape), Sense::one_way) : std::string();
    if (known && only_a_graft_moves(prepared.mesh, model, escape)) {
      out.evidence.escapes = false;
      out.evidence.loose_graft = words;
    } else if (known && soon_stopped(model, load, out.solved.q, escape, work)) {
      out.evidence.escapes = false;
      out.evidence.drifts = words;
    } else {
      out.evidence.escape = words;
      out.verdict = judge_load(out.evidence);
      return out;
    }
  }
  for (const core::Mode& mode : stability.floating)
    if (!core::probe_mode(model, mode, kProbePush_N, work).stiffens) out.floating.push_back(mode);

  out.figures = read_figures(prepared, out.solved.q, middle_of(prepared, neutral, load_case).middle);
  const LargestRotation largest = largest_rotation(out.figures);
  if (largest.joint >= 0) {
    out.evidence.joint = prepared.mesh.joints[static_cast<std::size_t>(largest.joint)].name;
    out.evidence.joint_rotation_deg = largest.rotation_deg;
  }
  for (std::size_t i = 0; i < out.figures.joints.size(); ++i)
    if (const double slide = out.figures.joints[i].translation_mm.norm(); slide > out.evidence.joint_slide_mm) {
      out.evidence.joint_slide_mm = slide;
      out.evidence.sliding_joint = prepared.mesh.joints[i].name;
    }
  look_beyond(out.evidence.beyond, prepared, out.figures);
  look_at_rest(out.evidence, prepared, neutral);
  if (!out.evidence.beyond.empty())
    out.evidence.escape = describe(
        largest_relative_motion(prepared.mesh, model, out.solved.q - middle_of(prepared, neutral, load_case).middle),
        Sense::one_way);
  out.evidence.slipping = listed(slipping(prepared.mesh, model, out.solved.q));
  out.evidence.caps_settled = outcome.caps_settled && neutral.caps_settled;
  out.evidence.cap_change = outcome.cap_change;
  if (prepared.assembly.buckles || neutral.buckled || out.solved.buckled)
    out.evidence.buckles = buckling_words(prepared, out.solved);
  out.evidence.strand_share = outcome.strand_share;
  out.evidence.regularisation_share = outcome.regularisation_share;
  const Solved tenth = solve_from(prepared, neutral_tenth.start, load, 0.1, work);
  out.evidence.moved_figure =
      tenth.outcome && neutral_tenth.found
          ? moved(prepared.mesh, out.figures,
                  read_figures(prepared, tenth.q, middle_of(prepared, neutral_tenth, load_case).middle))
          : "no equilibrium is found";
  if (out.evidence.regularisation_share >= kMostRegularisationShare || !out.evidence.moved_figure.empty()) {
    Eigen::MatrixXd tangent;
    core::tangent_at(model, out.solved.q, 0.0, tangent);
    const core::Modes modes = core::softest_modes(tangent, model.dof_scale, 1);
    if (!modes.softest.empty())
      out.evidence.regularised_mode =
          describe(largest_relative_motion(prepared.mesh, model, modes.softest.front().shape), Sense::both_ways);
  }
  out.verdict = judge_load(out.evidence);
  return out;
}

SolveRecord record(const Examined& examined) {
  return {.load_fraction = examined.evidence.converged && !examined.evidence.escapes ? 1.0 : 0.0,
          .iterations = examined.solved.outcome.iterations,
          .residual = examined.solved.outcome.residual,
          .regularisation_work_share = examined.solved.outcome.regularisation_share,
          .strand_energy_share = examined.solved.outcome.strand_share,
          .discretisation_error = 0.0};
}

/// Tangent stiffness about the load's axis [N m/deg]: one over the compliance that the top sees.
double tangent_stiffness(const Prepared& prepared, const mesh::LoadCase& load_case, const Solved& solved) {
  const Eigen::VectorXd unit =
      core::load_vector(prepared.mesh.system, prepared.model, load_case.loads) / std::abs(load_case.magnitude);
  Eigen::MatrixXd tangent;
  core::tangent_at(model_of(prepared, solved.with_caps), solved.q, 1.0, tangent);
  const double compliance_rad_per_Nmm = unit.dot(tangent.ldlt().solve(unit));
  return compliance_rad_per_Nmm > 0.0 ? models::to_Nm_per_deg(1.0 / compliance_rad_per_Nmm) : 0.0;
}

std::vector<JointMotion> joint_motions(const Prepared& prepared, const Figures& figures, models::Motion motion,
                                       const std::vector<core::Mode>& floating) {
  std::vector<JointMotion> out;
  for (std::size_t i = 0; i < figures.joints.size(); ++i) {
    const JointFigures& joint = figures.joints[i];
    const Eigen::Vector3d deg = joint.rotation_rad / models::kRad_per_deg;
    JointMotion entry{.joint = prepared.mesh.joints[i].name,
                      .rotation_deg = component(joint.rotation_rad, motion),
                      .rotations_deg = {deg.y(), deg.x(), deg.z()},
                      .rotation_vector_deg = {deg.x(), deg.y(), deg.z()},
                      .translation_mm = {joint.translation_mm.x(), joint.translation_mm.y(), joint.translation_mm.z()},
                      .translation_point = {},
                      .floats = false};
    const int probe = prepared.mesh.find_probe(entry.joint + "/translation/x");
    if (probe >= 0)
      entry.translation_point = point_words(prepared.mesh.probes[static_cast<std::size_t>(probe)].moving.point_mm);
    for (const core::Mode& mode : floating) {
      const double largest = largest_relative_motion(prepared.mesh, prepared.model, mode.shape).size_mm();
      const Eigen::VectorXd still = Eigen::VectorXd::Zero(prepared.model.dofs);
      const Figures swing = read_figures(prepared, mode.shape, still);
      const double own =
          std::hypot(swing.joints[i].translation_mm.norm(), core::kRotationScale_mm * swing.joints[i].rotation_rad.norm());
      if (own > kFloats * largest) entry.floats = true;
    }
    out.push_back(entry);
  }
  return out;
}

MotionResult motion_result(const Prepared& prepared, const mesh::LoadCase& load_case, models::Motion motion,
                           const Neutral& neutral, const Examined& examined) {
  MotionResult out{.motion = motion, .status = examined.verdict.status, .reason = examined.verdict.reason()};
  out.moment_Nm = models::to_Nm(std::abs(load_case.magnitude));
  out.solve = record(examined);
  const core::ReducedModel& model = model_of(prepared, examined.solved.with_caps);
  if (examined.evidence.converged) out.slipping = slipping(prepared.mesh, model, examined.solved.q);
  if (!has_figure(out.status)) return out;
  out.wires = wire_tensions(prepared.mesh, model, examined.solved.q);
  out.rotation_deg = component(examined.figures.overall_rad, motion);
  if (out.rotation_deg != 0.0) out.secant_stiffness_Nm_per_deg = out.moment_Nm / out.rotation_deg;
  out.tangent_stiffness_Nm_per_deg = tangent_stiffness(prepared, load_case, examined.solved);
  const Eigen::VectorXd& half = middle_of(prepared, neutral, load_case).half;
  out.lax_zone_deg =
      std::abs(component(read_figures(prepared, half, Eigen::VectorXd::Zero(half.size())).overall_rad, motion));
  out.joints = joint_motions(prepared, examined.figures, motion, examined.floating);
  out.measures = examined.figures.measures;
  out.energy = energy_by_item(prepared, model, examined.solved.q);
  if (!examined.evidence.beyond.empty() || !examined.evidence.rest_beyond.empty()) withhold(out);
  return out;
}

ForceResult force_result(const Prepared& prepared, const mesh::LoadCase& load_case, const Neutral& neutral,
                         const Examined& examined) {
  ForceResult out{.id = load_case.id,
                  .name = load_case.name,
                  .line = load_case.line,
                  .status = examined.verdict.status,
                  .reason = examined.verdict.reason(),
                  .force_N = load_case.magnitude};
  out.solve = record(examined);
  const core::ReducedModel& model = model_of(prepared, examined.solved.with_caps);
  if (examined.evidence.converged) out.slipping = slipping(prepared.mesh, model, examined.solved.q);
  if (!has_figure(out.status)) return out;
  out.wires = wire_tensions(prepared.mesh, model, examined.solved.q);
  const Middle& own = middle_of(prepared, neutral, load_case);
  out.travel_mm = probe_change(prepared, load_case.travel_probe, examined.solved.q, own.middle);
  if (out.travel_mm != 0.0) out.stiffness_N_per_mm = out.force_N / out.travel_mm;
  out.lax_zone_mm =
      std::abs(probe_change(prepared, load_case.travel_probe, own.half, Eigen::VectorXd::Zero(own.half.size())));
  out.measures = examined.figures.measures;
  if (!examined.evidence.beyond.empty() || !examined.evidence.rest_beyond.empty()) withhold(out);
  return out;
}

/// Free modes at neutral sorted into lax and floating, and the softest of the others.
void name_modes(ConstructResult& result, const Prepared& prepared, const Neutral& neutral,
                core::EquilibriumWorkspace& work) {
  const core::ReducedModel& model = model_of(prepared, neutral.with_caps);
  if (model.dofs == 0) return;
  Eigen::MatrixXd tangent;
  core::tangent_at(model, neutral.rest, 0.0, tangent);
  const core::Modes modes = core::softest_modes(tangent, model.dof_scale, std::min(model.dofs, kModesLookedAt));
  name_modes(result, prepared.mesh, model, modes,
             [&](const core::Mode& mode) { return core::probe_mode(model, mode, kProbePush_N, work); });
}

/// Relative change of the rotation when every span of rod has twice the elements; the worst of the motions.
void refine(ConstructResult& result, const models::Case& the_case, const models::Construct& construct,
            const models::ParameterTable& parameters, const AssessOptions& options, core::EquilibriumWorkspace& work) {
  const auto fine = prepare(the_case, construct, parameters, 2 * options.rod_elements_per_span);
  if (!fine) return;
  const Neutral neutral = find_neutral(*fine, 1.0, work);
  const auto relative = [](double coarse, double finer) {
    return finer != 0.0 ? std::abs(coarse - finer) / std::abs(finer) : 0.0;
  };
  for (const mesh::LoadCase& load_case : fine->mesh.program.cases) {
    if (!wanted_load(load_case, options) || load_case.kind == mesh::LoadKind::combined) continue;
    const Eigen::VectorXd load = core::load_vector(fine->mesh.system, fine->model, load_case.loads);
    const auto again = [&]() { return solve_from(*fine, neutral.start, load, 1.0, work); };
    for (MotionResult& motion : result.motions)
      if (load_case.kind == mesh::LoadKind::motion && models::name(motion.motion) == load_case.id &&
          has_figure(motion.status) && !motion.beyond_physical_end) {
        const Solved solved = again();
        const Eigen::Vector3d overall =
            read_figures(*fine, solved.q, middle_of(*fine, neutral, load_case).middle).overall_rad;
        motion.solve.discretisation_error = relative(motion.rotation_deg, component(overall, motion.motion));
      }
    for (std::vector<ForceResult>* forces : {&result.shear, &result.axial, &result.heads})
      for (ForceResult& force : *forces)
        if (force.id == load_case.id && has_figure(force.status) && !force.beyond_physical_end)
          force.solve.discretisation_error =
              relative(force.travel_mm,
                       probe_change(*fine, load_case.travel_probe, again().q, middle_of(*fine, neutral, load_case).middle));
  }
}

/// How small kinematics stands in for what it cannot follow.
std::vector<std::string> notes(const Prepared& prepared) {
  std::vector<std::string> out;
  if (!prepared.model.frictions.empty())
    out.emplace_back(
        "friction stands in as a saturating spring: it holds up to the forces that press on it, but stores no slip");
  if (prepared.assembly.friction_held)
    out.emplace_back("seated without friction a part would slide away while it is tightened; friction was let hold it");
  for (const mesh::BuildComplaint& remark : prepared.mesh.remarks) out.push_back(remark.text);
  return out;
}

/// Small kinematics knows no preload, no finite moments about several axes, and no limits of friction; and where it is only
/// approximate, or something escapes, full kinematics has the say.
bool needs_full(const models::Case& the_case, const ConstructResult& small) {
  const models::Bench& bench = the_case.bench;
  if (bench.follower || bench.dead_weight || bench.traction || !bench.combined.empty() || bench.hybrid || bench.cycles > 1)
    return true;
  return small.status != Status::solved;
}

std::vector<Row> rows_asked_for(const models::Case& the_case, const AssessOptions& options) {
  return rows_of(the_case, options.only_constructs, options.necks && options.kinematics != Kinematics::small);
}

ConstructResult assess_row(const Row& row, const models::ParameterTable& parameters, const AssessOptions& options) {
  // Rows that stand beside necks in full are in full, too: figures of two kinematics are no comparison.
  const bool all_full =
      options.kinematics == Kinematics::full || (options.kinematics == Kinematics::automatic && options.necks);
  if (row.kind != RowKind::construct || all_full)
    return assess_full(row.the_case, row.construct, parameters, options, row.kind);
  ConstructResult small = assess_construct(row.the_case, row.construct, parameters, options);
  if (options.kinematics == Kinematics::small || !needs_full(row.the_case, small)) return small;
  return assess_full(row.the_case, row.construct, parameters, options, row.kind);
}

}  // namespace

ConstructResult assess_construct(const models::Case& the_case, const models::Construct& construct,
                                 const models::ParameterTable& parameters, const AssessOptions& options) {
  ConstructResult result = begin_row(the_case, construct, parameters, RowKind::construct);
  const auto prepared = prepare(the_case, construct, parameters, options.rod_elements_per_span);
  if (!prepared) {
    result.status = prepared.error().status;
    result.reason = prepared.error().reason;
    return result;
  }
  result.foundation_factor = prepared->mesh.foundation_factor;
  result.parameters_read.insert(prepared->mesh.parameters_read.begin(), prepared->mesh.parameters_read.end());
  core::EquilibriumWorkspace work;
  const Neutral neutral = find_neutral(*prepared, 1.0, work);
  const Neutral neutral_tenth = find_neutral(*prepared, 0.1, work);
  result.assembly = tightened_items(prepared->mesh, model_of(*prepared, neutral.with_caps), neutral.start);
  result.notes = notes(*prepared);
  const bool assembled = prepared->assembly.status == core::AssemblyStatus::assembled;
  const Eigen::VectorXd built = Eigen::VectorXd::Zero(neutral.rest.size());
  const Figures rest = read_figures(*prepared, neutral.rest, assembled ? built : neutral.rest);
  result.at_rest = rest.measures;
  if (assembled) result.rest = joint_motions(*prepared, rest, models::Motion::flexion, {});
  std::vector<std::pair<std::string, Verdict>> loads;
  for (const mesh::LoadCase& load_case : prepared->mesh.program.cases) {
    if (!wanted_load(load_case, options) || load_case.kind == mesh::LoadKind::combined) continue;
    const Examined examined = examine(*prepared, load_case, neutral, neutral_tenth, work);
    loads.emplace_back(load_case.name, examined.verdict);
    switch (load_case.kind) {
      case mesh::LoadKind::motion:
        if (const auto motion = models::motion_from_name(load_case.id))
          result.motions.push_back(motion_result(*prepared, load_case, *motion, neutral, examined));
        break;
      case mesh::LoadKind::shear:
        result.shear.push_back(force_result(*prepared, load_case, neutral, examined));
        break;
      case mesh::LoadKind::axial:
        result.axial.push_back(force_result(*prepared, load_case, neutral, examined));
        break;
      case mesh::LoadKind::head:
        result.heads.push_back(force_result(*prepared, load_case, neutral, examined));
        break;
      case mesh::LoadKind::combined:
        break;
    }
  }
  name_modes(result, *prepared, neutral, work);
  refine(result, the_case, construct, parameters, options, work);
  finish_row(result, loads);
  return result;
}

int row_count(const models::Case& the_case, const AssessOptions& options) {
  return static_cast<int>(rows_asked_for(the_case, options).size());
}

Assessment assess(const models::Case& the_case, const models::ParameterTable& parameters, const AssessOptions& options,
                  const ForEach& for_each) {
  Assessment out;
  out.case_name = the_case.name;
  out.bench = the_case.bench;
  out.changes = the_case.changes;
  if (parameters.has("interface.foundation_factor")) {
    const models::Parameter* factor = parameters.find("interface.foundation_factor");
    if (!factor->values.empty()) out.foundation_factor = factor->values.front();
  }
  const std::vector<Row> rows = rows_asked_for(the_case, options);
  out.constructs.resize(rows.size());
  for_each(static_cast<int>(rows.size()), [&](int i) {
    const Row& row = rows[static_cast<std::size_t>(i)];
    out.constructs[static_cast<std::size_t>(i)] = assess_row(row, parameters, options);
  });
  if (the_case.bench.hybrid && !rows.empty() && rows.front().kind == RowKind::intact)
    for_each(static_cast<int>(rows.size()), [&](int i) {
      const Row& row = rows[static_cast<std::size_t>(i)];
      if (row.kind != RowKind::intact)
        add_hybrid(out.constructs[static_cast<std::size_t>(i)], out.constructs.front(), row.the_case, row.construct,
                   parameters, options);
    });
  share_out(out.constructs);
  for (const ConstructResult& construct : out.constructs)
    out.parameters_read.insert(construct.parameters_read.begin(), construct.parameters_read.end());
  out.indistinct = not_distinguishable(out.constructs);
  return out;
}

}  // namespace opisthion::study
