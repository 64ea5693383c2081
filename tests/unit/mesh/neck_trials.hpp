// SPDX-License-Identifier: MIT
#pragma once
// A bare neck on the bench in small kinematics, for tests of what lies between the bones.
#include <Eigen/Geometry>
#include <catch2/catch.hpp>
#include <string>
#include <string_view>
#include <vector>

#include "mesh/build/build.hpp"
#include "models/quantity/units.hpp"
#include "solver/core/equilibrium.hpp"
#include "solver/core/reduced.hpp"
#include "tests/support/example.hpp"

namespace opisthion::tests {

/// A neck between two levels, its top loaded and its bottom held.
inline models::Case bare_neck(models::Level upper, models::Level lower, double moment_Nmm = 1000.0) {
  models::Case c;
  c.name = "bare neck";
  c.neck = {.upper = upper, .lower = lower};
  c.bench = {.top = upper, .bottom = lower, .moment_Nmm = moment_Nmm};
  c.constructs = {{.name = "none"}};
  return c;
}

inline models::Case with(models::Case c, std::vector<models::Instability> instabilities) {
  c.neck.instabilities = std::move(instabilities);
  return c;
}

inline mesh::Mesh built(const models::Case& c) {
  auto mesh = mesh::build(c, {.name = "none"}, tests::library());
  REQUIRE(mesh);
  return std::move(*mesh);
}

/// Equilibrium of a bare neck under loads.
class Trial {
 public:
  explicit Trial(mesh::Mesh m) : mesh_(std::move(m)), model_(core::reduce(mesh_.system, {})) {}
  explicit Trial(const models::Case& c) : Trial(built(c)) {}

  const mesh::Mesh& mesh() const { return mesh_; }
  const core::ReducedModel& model() const { return model_; }

  Eigen::VectorXd solve(const std::vector<mesh::BodyLoad>& loads, double factor = 1.0) const {
    core::EquilibriumWorkspace work;
    Eigen::VectorXd q = Eigen::VectorXd::Zero(model_.dofs);
    const Eigen::VectorXd load = factor * core::load_vector(mesh_.system, model_, loads);
    const auto outcome = core::solve_equilibrium(model_, load, {}, work, q);
    REQUIRE(outcome.status == core::SolveStatus::converged);
    return q;
  }
  Eigen::VectorXd solve(std::string_view motion, double factor = 1.0) const { return solve(loads(motion), factor); }

  /// How far a load can make the neck yield: the most that load . displacement - strain energy comes to [N mm]. Taking
  /// stiffness away can only raise it, whatever the laws are.
  double yielding(const std::vector<mesh::BodyLoad>& loads) const {
    core::EquilibriumWorkspace work;
    Eigen::VectorXd q = Eigen::VectorXd::Zero(model_.dofs);
    const Eigen::VectorXd load = core::load_vector(mesh_.system, model_, loads);
    const auto outcome = core::solve_equilibrium(model_, load, {}, work, q);
    REQUIRE(outcome.status == core::SolveStatus::converged);
    return load.dot(q) - outcome.energy_Nmm;
  }
  double yielding(std::string_view motion) const { return yielding(loads(motion)); }

  double read(std::string_view probe, const Eigen::VectorXd& q) const {
    const int i = mesh_.find_probe(probe);
    REQUIRE(i >= 0);
    return core::measure(mesh_.system, model_, mesh_.probes[static_cast<std::size_t>(i)], q);
  }
  double degrees(std::string_view probe, std::string_view motion, double factor = 1.0) const {
    return models::to_deg(read(probe, solve(motion, factor)));
  }

  const std::vector<mesh::BodyLoad>& loads(std::string_view motion) const {
    for (const mesh::LoadCase& load : mesh_.program.cases)
      if (load.id == motion) return load.loads;
    FAIL("no such motion: " << std::string(motion));
    return mesh_.program.cases.front().loads;
  }

 private:
  mesh::Mesh mesh_;
  core::ReducedModel model_;
};

inline constexpr std::string_view kMotionIds[]{"flexion",       "extension",     "left_bending",
                                               "right_bending", "left_rotation", "right_rotation"};

/// Rotation of a joint along a motion, positive in its sense [deg].
inline double turned_deg(const Trial& trial, std::string_view joint, std::string_view motion, double factor = 1.0) {
  const bool sagittal = motion == "flexion" || motion == "extension";
  const bool bending = motion == "left_bending" || motion == "right_bending";
  const std::string probe = std::string(joint) + "/rotation/" + (sagittal ? "flexion" : bending ? "bending" : "rotation");
  const bool negative = motion == "extension" || motion == "left_bending" || motion == "right_rotation";
  return (negative ? -1.0 : 1.0) * trial.degrees(probe, motion, factor);
}

}  // namespace opisthion::tests
