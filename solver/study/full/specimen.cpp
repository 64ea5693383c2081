// SPDX-License-Identifier: MIT
#include "solver/study/full/specimen.hpp"

#include <algorithm>
#include <cmath>

#include "models/quantity/units.hpp"
#include "solver/study/figure.hpp"
#include "solver/study/full/follower.hpp"
#include "solver/study/naming.hpp"
#include "solver/study/neutral.hpp"

namespace opisthion::study {
namespace {

namespace full = core::full;

constexpr int kPreloadSteps = 10;
constexpr double kMostPlay_mm = 4.0;  // a jump up to it is a joint's play: C1 slides 2 mm on C2 before anything holds it

core::ReducedModel numbering_of(const full::Model& model) {
  core::ReducedModel out;
  out.first_dof = model.first_dof;
  out.dofs = model.dofs;
  out.dof_scale = model.dof_scale;
  return out;
}

/// After assembly: wires are seated and screws lagged as they are, and only then friction is taken to its limits.
void set_friction(full::Model& model, FrictionLevel level) {
  if (level == FrictionLevel::nominal) return;
  for (full::FrictionElement& friction : model.frictions) {
    friction.bonded = level == FrictionLevel::stuck;
    if (level == FrictionLevel::frictionless) friction.cap_per_N = 0.0;
  }
}

/// Wires that have lost their tension: nothing pulls them tight, and they hold once they are drawn out again.
void set_wires(mesh::System& system, WireState wires) {
  if (wires == WireState::fresh) return;
  for (mesh::Strand& strand : system.strands) strand.tighten_N = 0.0;
}

std::string escape_words(const Specimen& specimen, const Eigen::VectorXd& escape) {
  if (escape.size() != specimen.model.dofs) return {};
  return ": " + describe(largest_relative_motion(specimen.mesh, specimen.numbering, escape), Sense::one_way);
}

Unready not_assembled(const Specimen& specimen, const full::Assembled& assembled) {
  if (assembled.status == core::AssemblyStatus::runs_away)
    return {.status = Status::mechanism,
            .reason = "tightening pulls a part away and nothing stops it" + escape_words(specimen, assembled.escape)};
  return {.status = Status::no_answer,
          .reason = "tightening finds no equilibrium: " + std::to_string(assembled.outcome.iterations) +
                    (assembled.outcome.caps_settled ? " iterations" : " iterations, friction does not settle")};
}

full::MomentKind kind_of(mesh::MomentKind kind) {
  switch (kind) {
    case mesh::MomentKind::conservative:
      return full::MomentKind::conservative;
    case mesh::MomentKind::fixed_axis:
      return full::MomentKind::fixed_axis;
    case mesh::MomentKind::following:
      return full::MomentKind::following;
  }
  return full::MomentKind::conservative;
}

void add_load(const Specimen& specimen, const mesh::BodyLoad& load, full::Loads& out) {
  if (load.force_N.squaredNorm() > 0.0)
    out.forces.push_back({.body = load.at.body,
                          .arm_mm = load.at.point_mm - mesh::body(specimen.mesh.system, load.at.body).position_mm,
                          .force_N = load.force_N});
  if (load.moment_Nmm.squaredNorm() > 0.0)
    out.moments.push_back({.body = load.at.body,
                           .moment_Nmm = load.moment_Nmm,
                           .kind = kind_of(specimen.mesh.program.moment_kind),
                           .zero_rotation = full::pose_of(specimen.start.poses, load.at.body).rotation});
}

/// The part of it that only takes up what lax joints leave free.
double lax_factor(const full::Loads& constant) {
  double most_N = 0.0;
  for (const full::PointForce& force : constant.forces) most_N = std::max(most_N, force.force_N.norm());
  return most_N > 0.0 ? std::min(kNeutralForce_N / most_N, 1.0) : 0.0;
}

/// Preload comes on in steps, so that what it buckles is seen where it happens.
tl::expected<full::State, Unready> under_constant(const Specimen& specimen) {
  if (specimen.constant.forces.empty() && specimen.constant.moments.empty()) return specimen.start;
  const full::WorkspacePtr work = full::make_workspace(specimen.model);
  const full::PathOutcome path = full::follow(specimen.model, {.constant = {}, .growing = specimen.constant}, specimen.start,
                                              {.steps = kPreloadSteps, .lax_to = lax_factor(specimen.constant)}, *work);
  const auto fold = std::find_if(path.snaps.begin(), path.snaps.end(),
                                 [](const full::Snap& snap) { return snap.moved_mm > kMostPlay_mm; });
  const bool folds = fold != path.snaps.end();
  if (path.end == full::PathEnd::reached && !folds) return path.steps.back().state;
  if (path.end == full::PathEnd::no_answer)
    return tl::unexpected(Unready{
        .status = Status::no_answer,
        .reason = "no equilibrium found under what the bench puts on: " + std::to_string(path.iterations) + " iterations"});
  const double reached = folds ? fold->factor : path.reached();
  const Eigen::VectorXd& way = folds ? fold->motion : path.escape;
  return tl::unexpected(Unready{.status = Status::mechanism,
                                .reason = "the neck buckles under what the bench puts on, at " + figure(100.0 * reached, 0) +
                                          " % of it" + escape_words(specimen, way)});
}

double largest(const std::vector<double>& of) {
  double most = 0.0;
  for (const double value : of) most = std::max(most, value);
  return most;
}

}  // namespace

double FollowerFit::largest_turn_deg() const {
  return largest(turn_deg);
}
double FollowerFit::largest_slide_mm() const {
  return largest(slide_mm);
}
double FollowerFit::furthest_forward_mm() const {
  return largest(forward_mm);
}
double FollowerFit::furthest_back_mm() const {
  double most = 0.0;
  for (const double forward : forward_mm) most = std::max(most, -forward);
  return most;
}
double FollowerFit::furthest_aside_mm() const {
  double most = 0.0;
  for (const double left : left_mm) most = std::max(most, std::abs(left));
  return most;
}

full::LoadPath load_path(const Specimen& specimen, const mesh::LoadCase& load_case) {
  full::LoadPath out{.constant = specimen.constant, .growing = {}};
  for (const mesh::BodyLoad& load : load_case.loads) add_load(specimen, load, out.growing);
  return out;
}

tl::expected<Specimen, Unready> make_specimen(Built built, const SpecimenOptions& options) {
  Specimen out;
  out.mesh = std::move(built.mesh);
  out.components = std::move(built.components);
  out.metal = options.metal;
  set_wires(out.mesh.system, options.wires);
  const int cable = add_follower(out.mesh);
  full::Assembled assembled = options.metal == Metal::condensed || out.components.empty()
                                  ? full::assemble(out.mesh.system, out.mesh.components, out.components)
                                  : full::assemble(out.mesh.system, out.mesh.components, {});
  out.numbering = numbering_of(assembled.model);
  out.model = std::move(assembled.model);
  out.assembly = assembled.status;
  if (!assembled) return tl::unexpected(not_assembled(out, assembled));
  out.friction_held = assembled.friction_held;
  out.stands = !assembled.unstable;
  out.built = full::reference_state(out.model);
  out.assembled = out.start = std::move(assembled.state);
  if (options.friction != FrictionLevel::nominal && !out.model.frictions.empty()) {
    set_friction(out.model, options.friction);
    const full::WorkspacePtr work = full::make_workspace(out.model);
    if (!full::solve(out.model, {}, 0.0, {}, *work, out.start))
      return tl::unexpected(
          Unready{.status = Status::mechanism, .reason = "without friction nothing holds what was tightened"});
    full::commit(out.model, out.start);
  }
  // Energies count from here also where nothing was assembled: a preload stores its own.
  if (out.model.assembled.poses.empty()) out.model.assembled = out.start;
  if (cable >= 0) {
    auto fit = tighten_follower(out, cable, options.follower);
    if (!fit) return tl::unexpected(fit.error());
    out.follower = std::move(*fit);
  }
  for (const mesh::BodyLoad& load : out.mesh.program.constant) add_load(out, load, out.constant);
  auto start = under_constant(out);
  if (!start) return tl::unexpected(start.error());
  out.start = std::move(*start);
  return out;
}

tl::expected<Specimen, Unready> make_specimen(const models::Case& the_case, const models::Construct& construct,
                                              const models::ParameterTable& parameters, const SpecimenOptions& options) {
  auto built = build_parts(the_case, construct, parameters, options.rod_elements_per_span);
  if (!built) return tl::unexpected(built.error());
  return make_specimen(std::move(*built), options);
}

}  // namespace opisthion::study
