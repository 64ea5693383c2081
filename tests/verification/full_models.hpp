// SPDX-License-Identifier: MIT
#pragma once
// Beams and frames for finite rotation, built by hand; plain Newton with single unknowns held; necks seen from elsewhere.
#include <Eigen/LU>
#include <cmath>
#include <numbers>
#include <vector>

#include "solver/core/full/controlled.hpp"
#include "solver/core/full/path.hpp"
#include "tests/reference/beams.hpp"
#include "tests/verification/frame_model.hpp"

namespace opisthion::verification {

namespace full = core::full;

/// Chain of free beams through these places; `up` gives the beams' y (across each beam). Nodes are metal; ends as asked.
inline std::vector<BodyId> add_chain(System& s, BodyId first, const std::vector<Vector3>& places,
                                     const mesh::Section& section, const Vector3& up) {
  std::vector<BodyId> nodes{first};
  for (const Vector3& place : places) {
    const BodyId next = add_body(s, place, false);
    const Vector3 along = place - mesh::body(s, nodes.back()).position_mm;
    add_beam(s, nodes.back(), next, section, frame_along(along, up));
    nodes.push_back(next);
  }
  return nodes;
}

struct Cantilever {
  System system{};
  std::vector<BodyId> nodes{};
  BodyId tip() const { return nodes.back(); }
};
/// Straight along x from a held node at the origin; y of the beams is global y.
inline Cantilever cantilever(const mesh::Section& section, double length, int n) {
  Cantilever c;
  const BodyId root = add_body(c.system, {0, 0, 0}, true);
  std::vector<Vector3> places;
  for (int i = 1; i <= n; ++i) places.push_back({length * i / n, 0, 0});
  c.nodes = add_chain(c.system, root, places, section, Vector3::UnitY());
  return c;
}

/// Section that bends in one plane only (about its z): across it and in torsion a thousand times stiffer.
inline mesh::Section planar(double axial_N, double bending_Nmm2) {
  mesh::Section s;
  s.axial_N = axial_N;
  s.bending_z_Nmm2 = bending_Nmm2;
  s.bending_y_Nmm2 = 1e3 * bending_Nmm2;
  s.torsional_Nmm2 = 1e3 * bending_Nmm2;
  s.shear_y_N = s.shear_z_N = 1.0;
  return reference::without_shear(s);
}

/// Hinge about z to ground at a node: springs far stiffer than the frame hold its place and its other two rotations.
inline void add_hinge(System& s, BodyId node, double stiffness_N_per_mm) {
  const BodyId ground = add_body(s, mesh::body(s, node).position_mm, true);
  Matrix6 k = Matrix6::Zero();
  k.diagonal().head<5>().setConstant(stiffness_N_per_mm);
  s.cushions.push_back({.a = ground, .b = node, .point_mm = mesh::body(s, node).position_mm, .stiffness = k});
}

/// Elastic structures have no joints that could come apart, and move as far as they like.
inline full::SolveOptions unlimited() {
  full::SolveOptions options;
  options.largest_step_mm = 1e6;
  options.residual_tolerance = 1e-11;
  return options;
}

inline full::LoadPath force_at(BodyId body, const Vector3& force) {
  full::LoadPath load;
  load.growing.forces.push_back({.body = body, .force_N = force});
  return load;
}
inline full::LoadPath moment_at(BodyId body, const Vector3& moment, full::MomentKind kind) {
  full::LoadPath load;
  load.growing.moments.push_back({.body = body, .moment_Nmm = moment, .kind = kind});
  return load;
}
inline const full::Pose& pose(const full::State& state, BodyId b) {
  return state.poses[static_cast<std::size_t>(b.value)];
}

/// Unknowns of a model but those held.
inline std::vector<int> all_but(const full::Model& model, const std::vector<int>& held) {
  std::vector<bool> free(static_cast<std::size_t>(model.dofs), true);
  for (const int h : held) free[static_cast<std::size_t>(h)] = false;
  std::vector<int> keep;
  for (int i = 0; i < model.dofs; ++i)
    if (free[static_cast<std::size_t>(i)]) keep.push_back(i);
  return keep;
}
inline int unknown(const full::Model& model, BodyId b, int component) {
  return model.first_dof[static_cast<std::size_t>(b.value)] + component;
}

/// Plain Newton on the unknowns kept, stable or not: no search, no branches. Size of the last residual.
inline double balance(const full::Model& model, const full::LoadPath& load, double factor, const std::vector<int>& keep,
                      full::Workspace& work, full::State& state, int iterations = 12) {
  Eigen::VectorXd r, step = Eigen::VectorXd::Zero(model.dofs);
  Eigen::MatrixXd k;
  for (int i = 0; i < iterations; ++i) {
    full::residual_at(model, load, factor, 1.0, state, work, r);
    full::tangent_at(model, load, factor, 1.0, state, work, k);
    step(keep) = -Eigen::PartialPivLU<Eigen::MatrixXd>(k(keep, keep)).solve(r(keep));
    full::move(model, step, state.poses);
  }
  full::residual_at(model, load, factor, 1.0, state, work, r);
  return Eigen::VectorXd(r(keep)).norm();
}

/// Smallest eigenvalue (by the product's Spectra) of the tangent on the unknowns kept.
inline double softest(const full::Model& model, const full::LoadPath& load, double factor, const std::vector<int>& keep,
                      full::Workspace& work, const full::State& state) {
  Eigen::MatrixXd k;
  full::tangent_at(model, load, factor, 1.0, state, work, k);
  const Eigen::MatrixXd kept = 0.5 * (k(keep, keep) + k(keep, keep).transpose());
  std::vector<double> scale;
  for (const int i : keep) scale.push_back(model.dof_scale[static_cast<std::size_t>(i)]);
  const core::Modes modes = core::softest_modes(kept, scale, 1);
  REQUIRE(!modes.softest.empty());
  return modes.softest.front().stiffness_N_per_mm;
}

/// Where a falling function of the factor passes zero (bisection to 1e-7 of the bracket, then a chord).
template <typename Function>
double passes_zero(const Function& f, double low, double high) {
  double at_low = f(low), at_high = f(high);
  REQUIRE(at_low > 0.0);
  REQUIRE(at_high < 0.0);
  for (int i = 0; i < 24; ++i) {
    const double middle = 0.5 * (low + high);
    const double there = f(middle);
    if (there > 0.0)
      low = middle, at_low = there;
    else
      high = middle, at_high = there;
  }
  return low + (high - low) * at_low / (at_low - at_high);
}

/// `random_system.hpp` knows neither friction's place in another frame nor its mirror image.
inline void move_slips(System& s, const Matrix3& turn, const Vector3& shift) {
  for (mesh::Slip& slip : s.slips) {
    slip.a.point_mm = turn * slip.a.point_mm + shift;
    slip.direction = turn * slip.direction;
  }
}
inline void mirror_slips(System& s) {
  const Vector3 m(1, -1, 1);
  for (mesh::Slip& slip : s.slips) {
    slip.a.point_mm = m.cwiseProduct(slip.a.point_mm);
    slip.direction = (slip.turning ? -1.0 : 1.0) * m.cwiseProduct(slip.direction);
  }
}

/// Largest of the bodies' differences, rotations times 20 mm.
inline double apart_mm(const std::vector<full::Pose>& a, const std::vector<full::Pose>& b) {
  double most = 0.0;
  for (std::size_t i = 0; i < a.size(); ++i) {
    most = std::max(most, (a[i].position_mm - b[i].position_mm).norm());
    most = std::max(most, core::kRotationScale_mm * full::log_rotation(a[i].rotation * b[i].rotation.transpose()).norm());
  }
  return most;
}

/// Value at no element size from n and 2n elements, errors as n^-2.
inline double extrapolated(double at_n, double at_2n) {
  return (4.0 * at_2n - at_n) / 3.0;
}

}  // namespace opisthion::verification
