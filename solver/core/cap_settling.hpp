// SPDX-License-Identifier: MIT
#pragma once
// How caps of friction that follow the normal forces are brought to rest: the same in both kinematics.
#include <vector>

namespace opisthion::core {

inline constexpr double kCapTolerance = 1e-6;  ///< relative
inline constexpr int kMostCapRounds = 40;
inline constexpr double kNoNormal_N = 1e-3;  ///< a change of the normal force is counted relative to this at least

/// Largest relative change from the caps used to those that the state asks for. Frictions: anything with a cap_per_N.
template <typename Frictions>
double cap_change(const Frictions& frictions, const std::vector<double>& used, const std::vector<double>& asked) {
  double most = 0.0;
  for (std::size_t i = 0; i < used.size(); ++i) {
    const double least = frictions[i].cap_per_N * kNoNormal_N;
    double size = used[i] > asked[i] ? used[i] : asked[i];
    if (least > size) size = least;
    const double change = asked[i] > used[i] ? asked[i] - used[i] : used[i] - asked[i];
    if (size > 0.0 && change / size > most) most = change / size;
  }
  return most;
}

/// Aitken's relaxation for a fixed point of several unknowns (Irons & Tuck 1969, from memory): the plain step where it
/// converges fast, shorter where it swings, longer where it creeps; within 0.1 to 4.
double relaxation(double before, const std::vector<double>& step_before, const std::vector<double>& step);

}  // namespace opisthion::core
