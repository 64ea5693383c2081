// SPDX-License-Identifier: MIT
#pragma once
// Independent oracle for small models of one-sided and piecewise-linear springs: every combination of pieces is solved, and
// the one whose solution lies in its own pieces is the equilibrium (unique when the linear part is positive definite).
#include <Eigen/Dense>
#include <limits>
#include <optional>
#include <vector>

namespace opisthion::reference {

/// Where low <= e <= high the force is value + slope (e - at).
struct Piece {
  double low, high, at, value, slope;
};
struct PieceSpring {
  Eigen::VectorXd row;
  std::vector<Piece> pieces;
};

/// Tension-only line: nothing up to the slack, then k (e - slack).
inline std::vector<Piece> one_sided(double slack, double stiffness) {
  const double far = std::numeric_limits<double>::infinity();
  return {{-far, slack, slack, 0.0, 0.0}, {slack, far, slack, 0.0, stiffness}};
}

/// Pieces of a polygon through points (at, value), continued with the end slopes.
inline std::vector<Piece> polygon(const std::vector<double>& at, const std::vector<double>& value, double below,
                                  double above) {
  const double far = std::numeric_limits<double>::infinity();
  std::vector<Piece> p;
  p.push_back({-far, at.front(), at.front(), value.front(), below});
  for (std::size_t i = 0; i + 1 < at.size(); ++i)
    p.push_back({at[i], at[i + 1], at[i], value[i], (value[i + 1] - value[i]) / (at[i + 1] - at[i])});
  p.push_back({at.back(), far, at.back(), value.back(), above});
  return p;
}

/// Force of the spring at elongation e, for checking a gradient.
inline double force_at(const PieceSpring& spring, double e) {
  for (const Piece& p : spring.pieces)
    if (e <= p.high) return p.value + p.slope * (e - p.at);
  return 0.0;
}

/// Equilibrium of K u + sum b F(b.u) = f by enumeration; the combination with the smallest violation of its pieces wins.
inline std::optional<Eigen::VectorXd> enumerate_equilibrium(const Eigen::MatrixXd& k, const Eigen::VectorXd& f,
                                                            const std::vector<PieceSpring>& springs) {
  std::vector<std::size_t> pick(springs.size(), 0);
  double best = std::numeric_limits<double>::infinity();
  std::optional<Eigen::VectorXd> answer;
  while (true) {
    Eigen::MatrixXd a = k;
    Eigen::VectorXd b = f;
    for (std::size_t i = 0; i < springs.size(); ++i) {
      const Piece& p = springs[i].pieces[pick[i]];
      a += p.slope * springs[i].row * springs[i].row.transpose();
      b -= (p.value - p.slope * p.at) * springs[i].row;
    }
    const Eigen::VectorXd u = a.ldlt().solve(b);
    double violation = 0.0;
    for (std::size_t i = 0; i < springs.size(); ++i) {
      const Piece& p = springs[i].pieces[pick[i]];
      const double e = springs[i].row.dot(u);
      violation = std::max(violation, std::max(p.low - e, e - p.high));
    }
    if (violation < best) {
      best = violation;
      answer = u;
    }
    std::size_t i = 0;
    while (i < springs.size() && ++pick[i] == springs[i].pieces.size()) pick[i++] = 0;
    if (i == springs.size()) break;
  }
  if (best > 1e-9 * (1.0 + answer->norm())) return std::nullopt;
  return answer;
}

}  // namespace opisthion::reference
