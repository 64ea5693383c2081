// SPDX-License-Identifier: MIT
#pragma once
// Whether an equilibrium stands where its loads need not have a potential. Then the tangent is not symmetric, and a motion
// may leave although its symmetric part says nothing of it, or stay although the symmetric part is no longer definite.
#include <Eigen/Core>
#include <vector>

namespace opisthion::core::full {

enum class Standing {
  stands,    ///< no eigenvalue of the tangent has a real part of zero or less
  diverges,  ///< the determinant is not positive: beyond a limit point or a bifurcation, whatever the masses
  unsteady   ///< it is positive, but an even number of eigenvalues has no positive real part: swings, or two modes at once
};

/// Static stability: eigenvalues of the tangent, rotations scaled (dof_scale: 1 and 20 mm), as of a body that creeps along
/// the residual. Flutter, where inertia feeds on loads without a potential while the equilibrium still stands (Beck's
/// column), asks for masses and damping, which the model does not have: not looked at. `least_N_per_mm`: smallest real part.
/// Square tangent of dof_scale's size.
struct StandingResult {
  Standing standing = Standing::stands;
  double least_N_per_mm = 0.0;
};
StandingResult standing_of(const Eigen::MatrixXd& tangent, const std::vector<double>& dof_scale);

}  // namespace opisthion::core::full
