// SPDX-License-Identifier: MIT
#pragma once
// Moment-rotation curves of a case. No threads of its own: the caller hands in a for_each.
#include <string>
#include <vector>

#include "solver/study/assess.hpp"
#include "solver/study/curve.hpp"

namespace opisthion::study {

/// Loading-unloading cycles where the bench states none; the last is told.
inline constexpr int kCycles = models::kUsualCycles;

struct CurvesOptions {
  /// Empty: both sides of all planes. A motion alone runs its side only; a cycle needs both sides of its plane.
  std::vector<models::Motion> only_motions{};
  std::vector<std::string> only_constructs{};  ///< empty: all. The intact and the injured neck always stand beside them
  int steps = 10;                              ///< equal ones from zero to the maximum, each way, >= 1
  int rod_elements_per_span = 8;
};

/// How many rows `curves` will fill: one piece of work each for the for_each (progress).
int row_count(const models::Case& the_case, const CurvesOptions& options);

/// Rows: the intact neck; the injured one where the case injures it; the constructs chosen, in the case's order. Per row and
/// plane: points at every step and at +-0.1 N m (where the maximum is above it) on first loading from rest, both ways from
/// the same committed assembled state, rotations counted from the plane's own neutral (middle of the +-0.1 N m response);
/// where friction acts and both sides are run and reached, the bench's cycles (or kCycles) 0 -> +M -> -M -> +M ..., the last
/// one from +M to +M told with equal steps. Every point asked for is there: what the path did not reach has its side's
/// status and no parts. Figures are those of fill_figures. A row that cannot be made ready has no planes, its status and its
/// reason. The case's bench must have a top (asserted): without one there are no moments. parameters: the library's with the
/// case's changes applied.
Curves curves(const models::Case& the_case, const models::ParameterTable& parameters, const CurvesOptions& options,
              const ForEach& for_each);

}  // namespace opisthion::study
