// SPDX-License-Identifier: MIT
#include "solver/study/full/run.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include "models/quantity/units.hpp"
#include "solver/core/full/controlled.hpp"
#include "solver/study/figure.hpp"
#include "solver/study/free_modes.hpp"
#include "solver/study/full/full_grips.hpp"
#include "solver/study/full/full_verdict.hpp"
#include "solver/study/full/specimen_words.hpp"
#include "solver/study/naming.hpp"
#include "solver/study/neutral.hpp"

namespace opisthion::study {
namespace {

namespace full = core::full;

constexpr int kFiner = 4;                // times the steps, where friction lets go
constexpr double kSlid = 1e-9;           // mm or rad: more than rounding
constexpr double kMostStepShare = 0.02;  // what condensing may err by, too
constexpr double kMostStep_deg = 0.05;
constexpr double kLargestToldSnap_mm = 4.0;  // scaled: a shorter snap is told and changes no verdict, as C1's see-saw on C2
constexpr int kFewIterations = 60;
constexpr double kCoarseStep = 0.25;
constexpr double kPushStep = 0.01;
constexpr double kSnapWithin_rad = 20.0 * models::kRad_per_deg;  // half a joint's physical end; forces: kPhysicalEnd_mm
constexpr int kSnapSteps = 20;
constexpr double kNoWork = 0.01;  // of what a load could do on as large a motion: less is none (DESIGN 4.4, floating)
constexpr int kMiddleSteps = 4;   // to the small load, where one step does not get there

bool solve_at(const Specimen& specimen, const full::LoadPath& load, double factor, double regularisation,
              full::Workspace& work, full::State& state, bool* caps_settled = nullptr) {
  const full::SolveOutcome outcome =
      full::solve(specimen.model, load, factor, {.regularisation = regularisation, .passing = true}, work, state);
  if (caps_settled != nullptr) *caps_settled = *caps_settled && outcome.caps_settled;
  return static_cast<bool>(outcome);
}

/// The end of the small load of one sense: at once from what is near or, where caps of friction swing on that way, in steps
/// from rest.
/// `escapes`: none is found because a body runs away.
bool small_end(const Specimen& specimen, const full::LoadPath& load, double factor, double regularisation,
               full::Workspace& work, full::State& state, bool& caps_settled, bool& escapes) {
  bool settled = true;
  const bool found = solve_at(specimen, load, factor, regularisation, work, state, &settled);
  if (found && settled) return true;
  const full::PathOutcome path = full::follow(
      specimen.model, load, specimen.start,
      {.solve = {.regularisation = regularisation}, .to = factor, .steps = kMiddleSteps, .lax_to = std::abs(factor)}, work);
  if (path.end == full::PathEnd::reached) {
    state = path.steps.back().state;
    caps_settled = caps_settled && path.steps.back().outcome.caps_settled;
    return true;
  }
  caps_settled = caps_settled && settled;
  escapes = !found && path.end == full::PathEnd::escaped;
  return found;
}

FullMiddle middle_from(const Specimen& specimen, const mesh::LoadCase& load_case, const full::State& plus,
                       const full::State& minus, double regularisation, full::Workspace& work) {
  FullMiddle out{.plus = plus, .minus = minus};
  const full::LoadPath load = load_path(specimen, load_case);
  const double factor = small_factor(load_case);
  bool forth_escapes = false, back_escapes = false;
  const bool forth = small_end(specimen, load, factor, regularisation, work, out.plus, out.caps_settled, forth_escapes);
  // What is as slack one way as the other is found from the mirror image of the first end.
  if (forth && &plus == &minus) {
    const Eigen::VectorXd back_again = -full::motion_between(specimen.model, plus.poses, out.plus.poses);
    full::move(specimen.model, back_again, out.minus.poses);
  }
  const bool back = small_end(specimen, load, -factor, regularisation, work, out.minus, out.caps_settled, back_escapes);
  out.found = forth && back;
  // Of a load that the neck holds one way alone there is no middle: it counts from rest.
  out.from_rest = (forth && back_escapes) || (back && forth_escapes);
  if (out.from_rest) {
    out.found = true;
    out.plus = out.minus = specimen.start;
    out.middle = specimen.start.poses;
    return out;
  }
  if (out.found) {
    out.middle.resize(out.plus.poses.size());
    for (std::size_t i = 0; i < out.middle.size(); ++i)
      out.middle[i] = full::half_way(out.plus.poses[i], out.minus.poses[i]);
  } else {
    out.middle = specimen.start.poses;
  }
  return out;
}

/// `floats`: by joint, those that are not looked at; empty: none.
void look_beyond(std::vector<Cause>& beyond, const mesh::Mesh& mesh, const FullFigures& figures,
                 const std::vector<bool>& floats = {}) {
  for (std::size_t i = 0; i < figures.joints.size(); ++i) {
    if (i < floats.size() && floats[i]) continue;
    const mesh::JointProbes& joint = mesh.joints[i];
    const auto look = [&](double turn_deg, double end_deg) {
      if (turn_deg > end_deg)
        beyond.push_back({.what = joint.name + " goes beyond its physical end of " + figure(end_deg, 0) + " deg",
                          .figure = figure(turn_deg, 1) + " deg"});
    };
    look(models::to_deg(figures.joints[i].vector_rad.cwiseAbs().maxCoeff()), joint.physical_end_deg);
    const double slide = figures.joints[i].translation_mm.norm();
    if (slide > kPhysicalEnd_mm)
      beyond.push_back({.what = joint.name + " goes beyond its physical end of " + figure(kPhysicalEnd_mm, 0) + " mm",
                        .figure = figure(slide, 1) + " mm"});
  }
}

std::string motion_words(const Specimen& specimen, const Eigen::VectorXd& motion, Sense sense) {
  if (motion.size() != specimen.model.dofs) return {};
  return describe(largest_relative_motion(specimen.mesh, specimen.numbering, motion), sense);
}

/// A path that snapped beyond anatomy before it stopped came no further than to that snap: no bench would go on.
void look_at_snaps_beyond(FullRun& run, const Specimen& specimen) {
  for (const full::Snap& snap : run.path.snaps)
    for (const full::Step& step : run.path.steps) {
      if (step.factor < snap.factor) continue;  // the first state that is kept behind it
      std::vector<Cause> beyond;
      look_beyond(beyond, specimen.mesh, read_full_figures(specimen.mesh, step.state.poses, run.middle.middle));
      if (beyond.empty()) break;
      run.evidence.load_fraction = snap.factor;
      run.evidence.escape = motion_words(specimen, snap.motion, Sense::one_way);
      return;
    }
}

/// A neck that is its own mirror image, flexed or extended, stays in its plane until it buckles out of it; one that is not
/// leans aside, but less than it bends.
void look_aside(Evidence& evidence, const mesh::LoadCase& load_case, const FullFigures& figures) {
  constexpr double kAside = 2.0;
  constexpr double kLeast_deg = 5.0;
  const auto motion = load_case.kind == mesh::LoadKind::motion ? models::motion_from_name(load_case.id) : std::nullopt;
  if (motion != models::Motion::flexion && motion != models::Motion::extension) return;
  const Eigen::Vector3d deg = figures.overall.cardan_rad / models::kRad_per_deg;
  const double aside = std::hypot(deg.y(), deg.z());
  if (aside > kLeast_deg && aside > kAside * std::abs(deg.x()))
    evidence.aside = "bending " + figure(deg.y(), 1) + " deg, rotation " + figure(deg.z(), 1) + " deg";
}

/// A limit point is not the end where a stable equilibrium under the whole load stands behind it: sought with the load's
/// motion prescribed. Then the path has reached its end by a snap.
void look_past_limit_point(full::PathOutcome& path, const Specimen& specimen, const full::LoadPath& load,
                           full::Workspace& work) {
  if (path.end != full::PathEnd::limit_point || path.steps.empty()) return;
  const full::State before = path.steps.back().state;
  const double to = load.growing.forces.empty() ? kSnapWithin_rad : kPhysicalEnd_mm;
  const std::size_t branch = load.constant.moments.size();
  const double came = full::travel(load.growing, specimen.model, before, branch) -
                      full::travel(load.growing, specimen.model, specimen.start, branch);
  const full::ControlOutcome past =
      full::follow_controlled(specimen.model, load, specimen.start, {.to = came + to, .steps = kSnapSteps}, work);
  path.iterations += past.iterations;
  // A limit is one only where the motion goes on beyond it under less load, or a body runs away although the motion is held;
  // otherwise the numerics gave up.
  const bool doubtful = !specimen.model.frictions.empty() || !full::conservative(load.growing);
  if (doubtful && past.end == full::ControlEnd::no_answer && past.reached() <= came) {
    path.end = full::PathEnd::no_answer;
    return;
  }
  for (const full::ControlledStep& step : past.steps) {
    if (step.travel < came || step.factor < 1.0) continue;
    full::State state = step.state;
    const full::SolveOutcome outcome = full::solve(specimen.model, load, 1.0, {}, work, state);
    path.iterations += outcome.iterations;
    if (!outcome || !outcome.positive) return;
    full::commit(specimen.model, state);
    const Eigen::VectorXd motion = full::motion_between(specimen.model, before.poses, state.poses);
    const double moved_mm = largest_relative_motion(specimen.mesh, specimen.numbering, motion).size_mm();
    path.snaps.push_back({.factor = path.reached(), .moved_mm = std::max(kLargestToldSnap_mm, moved_mm), .motion = motion});
    path.steps.push_back({1.0, state, outcome});
    path.end = full::PathEnd::reached;
    path.escape = {};
    return;
  }
}

/// Free modes of the tangent without regularisation at the run's end, on which the load does no work and which do not
/// stiffen under a small push; `modes`: its softest ones.
std::vector<core::Mode> floating_at_end(const FullRun& run, const Specimen& specimen, const full::LoadPath& load,
                                        full::Workspace& work, core::Modes& modes) {
  const full::Model& model = specimen.model;
  Eigen::MatrixXd tangent;
  full::tangent_at(model, load, run.path.reached(), 0.0, full::sliding_on(model, run.last()), work, tangent);
  tangent = 0.5 * (tangent + tangent.transpose()).eval();
  modes = core::softest_modes(tangent, model.dof_scale, std::min(model.dofs, kModesLookedAt));
  const double free_below = core::StabilityOptions{}.zero_ratio * modes.stiffest_N_per_mm;
  full::Pushing pushing;
  full::push_and_slope(load.growing, model, run.last(), load.constant.moments.size(), pushing);
  std::vector<core::Mode> out;
  for (const core::Mode& mode : modes.softest) {
    if (std::abs(mode.stiffness_N_per_mm) > free_below) continue;
    if (std::abs(pushing.push.dot(mode.shape)) > kNoWork * full::size_N(load.growing)) continue;
    if (!probe_mode(specimen, specimen.start, mode, kProbePush_N, work).stiffens) out.push_back(mode);
  }
  return out;
}

/// Whether the load's own motion stays while others move this way: then nothing that it needs has come loose.
bool load_does_no_work(const Specimen& specimen, const full::LoadPath& load, const full::State& before,
                       const full::State& after, const Eigen::VectorXd& way) {
  const std::size_t branch = load.constant.moments.size();
  const double unit_mm = load.growing.forces.empty() ? core::kRotationScale_mm : 1.0;
  const double own_mm = unit_mm * std::abs(full::travel(load.growing, specimen.model, after, branch) -
                                           full::travel(load.growing, specimen.model, before, branch));
  return own_mm <= kNoWork * largest_relative_motion(specimen.mesh, specimen.numbering, way).size_mm();
}

/// Joints that lie beyond their physical end only because a body floats there are no mechanism: nothing needs it.
void look_at_floating_beyond(FullRun& run, const Specimen& specimen, const full::LoadPath& load, full::Workspace& work) {
  core::Modes modes;
  const std::vector<core::Mode> floating = floating_at_end(run, specimen, load, work, modes);
  if (floating.empty()) return;
  std::vector<bool> floats(specimen.mesh.joints.size(), false);
  for (const core::Mode& mode : floating)
    for (std::size_t i = 0; i < floats.size(); ++i) floats[i] = floats[i] || joint_floats(specimen, mode, i);
  run.evidence.beyond.clear();
  look_beyond(run.evidence.beyond, specimen.mesh, run.figures, floats);
  if (!run.evidence.beyond.empty()) return;
  run.floating = floating;
  run.evidence.floats = motion_words(specimen, floating.front().shape, Sense::both_ways);
}

/// Whether friction let go of anything on the way: then the end hangs on the way, and on how finely it was followed.
bool slid(const Specimen& specimen, const FullRun& run) {
  const std::vector<double>& before = specimen.start.slip;
  const std::vector<double>& after = run.last().slip;
  return std::any_of(after.begin(), after.end(), [&](const double& slip) {
    return std::abs(slip - before[static_cast<std::size_t>(&slip - after.data())]) > kSlid;
  });
}

/// The same in finer steps: does a rotation move by more than a figure may be off? False: no end was found so.
bool look_at_steps(FullRun& run, const Specimen& specimen, const full::LoadPath& load, full::PathOptions options,
                   full::Workspace& work) {
  const int coarse = options.steps;
  options.steps *= kFiner;
  const full::PathOutcome fine = full::follow(specimen.model, load, specimen.start, options, work);
  run.path.iterations += fine.iterations;
  if (fine.end != full::PathEnd::reached) return false;  // the coarser one stands, with what its own verdict says
  const FullFigures figures = read_full_figures(specimen.mesh, fine.steps.back().state.poses, run.middle.middle);
  const auto look = [&](const std::string& name, const PoseFigures& a, const PoseFigures& b) {
    const double was_deg = models::to_deg(a.vector_rad.norm());
    const double is_deg = models::to_deg(b.vector_rad.norm());
    const double moved_deg = models::to_deg((a.vector_rad - b.vector_rad).norm());
    if (moved_deg <= std::max(kMostStepShare * is_deg, kMostStep_deg) || !run.evidence.steps.empty()) return;
    run.evidence.steps = name + " " + figure(was_deg, 2) + " deg in " + std::to_string(coarse) + " steps, " +
                         figure(is_deg, 2) + " in " + std::to_string(options.steps);
  };
  look("the neck turns by", run.figures.overall, figures.overall);
  for (std::size_t i = 0; i < figures.joints.size(); ++i)
    look(specimen.mesh.joints[i].name + " turns by", run.figures.joints[i], figures.joints[i]);
  return true;
}

/// What regularisation does at the last state: does the answer stay when it fades?
void look_at_regularisation(FullRun& run, const Specimen& specimen, const mesh::LoadCase& load_case,
                            const full::LoadPath& load, full::Workspace& work) {
  const double factor = run.path.reached();
  full::State tenth = run.last();
  full::State hundredth = tenth;
  const bool at_tenth = solve_at(specimen, load, factor, 0.1, work, tenth);
  hundredth = tenth;
  const bool at_hundredth = at_tenth && solve_at(specimen, load, factor, 0.01, work, hundredth);
  const FullFigures fading = read_full_figures(specimen.mesh, hundredth.poses, run.middle.middle);
  std::vector<Cause> beyond;
  look_beyond(beyond, specimen.mesh, fading);
  const Eigen::VectorXd way = full::motion_between(specimen.model, run.last().poses, hundredth.poses);
  if (!at_hundredth || !beyond.empty()) {
    if (only_a_graft_moves(specimen.mesh, specimen.numbering, way))
      run.evidence.loose_graft = motion_words(specimen, way, Sense::one_way);
    else if (only_the_dens_moves(specimen.mesh, specimen.numbering, way))
      run.evidence.loose_dens = motion_words(specimen, way, Sense::one_way);
    else if (at_tenth && load_does_no_work(specimen, load, run.last(), hundredth, way))
      run.evidence.floats = motion_words(specimen, way, Sense::one_way);
    else
      run.evidence.escapes = true;
    run.evidence.escape = motion_words(specimen, way, Sense::one_way);
    if (run.evidence.escapes) return;
  }
  const FullMiddle middle_tenth = refine_middle(specimen, load_case, run.middle, 0.1, work);
  if (!at_tenth || !middle_tenth.found) {
    run.evidence.moved_figure = "no equilibrium is found";
    return;
  }
  const bool force = load_case.kind != mesh::LoadKind::motion && load_case.kind != mesh::LoadKind::combined;
  run.evidence.moved_figure = moved(specimen.mesh, as_figures(run.figures),
                                    as_figures(read_full_figures(specimen.mesh, tenth.poses, middle_tenth.middle)), !force);
  if (force && run.evidence.moved_figure.empty())
    run.evidence.moved_figure =
        moved_travel(full_probe_change(specimen.mesh, load_case.travel_probe, run.last().poses, run.middle.middle),
                     full_probe_change(specimen.mesh, load_case.travel_probe, tenth.poses, middle_tenth.middle));
}

}  // namespace

const mesh::LoadCase* motion_case(const Specimen& specimen, models::Motion motion) {
  for (const mesh::LoadCase& load_case : specimen.mesh.program.cases)
    if (load_case.kind == mesh::LoadKind::motion && load_case.id == models::name(motion)) return &load_case;
  return nullptr;
}

double small_factor(const mesh::LoadCase& load_case) {
  const bool turns = load_case.kind == mesh::LoadKind::motion || load_case.kind == mesh::LoadKind::combined;
  const double small = turns ? kNeutralMoment_Nmm : kNeutralForce_N;
  return load_case.magnitude == 0.0 ? 0.0 : small / std::abs(load_case.magnitude);
}

FullMiddle find_middle(const Specimen& specimen, const mesh::LoadCase& load_case, double regularisation,
                       full::Workspace& work) {
  return middle_from(specimen, load_case, specimen.start, specimen.start, regularisation, work);
}
FullMiddle refine_middle(const Specimen& specimen, const mesh::LoadCase& load_case, const FullMiddle& from,
                         double regularisation, full::Workspace& work) {
  return middle_from(specimen, load_case, from.plus, from.minus, regularisation, work);
}

full::Poses mean_of(const std::vector<const full::Poses*>& all) {
  if (all.empty()) return {};
  full::Poses out = *all.front();
  if (all.size() == 1) return out;
  for (std::size_t i = 0; i < out.size(); ++i) {
    Eigen::Vector3d position = Eigen::Vector3d::Zero();
    Eigen::Matrix3d rotation = Eigen::Matrix3d::Zero();
    for (const full::Poses* poses : all) {
      position += (*poses)[i].position_mm / static_cast<double>(all.size());
      rotation += (*poses)[i].rotation;
    }
    out[i] = {.position_mm = position, .rotation = full::polar_rotation(rotation)};
  }
  return out;
}

core::LaxProbe probe_mode(const Specimen& specimen, const full::State& at, const core::Mode& mode, double push_N,
                          full::Workspace& work) {
  core::LaxProbe probe;
  const full::Model& model = specimen.model;
  full::LoadPath push{.constant = specimen.constant, .growing = {}};
  for (std::size_t i = 0; i < model.first_dof.size(); ++i) {
    const int first = model.first_dof[i];
    if (first < 0) continue;
    const mesh::BodyId body{static_cast<int>(i)};
    const Eigen::Vector3d slide = mode.shape.segment<3>(first);
    const Eigen::Vector3d turn = mode.shape.segment<3>(first + 3);
    if (slide.squaredNorm() > 0.0) push.growing.forces.push_back({.body = body, .force_N = push_N * slide});
    if (turn.squaredNorm() > 0.0)
      push.growing.moments.push_back({.body = body,
                                      .moment_Nmm = push_N * core::kRotationScale_mm * core::kRotationScale_mm * turn,
                                      .zero_rotation = full::pose_of(at.poses, body).rotation});
  }
  double travel = 0.0;
  for (const double sign : {1.0, -1.0}) {
    full::State near = at;
    near.branch.clear();
    const auto moved_to = [&](double factor, double regularisation, full::State state) {
      if (!solve_at(specimen, push, sign * factor, regularisation, work, state))
        return std::numeric_limits<double>::infinity();
      near = state;
      const Eigen::VectorXd motion = full::motion_between(model, at.poses, state.poses);
      double along = 0.0;
      for (int i = 0; i < model.dofs; ++i) {
        const double s = model.dof_scale[static_cast<std::size_t>(i)];
        along += s * mode.shape[i] * s * motion[i];
      }
      return sign * along;
    };
    const double at_push = moved_to(1.0, 1.0, near);
    if (!std::isfinite(at_push)) return probe;
    const full::State pushed = near;
    const double fading = moved_to(1.0, 0.1, pushed);
    if (!(fading < 2.0 * at_push)) return probe;
    const double compliance = (moved_to(1.0 + kPushStep, 1.0, pushed) - at_push) / kPushStep;
    travel += std::max(at_push - compliance, 0.0);
  }
  probe.stiffens = true;
  probe.travel = 0.5 * travel;
  return probe;
}

std::optional<full::State> a_little_further(const Specimen& specimen, const mesh::LoadCase& load_case, const FullRun& run,
                                            full::Workspace& work) {
  if (!run.has_state() || run.path.end != full::PathEnd::reached) return std::nullopt;
  full::State state = run.last();
  if (!solve_at(specimen, load_path(specimen, load_case), 1.0 + kFurther, 1.0, work, state)) return std::nullopt;
  return state;
}

/// One attempt each way, soon given up.
FullMiddle rough_middle(const Specimen& specimen, const mesh::LoadCase& load_case, full::Workspace& work) {
  FullMiddle out{.plus = specimen.start, .minus = specimen.start, .middle = specimen.start.poses};
  const full::LoadPath load = load_path(specimen, load_case);
  const double factor = small_factor(load_case);
  const full::SolveOptions options{.max_iterations = kFewIterations};
  const full::SolveOutcome plus = full::solve(specimen.model, load, factor, options, work, out.plus);
  if (!plus) return out;
  const full::SolveOutcome minus = full::solve(specimen.model, load, -factor, options, work, out.minus);
  out.found = static_cast<bool>(minus);
  out.caps_settled = plus.caps_settled && minus.caps_settled;
  if (out.found)
    for (std::size_t i = 0; i < out.middle.size(); ++i)
      out.middle[i] = full::half_way(out.plus.poses[i], out.minus.poses[i]);
  return out;
}

bool opposed(const mesh::LoadCase& a, const mesh::LoadCase& b) {
  return a.kind == b.kind && a.loads.size() == b.loads.size() &&
         std::equal(a.loads.begin(), a.loads.end(), b.loads.begin(), [](const auto& one, const auto& other) {
           return one.at.body == other.at.body && one.at.point_mm == other.at.point_mm && one.force_N == -other.force_N &&
                  one.moment_Nmm == -other.moment_Nmm;
         });
}

FullRun run_load(const Specimen& specimen, const mesh::LoadCase& load_case, int steps, Look look, full::Workspace& work,
                 const FullMiddle* opposite, double waypoint_tolerance) {
  FullRun run;
  const full::LoadPath load = load_path(specimen, load_case);
  const bool roughly = look == Look::roughly;
  if (opposite != nullptr && (opposite->found || roughly)) {
    run.middle = *opposite;
    std::swap(run.middle.plus, run.middle.minus);
  } else {
    run.middle = roughly ? rough_middle(specimen, load_case, work) : find_middle(specimen, load_case, 1.0, work);
  }
  if (roughly && !run.middle.found) {
    run.evidence.full = true;
    run.evidence.load_fraction = 0.0;
    run.verdict = judge_full(run.evidence);
    return run;
  }
  full::PathOptions options{.steps = steps,
                            .lax_to = small_factor(load_case),
                            .waypoint_tolerance = waypoint_tolerance,
                            .near_first = run.middle.found ? &run.middle.plus.poses : nullptr};
  if (roughly) {
    options.solve.max_iterations = kFewIterations;
    options.smallest_step = kCoarseStep;
  }
  run.path = full::follow(specimen.model, load, specimen.start, options, work);
  if (!roughly)
    look_past_limit_point(run.path, specimen, load, work);
  else if (run.path.end == full::PathEnd::limit_point)
    run.path.end = full::PathEnd::no_answer;  // nothing was tried to tell a limit from numerics that give up
  Evidence& evidence = run.evidence;
  evidence.full = true;
  evidence.iterations = run.path.iterations;
  evidence.load_fraction = run.path.reached();
  evidence.converged = run.middle.found && run.path.end != full::PathEnd::no_answer && run.has_state();
  if (run.has_state()) evidence.residual = run.outcome().residual;
  const bool stopped = run.path.end == full::PathEnd::limit_point || run.path.end == full::PathEnd::escaped;
  if (stopped) {
    evidence.converged = true;
    evidence.escapes = true;
    evidence.escape = motion_words(specimen, run.path.escape, Sense::one_way);
    if (run.middle.found) look_at_snaps_beyond(run, specimen);
  }
  if (!run.middle.found && run.path.end == full::PathEnd::reached) evidence.converged = false;
  if (!evidence.converged || evidence.escapes) {
    run.verdict = judge_full(evidence);
    return run;
  }
  run.figures = read_full_figures(specimen.mesh, run.last().poses, run.middle.middle);
  look_beyond(evidence.beyond, specimen.mesh, run.figures);
  const FullFigures rest = read_full_figures(specimen.mesh, specimen.start.poses, specimen.built.poses);
  look_beyond(evidence.rest_beyond, specimen.mesh, rest);
  if (!evidence.beyond.empty()) look_at_floating_beyond(run, specimen, load, work);
  if (!evidence.beyond.empty()) {
    evidence.escape =
        motion_words(specimen, full::motion_between(specimen.model, run.middle.middle, run.last().poses), Sense::one_way);
    run.verdict = judge_full(evidence);
    return run;
  }
  look_aside(evidence, load_case, run.figures);
  evidence.from_rest = run.middle.from_rest;
  evidence.caps_settled = run.middle.caps_settled && run.outcome().caps_settled && run.path.caps_settled;
  evidence.stands = run.outcome().positive;
  for (const full::Snap& snap : run.path.snaps)
    (snap.moved_mm < kLargestToldSnap_mm ? evidence.small_snaps : evidence.snaps)
        .push_back(
            {.what = motion_words(specimen, snap.motion, Sense::one_way), .figure = figure(100.0 * snap.factor, 0) + " %"});
  evidence.slipping = listed(slipping(specimen, run.last()));
  const full::PartEnergy energy = full::energy_by_part(specimen.model, run.last(), work);
  double strands = 0.0;
  double total = energy.regularisation_Nmm;
  for (std::size_t i = 0; i < energy.law_Nmm.size(); ++i) {
    total += energy.law_Nmm[i];
    if (specimen.model.laws[i].strand) strands += energy.law_Nmm[i];
  }
  for (const double part : energy.linear_Nmm) total += part;
  if (total > 0.0) {
    evidence.strand_share = strands / total;
    evidence.regularisation_share = energy.regularisation_Nmm / total;
  }
  run.metal_turn_rad = full::largest_gauge_rotation(specimen.model, run.last(), work);
  if (look != Look::closely) {
    run.verdict = judge_full(evidence);
    return run;
  }
  // What friction that had not settled on the way has left behind, the same way in finer steps tells.
  if (slid(specimen, run) && look_at_steps(run, specimen, load, options, work))
    evidence.caps_settled = run.middle.caps_settled && run.outcome().caps_settled;
  look_at_regularisation(run, specimen, load_case, load, work);
  core::Modes modes;
  const std::vector<core::Mode> floating = floating_at_end(run, specimen, load, work, modes);
  if (!evidence.escapes) run.floating = floating;
  if ((evidence.regularisation_share >= kMostRegularisationShare || !evidence.moved_figure.empty()) &&
      !modes.softest.empty())
    evidence.regularised_mode = motion_words(specimen, modes.softest.front().shape, Sense::both_ways);
  run.verdict = judge_full(evidence);
  return run;
}

}  // namespace opisthion::study
