// SPDX-License-Identifier: MIT
#include "solver/study/full/hybrid.hpp"

#include <algorithm>
#include <cmath>

#include "models/quantity/units.hpp"
#include "solver/core/full/controlled.hpp"
#include "solver/study/full/run.hpp"
#include "solver/study/full/specimen_words.hpp"

namespace opisthion::study {
namespace {

namespace full = core::full;

constexpr int kMostRounds = 4;
constexpr double kCloseEnough_deg = 0.05;

/// Turn of the top from one pose to another about a global axis [rad].
double turn_about(const Specimen& specimen, const Eigen::Vector3d& axis, const full::Poses& from, const full::Poses& to) {
  const mesh::BodyId top = specimen.mesh.top;
  return axis.dot(full::log_rotation(full::pose_of(to, top).rotation * full::pose_of(from, top).rotation.transpose()));
}

HybridMotion turned_as_far(const Specimen& specimen, const mesh::LoadCase& load_case, models::Motion motion,
                           double target_deg, full::Workspace& work) {
  HybridMotion out{.target_deg = target_deg};
  const FullMiddle middle = find_middle(specimen, load_case, 1.0, work);
  if (!middle.found) return out;
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
  for (int round = 0; round < kMostRounds; ++round) {
    path = full::follow_controlled(specimen.model, load_path(specimen, load_case), specimen.start, options, work);
    if (path.steps.empty() || path.end != full::ControlEnd::reached) return out;
    figures = read_full_figures(specimen.mesh, path.steps.back().state.poses, middle.middle);
    out.reached_deg = rotation_deg(figures.overall, motion);
    if (std::abs(out.reached_deg - target_deg) < kCloseEnough_deg) break;
    options.to += models::kRad_per_deg * (target_deg - out.reached_deg);
  }
  const full::ControlledStep& last = path.steps.back();
  out.moment_Nm = last.factor * models::to_Nm(std::abs(load_case.magnitude));
  const double metal_deg = models::to_deg(full::largest_gauge_rotation(specimen.model, last.state, work));
  const bool trusted = last.stable && std::abs(out.reached_deg - target_deg) < kCloseEnough_deg &&
                       out.moment_Nm <= models::to_Nm(models::kLargestMoment_Nmm) &&
                       metal_deg <= most_metal_turn_deg(specimen);
  out.status = trusted ? Status::solved : Status::approximate;
  for (const JointMotion& joint : joint_motions(specimen.mesh, figures, motion))
    out.joints.push_back({.joint = joint.joint, .rotation_deg = joint.rotation_deg});
  return out;
}

}  // namespace

void add_hybrid(ConstructResult& result, const ConstructResult& intact, const models::Case& the_case,
                const models::Construct& construct, const models::ParameterTable& parameters, const AssessOptions& options) {
  const auto specimen =
      make_specimen(the_case, construct, parameters, {.rod_elements_per_span = options.rod_elements_per_span});
  if (!specimen) return;
  const full::WorkspacePtr work = full::make_workspace(specimen->model);
  for (MotionResult& motion : result.motions) {
    const auto same = std::find_if(intact.motions.begin(), intact.motions.end(),
                                   [&motion](const MotionResult& one) { return one.motion == motion.motion; });
    if (same == intact.motions.end() || same->status != Status::solved) continue;
    for (const mesh::LoadCase& load_case : specimen->mesh.program.cases)
      if (load_case.kind == mesh::LoadKind::motion && load_case.id == models::name(motion.motion))
        motion.hybrid = turned_as_far(*specimen, load_case, motion.motion, same->rotation_deg, *work);
  }
}

}  // namespace opisthion::study
