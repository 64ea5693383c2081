// SPDX-License-Identifier: MIT
#include "solver/core/full/standing.hpp"

#include <Eigen/Eigenvalues>
#include <algorithm>
#include <cassert>
#include <complex>
#include <limits>

namespace opisthion::core::full {

StandingResult standing_of(const Eigen::MatrixXd& tangent, const std::vector<double>& dof_scale) {
  assert(tangent.rows() == tangent.cols() && static_cast<std::size_t>(tangent.rows()) == dof_scale.size());
  const Eigen::VectorXd scale = Eigen::Map<const Eigen::VectorXd>(dof_scale.data(), tangent.rows()).cwiseInverse();
  const Eigen::MatrixXd scaled = scale.asDiagonal() * tangent * scale.asDiagonal();
  StandingResult out;
  out.least_N_per_mm = std::numeric_limits<double>::infinity();
  const Eigen::EigenSolver<Eigen::MatrixXd> solver(scaled, false);
  if (solver.info() != Eigen::Success) return {.standing = Standing::unsteady, .least_N_per_mm = 0.0};  // nothing is shown
  int negative = 0;
  bool zero = false;
  for (const std::complex<double>& value : solver.eigenvalues()) {
    out.least_N_per_mm = std::min(out.least_N_per_mm, value.real());
    if (value.imag() != 0.0) continue;  // one of a pair, whose product is positive
    negative += value.real() < 0.0 ? 1 : 0;
    zero = zero || value.real() == 0.0;
  }
  if (zero || negative % 2 != 0)
    out.standing = Standing::diverges;
  else if (!(out.least_N_per_mm > 0.0))
    out.standing = Standing::unsteady;
  return out;
}

}  // namespace opisthion::core::full
