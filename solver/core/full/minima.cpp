// SPDX-License-Identifier: MIT
#include "solver/core/full/minima.hpp"

#include <Eigen/QR>
#include <algorithm>
#include <cmath>

#include "solver/core/full/rotation.hpp"

namespace opisthion::core::full {
namespace {

constexpr int kMostGuesses = 25;
constexpr int kMostDifferences = 3;  // differences of rounds that the next guess is made from: as many as a moment has axes
constexpr double kSame_rad = 1e-12;  // between a minimum and what its moments were taken from
constexpr double kMostLeft_rad = 1e-7;  // after all rounds: Newton on the true load does the rest
constexpr double kMostStep_rad = 0.1;

/// Bodies that moments without a potential act on.
std::vector<BodyId> turned_bodies(const LoadPath& load) {
  std::vector<BodyId> out;
  for (const Loads* loads : {&load.constant, &load.growing})
    for (const Moment& moment : loads->moments)
      if (moment.kind != MomentKind::conservative &&
          std::none_of(out.begin(), out.end(), [&moment](BodyId id) { return id.value == moment.body.value; }))
        out.push_back(moment.body);
  return out;
}

/// Branches of the log for `with_potential_at`: its new moments count from where they are.
std::vector<Vector3> new_branches(const LoadPath& load, std::vector<Vector3> branch) {
  branch.resize(load.constant.moments.size() + load.growing.moments.size(), Vector3::Zero());
  std::size_t i = 0;
  for (const Loads* loads : {&load.constant, &load.growing})
    for (const Moment& moment : loads->moments) {
      if (moment.kind != MomentKind::conservative) branch[i] = Vector3::Zero();
      ++i;
    }
  return branch;
}

/// Next guess of x = g(x) from the last rounds' x and g - x (Anderson, J. ACM 12 (1965) 547, from memory).
Eigen::VectorXd next_guess(const std::vector<Eigen::VectorXd>& x, const std::vector<Eigen::VectorXd>& missing) {
  const std::size_t last = x.size() - 1;
  Eigen::VectorXd out = x[last] + missing[last];
  const std::size_t back = std::min<std::size_t>(kMostDifferences, last);
  if (back > 0) {
    Eigen::MatrixXd change(x[last].size(), static_cast<Eigen::Index>(back));
    Eigen::MatrixXd both = change;
    for (std::size_t k = 0; k < back; ++k) {
      const auto column = static_cast<Eigen::Index>(k);
      change.col(column) = missing[last - k] - missing[last - k - 1];
      both.col(column) = change.col(column) + x[last - k] - x[last - k - 1];
    }
    out -= both * change.colPivHouseholderQr().solve(missing[last]);
  }
  const double step = (out - x[last]).norm();
  if (step > kMostStep_rad) out = x[last] + (out - x[last]) * (kMostStep_rad / step);
  return out;
}

}  // namespace

LoadPath with_potential_at(LoadPath load, const Poses& poses) {
  for (Loads* loads : {&load.constant, &load.growing})
    for (Moment& moment : loads->moments) {
      if (moment.kind == MomentKind::conservative) continue;
      const Pose& pose = pose_of(poses, moment.body);
      moment.moment_Nmm = -answer(moment, pose, Vector3::Zero()).gradient.tail<3>();
      moment.zero_rotation = pose.rotation;
      moment.kind = MomentKind::conservative;
    }
  return load;
}

bool solve_by_minima(const Model& model, const LoadPath& load, double factor, const SolveOptions& options, Workspace& work,
                     State& state, SolveOutcome& outcome) {
  const std::vector<BodyId> bodies = turned_bodies(load);
  const std::vector<Vector3> branch = state.branch;
  const Poses base = state.poses;
  std::vector<Eigen::VectorXd> x{Eigen::VectorXd::Zero(3 * static_cast<Eigen::Index>(bodies.size()))};
  std::vector<Eigen::VectorXd> missing;
  Poses taken = base;
  for (int round = 0; round < kMostGuesses; ++round) {
    for (std::size_t i = 0; i < bodies.size(); ++i) {
      const Vector3 turn = x.back().segment<3>(3 * static_cast<Eigen::Index>(i));
      const auto body = static_cast<std::size_t>(bodies[i].value);
      taken[body].rotation = exp_rotation(turn) * base[body].rotation;
    }
    state.branch = new_branches(load, branch);
    const SolveOutcome minimum = solve(model, with_potential_at(load, taken), factor, options, work, state);
    state.branch = branch;
    outcome.iterations += minimum.iterations;
    outcome.factorisations += minimum.factorisations;
    outcome.escaped = minimum.escaped;
    outcome.met_negative = outcome.met_negative || minimum.met_negative;
    outcome.branches += minimum.branches;
    if (!minimum) return false;
    missing.push_back(x.back());
    for (std::size_t i = 0; i < bodies.size(); ++i) {
      const auto body = static_cast<std::size_t>(bodies[i].value);
      const auto own = 3 * static_cast<Eigen::Index>(i);
      const Vector3 turn = x.back().segment<3>(own);
      missing.back().segment<3>(own) = log_near(state.poses[body].rotation * base[body].rotation.transpose(), turn) - turn;
    }
    if (missing.back().norm() < kSame_rad) return true;
    x.push_back(next_guess(x, missing));
  }
  return missing.back().norm() < kMostLeft_rad;
}

}  // namespace opisthion::core::full
