// SPDX-License-Identifier: MIT
#pragma once
// Small helpers to build systems by hand, hold single unknowns, solve with the product's solver and recover reactions.
#include <Eigen/Dense>
#include <catch2/catch.hpp>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <span>
#include <vector>

#include "mesh/system/load.hpp"
#include "mesh/system/system.hpp"
#include "solver/core/beam.hpp"
#include "solver/core/equilibrium.hpp"
#include "solver/core/reduced.hpp"

namespace opisthion::verification {

using mesh::BodyId;
using mesh::Matrix3;
using mesh::Matrix6;
using mesh::System;
using mesh::Vector3;
using mesh::Vector6;

inline BodyId add_body(System& s, const Vector3& position, bool fixed, mesh::BodyKind kind = mesh::BodyKind::metal) {
  mesh::Body b;
  b.position_mm = position;
  b.fixed = fixed;
  b.kind = kind;
  b.port = kind == mesh::BodyKind::bone;
  s.bodies.push_back(b);
  return {static_cast<int>(s.bodies.size()) - 1};
}
inline BodyId add_bone(System& s, const Vector3& position, bool fixed) {
  return add_body(s, position, fixed, mesh::BodyKind::bone);
}

/// Frame with columns axis, y, z; y is the part of `up` across the axis, turned about the axis by `roll`.
inline Matrix3 frame_along(const Vector3& along, const Vector3& up, double roll = 0.0) {
  const Vector3 x = along.normalized();
  const Vector3 y0 = (up - up.dot(x) * x).normalized();
  const Vector3 z0 = x.cross(y0);
  Matrix3 f;
  f.col(0) = x;
  f.col(1) = std::cos(roll) * y0 + std::sin(roll) * z0;
  f.col(2) = x.cross(f.col(1));
  return f;
}
/// Any axis across `along`.
inline Vector3 some_across(const Vector3& along) {
  int smallest = 0;
  along.cwiseAbs().minCoeff(&smallest);
  return Vector3::Unit(smallest);
}

inline mesh::Beam& add_beam(System& s, BodyId a, BodyId b, const mesh::Section& section, const Matrix3& global_from_beam) {
  mesh::Beam beam;
  beam.a = a;
  beam.b = b;
  beam.section = section;
  beam.global_from_beam = global_from_beam;
  beam.length_mm = (mesh::body(s, b).position_mm - mesh::body(s, a).position_mm).norm();
  s.beams.push_back(beam);
  return s.beams.back();
}
inline mesh::Beam& add_beam(System& s, BodyId a, BodyId b, const mesh::Section& section) {
  const Vector3 along = mesh::body(s, b).position_mm - mesh::body(s, a).position_mm;
  return add_beam(s, a, b, section, frame_along(along, some_across(along)));
}

inline mesh::BodyLoad load_at(const System& s, BodyId b, const Vector3& force, const Vector3& moment) {
  return {.at = {.body = b, .point_mm = mesh::body(s, b).position_mm}, .force_N = force, .moment_Nmm = moment};
}

/// The model with single unknowns held at zero: their rows and columns are struck out. first_dof no longer applies.
inline core::ReducedModel strike(const core::ReducedModel& model, const std::vector<int>& keep) {
  core::ReducedModel m;
  m.dofs = static_cast<int>(keep.size());
  m.stiffness = model.stiffness(keep, keep);
  m.regularisation = model.regularisation(keep, keep);
  m.force0 = model.force0(keep);
  for (const int d : keep) m.dof_scale.push_back(model.dof_scale[static_cast<std::size_t>(d)]);
  return m;
}

/// Equilibrium by the product's solver; fails the test when it does not converge.
inline Eigen::VectorXd solve(const core::ReducedModel& model, const Eigen::VectorXd& load, double regularisation = 1.0) {
  core::EquilibriumWorkspace work;
  core::EquilibriumOptions options;
  options.regularisation = regularisation;
  Eigen::VectorXd q = Eigen::VectorXd::Zero(model.dofs);
  const core::EquilibriumOutcome outcome = core::solve_equilibrium(model, load, options, work, q);
  INFO("status " << static_cast<int>(outcome.status) << " residual " << outcome.residual << " iterations "
                 << outcome.iterations);
  REQUIRE(outcome);
  return q;
}

/// A system of bodies, some unknowns of which are held one by one; linear.
class Frame {
 public:
  System system{};
  std::vector<mesh::BodyLoad> loads{};

  /// Holds one unknown (0..5) of a body.
  void hold(BodyId b, int component) { held_.push_back(6 * b.value + component); }
  void hold_all(int component) {
    for (int i = 0; i < static_cast<int>(system.bodies.size()); ++i) held_.push_back(6 * i + component);
  }

  /// Displacement of every body (6 each, in order), by the product's reduction and solver.
  Eigen::VectorXd displacement() const {
    const core::ReducedModel model = core::reduce_nothing(system);
    const Eigen::VectorXd load = core::load_vector(system, model, loads);
    const std::vector<int> keep = kept(model);
    const core::ReducedModel small = strike(model, keep);
    const Eigen::VectorXd q = solve(small, load(keep));
    Eigen::VectorXd u = Eigen::VectorXd::Zero(6 * static_cast<Eigen::Index>(system.bodies.size()));
    const std::vector<int> at = everywhere(model, keep);
    for (std::size_t i = 0; i < keep.size(); ++i) u(at[i]) = q(static_cast<int>(i));
    return u;
  }
  /// Stiffness on the unknowns that are not held, by the product, and their places among all (6 per body).
  Eigen::MatrixXd stiffness(std::vector<int>* places = nullptr) const {
    const core::ReducedModel model = core::reduce_nothing(system);
    const std::vector<int> keep = kept(model);
    if (places != nullptr) *places = everywhere(model, keep);
    return model.stiffness(keep, keep);
  }
  /// Forces of the supports: K u - f with nothing held.
  Eigen::VectorXd reactions(const Eigen::VectorXd& u) const {
    System loose = system;
    for (mesh::Body& b : loose.bodies) b.fixed = false;
    const core::ReducedModel model = core::reduce_nothing(loose);
    const Eigen::VectorXd load = core::load_vector(loose, model, loads);
    Eigen::VectorXd q(model.dofs);
    for (std::size_t i = 0; i < loose.bodies.size(); ++i)
      q.segment<6>(model.first_dof[i]) = u.segment<6>(6 * static_cast<Eigen::Index>(i));
    const Eigen::VectorXd r = model.stiffness * q - load;
    Eigen::VectorXd out(u.size());
    for (std::size_t i = 0; i < loose.bodies.size(); ++i)
      out.segment<6>(6 * static_cast<Eigen::Index>(i)) = r.segment<6>(model.first_dof[i]);
    return out;
  }

 private:
  std::vector<int> held_{};

  std::vector<int> kept(const core::ReducedModel& model) const {
    std::vector<bool> free(static_cast<std::size_t>(model.dofs), true);
    for (const int h : held_) {
      const int first = model.first_dof[static_cast<std::size_t>(h / 6)];
      if (first >= 0) free[static_cast<std::size_t>(first + h % 6)] = false;
    }
    std::vector<int> keep;
    for (int i = 0; i < model.dofs; ++i)
      if (free[static_cast<std::size_t>(i)]) keep.push_back(i);
    return keep;
  }
  std::vector<int> everywhere(const core::ReducedModel& model, const std::vector<int>& keep) const {
    std::vector<int> place(static_cast<std::size_t>(model.dofs), -1);
    for (int i = 0; i < static_cast<int>(system.bodies.size()); ++i) {
      const int first = model.first_dof[static_cast<std::size_t>(i)];
      if (first < 0) continue;
      for (int c = 0; c < 6; ++c) place[static_cast<std::size_t>(first + c)] = 6 * i + c;
    }
    std::vector<int> at;
    for (const int k : keep) at.push_back(place[static_cast<std::size_t>(k)]);
    return at;
  }
};

/// With OPISTHION_FIGURES set in the environment every comparison prints its figures, for the record of a run.
inline void note_figure(const char* what, double value, double expected, double difference, double tolerance) {
  if (std::getenv("OPISTHION_FIGURES") == nullptr) return;
  std::fprintf(stderr, "%-60.60s %.12g expected %.12g difference %.2e tolerance %.0e%s\n", what, value, expected, difference,
               tolerance, difference <= tolerance ? "" : "  OVER");
}

}  // namespace opisthion::verification

/// Relative agreement, with the figures in the message.
#define CHECK_RELATIVE(value, expected, tolerance)                                            \
  do {                                                                                        \
    const double value_ = (value), expected_ = (expected), tolerance_ = (tolerance);          \
    const double difference_ = std::abs(value_ - expected_) / std::abs(expected_);            \
    opisthion::verification::note_figure(#value, value_, expected_, difference_, tolerance_); \
    CAPTURE(value_, expected_, difference_);                                                  \
    CHECK(difference_ <= tolerance_);                                                         \
  } while (false)

/// A difference (already relative to something) below a limit.
#define CHECK_SMALL(difference, tolerance)                                                        \
  do {                                                                                            \
    const double difference_ = (difference), tolerance_ = (tolerance);                            \
    opisthion::verification::note_figure(#difference, difference_, 0.0, difference_, tolerance_); \
    CAPTURE(difference_);                                                                         \
    CHECK(difference_ <= tolerance_);                                                             \
  } while (false)
