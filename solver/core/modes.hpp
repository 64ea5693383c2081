// SPDX-License-Identifier: MIT
#pragma once
#include <vector>

#include "solver/core/reduced.hpp"

namespace opisthion::core {

/// Eigenpairs of the tangent with rotations scaled by 20 mm, softest first. Signs fixed: the largest component is positive.
struct Mode {
  double stiffness_N_per_mm = 0.0;  ///< eigenvalue of the scaled tangent
  Eigen::VectorXd shape{};          ///< unscaled q (mm, rad), unit length in the scaled measure
};
struct Modes {
  std::vector<Mode> softest{};
  double stiffest_N_per_mm = 0.0;  ///< largest eigenvalue, for ratios
  bool converged = false;
};
/// By Spectra (shift-invert about a small negative shift). count <= dofs; asks for fewer when the model is small.
Modes softest_modes(const Eigen::MatrixXd& tangent, const std::vector<double>& dof_scale, int count);

}  // namespace opisthion::core
