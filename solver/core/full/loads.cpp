// SPDX-License-Identifier: MIT
#include "solver/core/full/loads.hpp"

#include <Eigen/Geometry>
#include <algorithm>

#include "solver/core/full/relative_point.hpp"

namespace opisthion::core::full {

bool conservative(const Loads& loads) {
  return std::all_of(loads.moments.begin(), loads.moments.end(), [](const Moment& moment) {
    return moment.kind == MomentKind::conservative || moment.moment_Nmm.isZero(0.0);
  });
}

LoadAnswer answer(const PointForce& force, const Pose& pose) {
  const Vector3 arm = pose.rotation * force.arm_mm;
  LoadAnswer out;
  out.energy_Nmm = -force.force_N.dot(pose.position_mm + arm);
  out.gradient << -force.force_N, -arm.cross(force.force_N);
  out.tangent.bottomRightCorner<3, 3>() = -turning_hessian(force.force_N, arm);
  return out;
}

Vector3 turned(const Moment& moment, const Pose& pose, const Vector3& branch) {
  return log_near(pose.rotation * moment.zero_rotation.transpose(), branch);
}

// A moment m that does the work m . spin has in the chart exp(theta) R the components L(theta)^T m, because that is how the
// chart's increments spin the body: exp(theta + d) = exp(L d) exp(theta). With L = I + [theta]x/2 + ...:
//   fixed in space:  L^T M = M - theta x M/2       = M + M x theta/2
//   following:       L^T exp(theta) m = L m = m + theta x m/2 = m - m x theta/2, since L^T = exp(-theta) L
// and what is added here is minus that, so the tangents are -[M]x/2 and +[m]x/2.
LoadAnswer answer(const Moment& moment, const Pose& pose, const Vector3& branch) {
  LoadAnswer out;
  switch (moment.kind) {
    case MomentKind::conservative: {
      const Vector3 theta = turned(moment, pose, branch);
      out.energy_Nmm = -moment.moment_Nmm.dot(theta);
      out.gradient.tail<3>() = -(left_jacobian_inverse(theta).transpose() * moment.moment_Nmm);
      out.tangent.bottomRightCorner<3, 3>() = -log_hessian(theta, moment.moment_Nmm);
      break;
    }
    case MomentKind::fixed_axis:
      out.gradient.tail<3>() = -moment.moment_Nmm;
      out.tangent.bottomRightCorner<3, 3>() = -0.5 * cross_matrix(moment.moment_Nmm);
      break;
    case MomentKind::following: {
      const Vector3 now = pose.rotation * (moment.zero_rotation.transpose() * moment.moment_Nmm);
      out.gradient.tail<3>() = -now;
      out.tangent.bottomRightCorner<3, 3>() = 0.5 * cross_matrix(now);
      break;
    }
  }
  return out;
}

}  // namespace opisthion::core::full
