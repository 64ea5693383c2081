// SPDX-License-Identifier: MIT
#pragma once
// Loads in finite rotation (THEORY 7): dead forces at material points and three kinds of moment.
#include "solver/core/full/pose.hpp"

namespace opisthion::core::full {

/// Force fixed in the global frame at a point that rides on a body: potential -F . x.
struct PointForce {
  BodyId body{};
  Vector3 arm_mm = Vector3::Zero();  ///< in body axes
  Vector3 force_N = Vector3::Zero();
};

/// A moment about an axis fixed in space has no potential in finite rotation, so the kind is part of the load.
enum class MomentKind {
  conservative,  ///< potential -M . log(R R_0^T): generalised moment L^-T M, symmetric tangent (default)
  fixed_axis,    ///< M fixed in the global frame, work M . (spin): no potential
  following      ///< M rides on the body: R R_0^T M, no potential
};
struct Moment {
  BodyId body{};
  Vector3 moment_Nmm = Vector3::Zero();
  MomentKind kind = MomentKind::conservative;
  Matrix3 zero_rotation = Matrix3::Identity();  ///< R_0, from which the body's rotation counts
};

struct Loads {
  std::vector<PointForce> forces{};
  std::vector<Moment> moments{};
};
/// Whether every load has a potential: then tangents are symmetric.
bool conservative(const Loads& loads);

/// What one load adds to (energy of the model - work of the load), its derivative, and the derivative of that derivative in
/// the chart of the exponential retraction at this pose: unsymmetric for moments without a potential (fixed axis -[M]x/2,
/// following +[M]x/2 on the rotations; their energy counts as 0).
struct LoadAnswer {
  double energy_Nmm = 0.0;
  Vector6 gradient = Vector6::Zero();
  Matrix6 tangent = Matrix6::Zero();
};
LoadAnswer answer(const PointForce& force, const Pose& pose);
/// `branch`: rotation vector of R R_0^T at the last committed state, whose neighbourhood the log is taken in.
LoadAnswer answer(const Moment& moment, const Pose& pose, const Vector3& branch);
/// Rotation vector of a moment's body now, near `branch`.
Vector3 turned(const Moment& moment, const Pose& pose, const Vector3& branch);

}  // namespace opisthion::core::full
