// SPDX-License-Identifier: MIT
#pragma once
// Follows equilibrium with the load's own motion prescribed and its factor as the answer. It goes on where a growing load
// has no equilibrium left: past limit points, and along mechanisms, whose factor falls to nothing.
#include "solver/core/full/load_travel.hpp"
#include "solver/core/full/path.hpp"

namespace opisthion::core::full {

struct ControlOptions {
  SolveOptions solve{};
  double from_factor = 0.0;  ///< of the growing load at the start
  double to = 1.0;           ///< travel from the start [mm; rad], signed
  int steps = 10;
  double smallest_step = 1.0 / 64.0;  ///< of a step, before the path is given up
  int max_iterations = 60;            ///< of one step
};

struct ControlledStep {
  double travel = 0.0;  ///< from the start
  double factor = 0.0;  ///< of the growing load that balances there
  State state{};
  SolveOutcome outcome{};  ///< positive: stable under the load itself
  bool stable = false;     ///< while the travel is held
};

enum class ControlEnd {
  reached,
  escaped,   ///< a body runs away without bound
  no_answer  ///< the numerics gave up
};

struct ControlOutcome {
  ControlEnd end = ControlEnd::no_answer;
  /// At the asked travels, the start first, and the last that converged; slip is committed.
  std::vector<ControlledStep> steps{};
  int iterations = 0;
  int bisections = 0;
  int branches = 0;  ///< times that the path had to leave an equilibrium that is unstable even when held
  int snaps = 0;     ///< times that what is prescribed had no equilibrium nearby: the model snapped to another
  double reached() const { return steps.empty() ? 0.0 : steps.back().travel; }
  /// Largest factor on the way; below 1 at the end of anatomy: nothing holds the load.
  double largest_factor() const;
};

/// Newton on poses and factor together, with steps and bisection. The start is an equilibrium at `from_factor`, or near one.
ControlOutcome follow_controlled(const Model& model, const LoadPath& load, const State& start, const ControlOptions& options,
                                 Workspace& work);

}  // namespace opisthion::core::full
