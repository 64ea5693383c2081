// SPDX-License-Identifier: MIT
#pragma once
// Where an anchor runs in the generic adult, and through which bone: entry, direction, free shank, layers.
#include <Eigen/Core>
#include <string>
#include <vector>

#include "models/hardware/anchor.hpp"
#include "models/library/parameter_table.hpp"
#include "models/neck/neck.hpp"

namespace opisthion::models {

enum class Tissue { cortex, cancellous, none };

/// One stretch of an anchor behind its entry, in order from the entry to the tip.
struct AnchorLayer {
  Level level = Level::C1;             ///< bone it runs in; without meaning for Tissue::none
  Tissue tissue = Tissue::cancellous;  ///< none: free between two bones
  double length_mm = 0.0;
};

/// An anchor's axis on its own side, global frame, reference pose.
struct Trajectory {
  Eigen::Vector3d entry_mm = Eigen::Vector3d::Zero();
  Eigen::Vector3d into_bone = Eigen::Vector3d::UnitX();  ///< unit, from the head to the tip
  double free_shank_mm = 0.0;                            ///< from the lock (rod's centre line) to the entry
  double diameter_mm = 0.0;                              ///< thread's outer diameter: bears on the bone
  double core_diameter_mm = 0.0;                         ///< thread's root: bends and twists
  double shank_diameter_mm = 0.0;                        ///< what bends between the lock and the entry
  double length_mm = 0.0;                                ///< from the entry to the tip
  std::vector<AnchorLayer> layers{};                     ///< purchase; a tip without purchase is left out
  Eigen::Vector3d lock_mm() const { return entry_mm - free_shank_mm * into_bone; }
  Eigen::Vector3d at(double depth_mm) const { return entry_mm + depth_mm * into_bone; }
};

/// Library stem of an anchor's size and grip: "anchor.C2.pars", "anchor.C1.lateral_mass_unicortical". Its
/// ".pull_out_normal" and ".pull_out_osteoporotic" are there for every kind at every level it sits at.
std::string library_stem(AnchorKind kind, Level level, Purchase purchase);

/// Whether it is a screw that enters at this level (transarticular: at C2).
bool has_trajectory(AnchorKind kind, Level level);

/// Unit direction of a left-sided trajectory that runs forward, turned towards the midline and upwards.
///   (cos(up) cos(medial), -cos(up) sin(medial), sin(up))
Eigen::Vector3d left_direction(double medial_rad, double cranial_rad);

/// Outer diameter of a screw's thread: the case's or the library's; a rescue screw is thicker than either.
double thread_diameter_mm(const Anchor& anchor, const ParameterReader& number);

/// Angles are measured from the horizontal plane down to C2, from the level's own end plates from C3 down. Occipital screws
/// stand square to the bone and are as long as it is thick there. Right is the mirror image of left, but for the two laminar
/// screws: the left one enters higher so that they can cross. has_trajectory(kind, level) must hold (asserted).
Trajectory trajectory(const Anchor& anchor, const Neck& neck, const ParameterReader& number);

}  // namespace opisthion::models
