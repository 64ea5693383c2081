// SPDX-License-Identifier: MIT
#include "solver/study/full/hybrid.hpp"

#include <algorithm>
#include <cmath>

#include "models/quantity/units.hpp"
#include "solver/core/full/controlled.hpp"
#include "solver/study/compare.hpp"
#include "solver/study/figure.hpp"
#include "solver/study/full/run.hpp"
#include "solver/study/full/specimen_words.hpp"

namespace opisthion::study {
namespace {

namespace full = core::full;

constexpr int kMostLegs = 6;
constexpr double kLeastSlope = 0.2;
constexpr double kCloseEnough_deg = 0.05;

/// Turn of the top from one pose to another about a global axis [rad].
double turn_about(const Specimen& specimen, const Eigen::Vector3d& axis, const full::Poses& from, const full::Poses& to) {
  const mesh::BodyId top = specimen.mesh.top;
  return axis.dot(full::log_rotation(full::pose_of(to, top).rotation * full::pose_of(from, top).rotation.transpose()));
}

/// What makes a path doubtful although it came to its end; empty: nothing.
std::string what_it_met(const full::ControlOutcome& path) {
  if (path.snaps > 0) return "the neck snaps on the way";
  for (const full::ControlledStep& step : path.steps) {
    if (!step.stable) return "on the way it is unstable even while the turn is held";
    if (!step.outcome.caps_settled) return "on the way friction does not settle with the forces that it feeds on";
  }
  return {};
}

/// metal_turn_deg: of condensed metal within its own frame, at the end.
HybridMotion turned_as_far(const Specimen& specimen, const mesh::LoadCase& load_case, models::Motion motion,
                           double target_deg, full::Workspace& work, double& metal_turn_deg) {
  HybridMotion out{.target_deg = target_deg};
  metal_turn_deg = 0.0;
  const FullMiddle middle = find_middle(specimen, load_case, 1.0, work);
  if (!middle.found) {
    out.reason = "no neutral is found to turn from";
    return out;
  }
  const Eigen::Vector3d axis = models::moment_axis(motion);
  // Rotations count from the middle, the path from the start.
  const double travel_rad =
      models::kRad_per_deg * target_deg + turn_about(specimen, axis, specimen.start.poses, middle.middle);
  full::ControlOptions options;
  options.to = travel_rad;
  options.steps = specimen.mesh.program.steps;
  FullFigures figures;
  full::ControlOutcome path;
  // What is prescribed is the rotation vector's component from the start; what is asked for is the Cardan angle from
  // neutral.
  double before_rad = travel_rad - models::kRad_per_deg * target_deg;  // the neutral, where nothing is turned
  double before_deg = 0.0;
  std::string met;
  full::State from = specimen.start;
  double from_rad = 0.0;  // of its travel
  for (int round = 0; round < kMostLegs; ++round) {
    full::ControlOptions leg = options;
    leg.to = options.to - from_rad;
    path = full::follow_controlled(specimen.model, load_path(specimen, load_case), from, leg, work);
    if (path.steps.empty() || path.end != full::ControlEnd::reached) {
      out.reason =
          path.end == full::ControlEnd::escaped ? "on the way a bone runs away" : "no equilibrium is found on the way";
      return out;
    }
    met = what_it_met(path);
    figures = read_full_figures(specimen.mesh, path.steps.back().state.poses, middle.middle);
    out.reached_deg = rotation_deg(figures.overall, motion);
    if (std::abs(out.reached_deg - target_deg) < kCloseEnough_deg) break;
    // Secant: a neck that leaves the plane of its load turns by less about its axis than what is prescribed.
    const double grown_deg = models::to_deg(options.to - before_rad);
    const double gained_deg = out.reached_deg - before_deg;
    const double slope = std::clamp(grown_deg != 0.0 ? gained_deg / grown_deg : 1.0, kLeastSlope, 1.0 / kLeastSlope);
    before_rad = options.to;
    before_deg = out.reached_deg;
    if (specimen.model.frictions.empty() && met.empty()) {  // nothing remembers the way: on from here
      from = path.steps.back().state;
      from_rad = options.to;
      options.from_factor = path.steps.back().factor;
      options.steps = 1;
    }
    options.to += models::kRad_per_deg * (target_deg - out.reached_deg) / slope;
  }
  const full::ControlledStep& last = path.steps.back();
  out.moment_Nm = last.factor * models::to_Nm(std::abs(load_case.magnitude));
  metal_turn_deg = models::to_deg(full::largest_gauge_rotation(specimen.model, last.state, work));
  if (!last.stable)
    out.reason = "unstable even while the turn is held";
  else if (!met.empty())
    out.reason = met;
  else if (std::abs(out.reached_deg - target_deg) >= kCloseEnough_deg)
    out.reason = "what is reached is " + figure(out.reached_deg, 1) + " deg";
  else if (out.moment_Nm > models::to_Nm(models::kLargestMoment_Nmm))
    out.reason =
        "takes more than the " + figure(models::to_Nm(models::kLargestMoment_Nmm), 0) + " N m that a bench may ask for";
  out.status = out.reason.empty() ? Status::solved : Status::approximate;
  for (const JointMotion& joint : joint_motions(specimen.mesh, figures, motion))
    out.joints.push_back({.joint = joint.joint, .rotation_deg = joint.rotation_deg});
  return out;
}

}  // namespace

void add_hybrid(ConstructResult& result, const ConstructResult& intact, const models::Case& the_case,
                const models::Construct& construct, const models::ParameterTable& parameters, const AssessOptions& options) {
  const auto built = build_parts(the_case, construct, parameters, options.rod_elements_per_span);
  if (!built) return;
  const auto specimen = make_specimen(*built, {});
  if (!specimen) return;
  const full::WorkspacePtr work = full::make_workspace(specimen->model);
  tl::expected<Specimen, Unready> beams = tl::unexpected(Unready{});  // beam by beam: made when the first motion asks for it
  full::WorkspacePtr their_work;
  for (MotionResult& motion : result.motions) {
    const auto same = std::find_if(intact.motions.begin(), intact.motions.end(),
                                   [&motion](const MotionResult& one) { return one.motion == motion.motion; });
    if (same == intact.motions.end() || same->status != Status::solved) continue;
    const mesh::LoadCase* load_case = motion_case(*specimen, motion.motion);
    if (load_case == nullptr) continue;
    double metal_turn_deg = 0.0;
    HybridMotion hybrid = turned_as_far(*specimen, *load_case, motion.motion, same->rotation_deg, *work, metal_turn_deg);
    if (metal_turn_deg > kMostMetalTurn_deg) {
      if (!their_work) {
        beams = make_specimen(*built, {.metal = Metal::corotational, .follower = &specimen->follower});
        if (beams) their_work = full::make_workspace(beams->model);
      }
      HybridMotion whole{.reason = "it cannot be assembled"};
      double none_deg = 0.0;
      if (beams)
        whole = turned_as_far(*beams, *motion_case(*beams, motion.motion), motion.motion, same->rotation_deg, *their_work,
                              none_deg);
      if (has_figure(whole.status)) {
        hybrid = std::move(whole);
      } else if (has_figure(hybrid.status)) {
        hybrid.status = Status::approximate;
        hybrid.reason = "condensed metal turns by " + figure(metal_turn_deg, 1) +
                        " deg within its own frame, and beam by beam " + whole.reason;
      }
    }
    motion.hybrid = std::move(hybrid);
  }
}

}  // namespace opisthion::study
