// SPDX-License-Identifier: MIT
#pragma once
// The search for the follower load's path: damped least squares on what the preload turns, guide by guide.
#include <Eigen/Core>
#include <vector>

#include "solver/study/full/specimen.hpp"

namespace opisthion::study {

/// As still as is asked for: a tenth of what is allowed.
inline constexpr double kStillEnough_deg = 0.05;

/// Of each guide, from where the mesh has it [mm]: along its level's forward direction, and to the left across it.
struct GuideShifts {
  Eigen::VectorXd forward_mm{};
  Eigen::VectorXd left_mm{};
  static GuideShifts none(Eigen::Index guides) {
    return {.forward_mm = Eigen::VectorXd::Zero(guides), .left_mm = Eigen::VectorXd::Zero(guides)};
  }
};

/// The neck on a path, from the solve that looked for it; the state is where the solve ended.
struct LoadedNeck {
  bool found = false;
  core::full::State state{};
  core::full::SolveOutcome outcome{};
};

/// A path and what the neck does under it.
struct FollowerTry {
  GuideShifts shifts{};
  LoadedNeck neck{};
  Eigen::Matrix3Xd turned_rad{};  ///< a column a joint, from rest, about the lower body's axes: bending, flexion, rotation
  double largest_flexion_deg() const;
  double largest_turn_deg() const;   ///< of the whole rotation vectors
  double largest_aside_deg() const;  ///< of what turns out of the midplane: bending and rotation
};

/// What a search may do.
struct FollowerSearch {
  int most_rounds = 25;
  bool whole_turns = false;  ///< seeks to take all three turns of each joint away, not flexion alone
  bool sideways = false;     ///< guides move to the left and right, too
  /// What a guide's departure from its start, and from its neighbour's, weighs against turns; with it a search goes on until
  /// the sum is least, without it until turns are small enough.
  double pull_deg_per_mm = 0.0;
  Eigen::VectorXd most_forward_mm{};  ///< per guide, positive
  Eigen::VectorXd most_behind_mm{};   ///< likewise
};

/// What a search makes least [deg^2]: squares of the turns that it takes away and, as they weigh, of the guides'
/// departures and of the differences between neighbours', which turn the cable off the line along the neck.
double cost_of(const FollowerTry& tried, const FollowerSearch& search);

/// Law of a cable whose force is always this.
mesh::ScalarLaw constant_pull(double force_N);

/// The cable under its present force with its guides shifted, and the neck that stands under it, from `from`: a stable
/// equilibrium whose friction has settled.
FollowerTry try_path(Specimen& specimen, int cable, const GuideShifts& shifts, const core::full::State& rest,
                     const core::full::State& from, core::full::Workspace& work);
/// The cable's force, still on the path it has.
void pull_cable(Specimen& specimen, int cable, double force_N);
/// Puts the cable's guides there, without solving.
void place_cable(Specimen& specimen, int cable, const GuideShifts& shifts);

/// From a path under which the neck stands to one nearby under which it turns less.
FollowerTry seek_path(Specimen& specimen, int cable, const core::full::State& rest, FollowerTry now,
                      const FollowerSearch& search, core::full::Workspace& work);

/// A straight cable from the top guide to the bottom one, both so far forward (behind: negative) of where they start: it
/// pushes on no level in between. Guides keep within the search's bounds; stated ones stay.
GuideShifts straight_path(const mesh::FollowerPath& path, double forward_mm, const FollowerSearch& search);

}  // namespace opisthion::study
