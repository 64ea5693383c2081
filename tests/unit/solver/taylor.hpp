// SPDX-License-Identifier: MIT
#pragma once
// Derivatives by slope: halve the step, and the error of the second-order Taylor model falls by eight.
#include <Eigen/Core>
#include <cmath>

namespace opisthion::tests {

/// energy(x), gradient(x), hessian(x) at x along direction: log2 of the error's fall per halving, 3 when all agree.
/// Errors at rounding (the model is exact) count as agreement and return 3.
template <typename Energy, typename Gradient, typename Hessian>
double taylor_order(const Energy& energy, const Gradient& gradient, const Hessian& hessian, const Eigen::VectorXd& x,
                    const Eigen::VectorXd& direction) {
  const double w0 = energy(x);
  const double slope = gradient(x).dot(direction);
  const double curvature = direction.dot(hessian(x) * direction);
  const auto error = [&](double h) {
    return std::abs(energy(x + h * direction) - w0 - h * slope - 0.5 * h * h * curvature);
  };
  const double coarse = error(1.0);
  const double fine = error(0.5);
  const double rounding = 1e-13 * (std::abs(w0) + std::abs(slope) + std::abs(curvature));
  if (coarse <= rounding && fine <= rounding) return 3.0;
  return std::log2(coarse / fine);
}

}  // namespace opisthion::tests
