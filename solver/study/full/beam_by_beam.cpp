// SPDX-License-Identifier: MIT
#include "solver/study/full/beam_by_beam.hpp"

#include <algorithm>
#include <cmath>

#include "models/quantity/units.hpp"
#include "solver/core/beam.hpp"
#include "solver/study/full/full_verdict.hpp"
#include "solver/study/neutral.hpp"

namespace opisthion::study {
namespace {

namespace full = core::full;
using mesh::Matrix3;
using mesh::Vector3;
using mesh::Vector6;

// How far an end may lie from that of condensed metal. Condensing errs by some per cent; what differs by more has gone to
// another equilibrium. With friction the end hangs on the way there, too, and the way was condensed: only what is corrected
// by less than condensing may err is taken (measured: it is then off by at most 0.45 of that, 0.81 in a joint).
struct Correction {
  double share, turn_deg, slide_mm;
};
constexpr Correction kMost{.share = 0.2, .turn_deg = 1.0, .slide_mm = 1.0};
constexpr Correction kMostWithFriction{.share = 0.02, .turn_deg = 0.05, .slide_mm = 0.05};

/// A component's frame at a state: middle of its ports, rotation, deformation.
struct Frame {
  Vector3 middle_mm = Vector3::Zero();
  Matrix3 rotation = Matrix3::Identity();
  Eigen::VectorXd d{};  ///< six a port, at its point, in the frame
};

Frame frame_of(const full::GaugeElement& element, const full::Poses& poses, full::GaugeWork& work) {
  full::deformation(element, poses, work);
  Frame out{.rotation = work.gauge, .d = work.d};
  double sum = 0.0;
  for (const full::GaugePort& port : element.ports) {
    const full::Pose& pose = full::pose_of(poses, port.body);
    out.middle_mm += port.position_weight * (pose.position_mm + pose.rotation * port.arm_mm);
    sum += port.position_weight;
  }
  out.middle_mm /= sum;
  return out;
}

/// Whether one could be the other's correction.
bool near_by(const PoseFigures& before, const PoseFigures& after, const Correction& most) {
  const double turn_deg = models::to_deg(before.vector_rad.norm());
  const double slide_mm = before.translation_mm.norm();
  const double turned_deg = models::to_deg((after.vector_rad - before.vector_rad).norm());
  const double slid_mm = (after.translation_mm - before.translation_mm).norm();
  return turned_deg <= std::max(most.turn_deg, most.share * turn_deg) &&
         slid_mm <= std::max(most.slide_mm, most.share * slide_mm);
}

bool near_by(const FullFigures& before, const FullFigures& after, const Correction& most) {
  if (!near_by(before.overall, after.overall, most)) return false;
  for (std::size_t i = 0; i < before.joints.size(); ++i)
    if (!near_by(before.joints[i], after.joints[i], most)) return false;
  return true;
}

/// Whether anything may slide and so remembers its way.
bool rubs(const full::Model& model) {
  return std::any_of(model.frictions.begin(), model.frictions.end(),
                     [](const full::FrictionElement& friction) { return !friction.bonded && friction.cap_per_N > 0.0; });
}

}  // namespace

full::State expanded(const Specimen& condensed, const Specimen& beams, const full::State& state) {
  full::State out = state;
  out.poses = beams.start.poses;
  for (std::size_t i = 0; i < out.poses.size(); ++i)
    if (condensed.model.first_dof[i] >= 0) out.poses[i] = state.poses[i];
  // Assembly may have stored slip a little differently; what the load has added is the same.
  for (std::size_t i = 0; i < out.slip.size(); ++i) out.slip[i] += beams.start.slip[i] - condensed.start.slip[i];
  full::GaugeWork work;
  for (std::size_t c = 0; c < condensed.components.size(); ++c) {
    const core::CondensedComponent& part = condensed.components[c];
    if (part.interior.empty()) continue;
    const full::GaugeElement& element = condensed.model.linear[c];
    const Frame from = frame_of(element, condensed.start.poses, work);
    const Frame to = frame_of(element, state.poses, work);
    const Eigen::VectorXd change = to.d - from.d;
    Eigen::VectorXd at_bodies(change.size());
    for (std::size_t i = 0; i < part.ports.size(); ++i) {
      const auto row = static_cast<Eigen::Index>(6 * i);
      at_bodies.segment<6>(row) = core::rigid_arm(-element.ports[i].arm_mm) * change.segment<6>(row);
    }
    const Eigen::VectorXd inner = part.recovery * at_bodies;
    const Matrix3 carried = to.rotation * from.rotation.transpose();
    for (std::size_t i = 0; i < part.interior.size(); ++i) {
      const Vector6 own = inner.segment<6>(static_cast<Eigen::Index>(6 * i));
      full::Pose& pose = out.poses[static_cast<std::size_t>(part.interior[i].value)];
      pose.position_mm = to.middle_mm + carried * (pose.position_mm - from.middle_mm) + to.rotation * Vector3(own.head<3>());
      pose.rotation = to.rotation * full::exp_rotation(own.tail<3>()) * from.rotation.transpose() * pose.rotation;
    }
  }
  return out;
}

bool end_beam_by_beam(FullRun& run, const Specimen& condensed, const Specimen& beams, const mesh::LoadCase& load_case,
                      full::Workspace& beams_work, const FullMiddle* opposite) {
  if (!run.has_state() || run.path.end != full::PathEnd::reached || !run.middle.found ||
      run.last().slip.size() != beams.start.slip.size() || beams.model.frictions.size() != condensed.model.frictions.size())
    return false;
  FullMiddle middle;
  if (opposite != nullptr && opposite->found) {
    middle = *opposite;
    std::swap(middle.plus, middle.minus);
  } else {
    const FullMiddle from{.plus = expanded(condensed, beams, run.middle.plus),
                          .minus = expanded(condensed, beams, run.middle.minus)};
    middle = refine_middle(beams, load_case, from, 1.0, beams_work);
  }
  full::State state = expanded(condensed, beams, run.last());
  const full::SolveOutcome outcome =
      full::solve(beams.model, load_path(beams, load_case), run.path.reached(), {}, beams_work, state);
  run.path.iterations += outcome.iterations;
  if (!outcome || !outcome.positive || !middle.found) return false;
  const FullFigures figures = read_full_figures(beams.mesh, state.poses, middle.middle);
  if (!near_by(run.figures, figures, rubs(beams.model) ? kMostWithFriction : kMost)) return false;
  full::commit(beams.model, state);
  run.evidence.caps_settled = run.evidence.caps_settled && outcome.caps_settled && middle.caps_settled;
  run.evidence.residual = outcome.residual;
  run.middle = std::move(middle);
  run.path.steps.back().state = std::move(state);
  run.path.steps.back().outcome = outcome;
  run.figures = figures;
  run.verdict = judge_full(run.evidence);
  return true;
}

}  // namespace opisthion::study
