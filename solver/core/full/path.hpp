// SPDX-License-Identifier: MIT
#pragma once
// Follows equilibrium while a load grows, with step control; says honestly how far it came and what stopped it.
#include "solver/core/full/solve.hpp"

namespace opisthion::core::full {

struct PathOptions {
  SolveOptions solve{};
  double from = 0.0;  ///< factors of the growing load
  double to = 1.0;
  int steps = 10;
  double smallest_step = 1.0 / 64.0;  ///< of a step, before the path is given up
  /// A step that carries a body further than this where the tangent lost its definiteness is halved: slipping over a limit
  /// point must not pass as a slow motion. Still so at the smallest step, it is a snap.
  double largest_snap_mm = 1.0;
  /// Up to this factor (in size) a large motion is that of a lax joint, which is healthy.
  double lax_to = 0.0;
  /// On the way, if it is more than what `solve` asks for; the end of the path is as exact as that.
  double waypoint_tolerance = 0.0;
  /// Poses in balance near the first step: tried first for it. Not owned; may be absent.
  const Poses* near_first = nullptr;
};

/// The path went over a limit point to another equilibrium.
struct Snap {
  double factor = 0.0;       ///< just above it
  double moved_mm = 0.0;     ///< largest motion of a body (rotations times 20 mm)
  Eigen::VectorXd motion{};  ///< from the state before to that after
};

struct Step {
  double factor = 0.0;
  State state{};
  SolveOutcome outcome{};
};

enum class PathEnd {
  reached,
  limit_point,  ///< no equilibrium beyond this factor: the tangent loses its stiffness along `escape`
  escaped,      ///< a body runs away without bound
  no_answer     ///< the numerics gave up where no such reason shows
};

struct PathOutcome {
  PathEnd end = PathEnd::no_answer;
  std::vector<Step>
      steps{};  ///< those at the asked factors (and the last that converged), the start first; slip is committed
  int iterations = 0;
  int bisections = 0;
  bool caps_settled = true;  ///< to a hundredth, of every step on the way, those between the asked factors included
  int branches = 0;          ///< times that the path had to leave an unstable equilibrium along its mode
  std::vector<Snap> snaps{};
  Eigen::VectorXd escape{};  ///< direction, where it ended early (unit length in the scaled measure)
  double reached() const { return steps.empty() ? 0.0 : steps.back().factor; }
};

PathOutcome follow(const Model& model, const LoadPath& load, const State& start, const PathOptions& options,
                   Workspace& work);

}  // namespace opisthion::core::full
