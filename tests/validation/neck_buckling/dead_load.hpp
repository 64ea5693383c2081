// SPDX-License-Identifier: MIT
#pragma once
// Bare intact necks under a growing dead weight on their top, for the tests beside it.
#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <optional>
#include <string>

#include "models/case/neck_alone.hpp"
#include "models/quantity/units.hpp"
#include "solver/study/full/run.hpp"
#include "solver/study/naming.hpp"
#include "solver/study/neutral.hpp"
#include "tests/support/example.hpp"

namespace opisthion::tests {

namespace full = core::full;

struct Where {
  models::AxialLine line = models::AxialLine::condyles;
  double forward_mm = 0.0;
  double above_mm = 0.0;
};

/// Where a head's weight acts: some 20 mm forward of the condyles and 40 mm above them (from memory; a point of the
/// template of the bench, too).
inline constexpr Where kHead{.line = models::AxialLine::condyles, .forward_mm = 20.0, .above_mm = 40.0};
inline models::Case bare_neck(models::Level top, models::Level bottom) {
  models::Case out{.name = "an intact neck without metal"};
  out.neck.upper = top;
  out.neck.lower = bottom;
  out.bench.top = top;
  out.bench.bottom = bottom;
  return out;
}

inline study::Specimen specimen_of(const models::Case& the_case) {
  auto made = study::make_specimen(the_case, models::bare_construct(models::kIntactRow), library(), {});
  if (!made) FAIL(made.error().reason);
  return std::move(*made);
}

/// A neck under a weight of one newton times the load factor.
class Weighed {
 public:
  Weighed(models::Level top, models::Level bottom, const Where& where, double regularisation = 1.0, double follower_N = 0.0)
      : regularisation_(regularisation) {
    models::Case the_case = bare_neck(top, bottom);
    the_case.bench.axial.push_back({.level = top, .force_N = 1.0, .line = where.line});
    if (follower_N > 0.0) the_case.bench.follower = models::FollowerLoad{.force_N = follower_N};
    specimen_ = specimen_of(the_case);
    work_ = full::make_workspace(specimen_.model);
    for (const mesh::LoadCase& load_case : specimen_.mesh.program.cases)
      if (load_case.kind == mesh::LoadKind::axial && load_case.magnitude < 0.0)
        load_ = study::load_path(specimen_, load_case);
    REQUIRE(load_.growing.forces.size() == 1);
    arm_mm_ = load_.growing.forces.front().arm_mm;
    move_line(where.forward_mm, where.above_mm);
  }

  void move_line(double forward_mm, double above_mm) {
    load_.growing.forces.front().arm_mm = arm_mm_ + Eigen::Vector3d(forward_mm, 0.0, above_mm);
  }

  full::PathOutcome path(double to_N, int steps) {
    return full::follow(
        specimen_.model, load_, specimen_.start,
        {.solve = {.regularisation = regularisation_}, .to = to_N, .steps = steps, .lax_to = study::kNeutralForce_N},
        *work_);
  }
  full::SolveOutcome settle(double weight_N, full::State& state) {
    return full::solve(specimen_.model, load_, weight_N, {.regularisation = regularisation_}, *work_, state);
  }

  const study::Specimen& specimen() const { return specimen_; }
  study::FullFigures figures(const full::State& state) const {
    return study::read_full_figures(specimen_.mesh, state.poses, specimen_.start.poses);
  }
  /// Turn of the top since the unloaded neck [deg], signed by flexion.
  double flexion_deg(const full::State& state) const { return models::to_deg(figures(state).overall.cardan_rad.x()); }
  /// How far it has left the midplane [deg].
  double sideways_deg(const full::State& state) const {
    const Eigen::Vector3d turn = figures(state).overall.vector_rad;
    return models::to_deg(std::hypot(turn.x(), turn.z()));
  }
  core::Mode softest(double weight_N, const full::State& state) {
    Eigen::MatrixXd tangent;
    full::tangent_at(specimen_.model, load_, weight_N, regularisation_, state, *work_, tangent);
    tangent = 0.5 * (tangent + tangent.transpose()).eval();
    return core::softest_modes(tangent, specimen_.model.dof_scale, 1).softest.front();
  }
  double regularisation_share(const full::State& state) {
    const full::PartEnergy energy = full::energy_by_part(specimen_.model, state, *work_);
    double total = energy.regularisation_Nmm;
    for (const double part : energy.law_Nmm) total += part;
    for (const double part : energy.linear_Nmm) total += part;
    return energy.regularisation_Nmm / total;
  }
  std::string words(const Eigen::VectorXd& motion, study::Sense sense) const {
    return study::describe(study::largest_relative_motion(specimen_.mesh, specimen_.numbering, motion), sense);
  }

 private:
  double regularisation_;
  study::Specimen specimen_{};
  full::WorkspacePtr work_{};
  full::LoadPath load_{};
  Eigen::Vector3d arm_mm_ = Eigen::Vector3d::Zero();
};

inline constexpr double kLeftMidplane_deg = 0.01;

/// By fresh solves from the unloaded neck, five steps each: the lightest weight under which it does not stay in the
/// midplane.
inline double leaves_midplane_N(Weighed& neck, double least_N = 10.0, double most_N = 40.0) {
  double stands_N = least_N, folds_N = most_N;
  while (folds_N - stands_N > 0.02) {
    const double weight_N = 0.5 * (stands_N + folds_N);
    const full::PathOutcome path = neck.path(weight_N, 5);
    REQUIRE_FALSE(path.steps.empty());
    const bool folded = path.end != full::PathEnd::reached || neck.sideways_deg(path.steps.back().state) > kLeftMidplane_deg;
    (folded ? folds_N : stands_N) = weight_N;
  }
  return 0.5 * (stands_N + folds_N);
}

/// First joint that is beyond its physical end, empty where none is.
inline std::string beyond_end(const study::Specimen& specimen, const study::FullFigures& figures) {
  for (std::size_t i = 0; i < figures.joints.size(); ++i) {
    const mesh::JointProbes& joint = specimen.mesh.joints[i];
    if (models::to_deg(figures.joints[i].vector_rad.cwiseAbs().maxCoeff()) > joint.physical_end_deg) return joint.name;
  }
  return {};
}

}  // namespace opisthion::tests
