// SPDX-License-Identifier: MIT
#pragma once
// What the solvers under a load, under a prescribed travel and with a machine agree on, so that they arrive alike.

namespace opisthion::core::full {

// Where an equilibrium is found.
inline constexpr double kLeastLoad_N = 1e-3;    ///< residuals count relative to this at least
inline constexpr double kAtRounding = 3.0;      ///< times what the last digit makes: a residual below is rounding
inline constexpr double kNearRounding = 300.0;  ///< within it, whoever comes no further has arrived
inline constexpr int kMostStalls = 3;           ///< without coming nearer, before that is asked

// How long a step may be.
inline constexpr double kLeastDescent = 1e-4;  ///< of the slope: Armijo
inline constexpr double kFlatEnough = 0.5;     ///< a step ends where the slope is below this share of that at its start
inline constexpr double kEnergyNoise = 1e-8;   ///< relative: energies closer than that are judged by their slopes
inline constexpr int kMostSearch = 25;         ///< looks along a step
inline constexpr double kLeastGain = 0.25;     ///< of what Newton promises of the residual, where there is no energy
inline constexpr double kFirstShift_N_per_mm = 1e-3;  ///< of a Hessian that is not positive
inline constexpr int kMostShifts = 40;
inline constexpr double kBranchPush_mm = 0.2;  ///< along the mode by which an unstable equilibrium is left

// Along a path.
inline constexpr double kSame = 1e-12;         ///< relative: a factor or a travel that close to a target is at it
inline constexpr double kJump = 4.0;           ///< times what the last step foretells
inline constexpr double kMostPredicted = 2.0;  ///< how much longer than the last step a prediction may reach

}  // namespace opisthion::core::full
