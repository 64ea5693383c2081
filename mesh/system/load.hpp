// SPDX-License-Identifier: MIT
#pragma once
// Probes (what is measured) and the load program (what is done, in order), in neutral words.
#include <cstdint>
#include <string>
#include <vector>

#include "mesh/system/system.hpp"

namespace opisthion::mesh {

/// Force and moment on one body, fixed in the global frame; the force acts at the attachment's point.
struct BodyLoad {
  Attachment at{};
  Vector3 force_N = Vector3::Zero();
  Vector3 moment_Nmm = Vector3::Zero();
};

enum class ProbeKind { travel, rotation };

/// travel: value_at_reference + axis . (displacement of `moving` - displacement of `base`), each at its own point [mm].
/// rotation: rotation of moving's body relative to base's body, about axis [rad].
struct Probe {
  std::string id{};  ///< "C1-C2/rotation/flexion", "C1-C2/translation/x", "atlas_dens_interval", "c1_slip" ...
  ProbeKind kind = ProbeKind::travel;
  Attachment moving{};
  Attachment base{};
  Vector3 axis = Vector3::UnitX();
  double value_at_reference = 0.0;
};

enum class Action { lock_rod, moment, force };

/// An ordered step of assembly before any load case.
struct AssemblyStep {
  Action action = Action::lock_rod;
  ItemId item{};
};

enum class LoadKind {
  motion,
  shear,
  axial,
  head,
  combined  ///< moments about several axes at once
};

/// What a moment means once the body that it acts on has turned far.
enum class MomentKind {
  conservative,  ///< dual to the body's rotation vector
  fixed_axis,    ///< about an axis fixed in the global frame
  following      ///< about an axis that turns with the body
};

/// A cable under a constant force, through guides that ride on bodies: its energy is force times length.
struct FollowerPath {
  double force_N = 0.0;                ///< 0: none
  std::vector<Attachment> guides{};    ///< from top to bottom, in the reference pose: where a search for the path starts
  std::vector<Vector3> anterior{};     ///< per guide, unit, global: a search shifts it along this and across, in its bone
  std::vector<double> ahead_mm{};      ///< per guide not stated: from its start to where its bone ends in front
  std::vector<double> behind_mm{};     ///< and behind, counted backwards
  std::vector<std::uint8_t> stated{};  ///< per guide: 1 where its place is given and stays
};

struct LoadCase {
  std::string id{};  ///< "flexion", "shear/C1/+", "axial/C1/-", "head/toggle/+", "combined/flexion and left rotation"
  LoadKind kind = LoadKind::motion;
  std::string name{};      ///< for people: "left rotation", "forward shear on C1"
  std::string line{};      ///< for axial and head loads: where it acts, in words with coordinates
  double magnitude = 0.0;  ///< N mm for motions and combined moments (length of their vector), N otherwise; signed
  std::vector<BodyLoad> loads{};
  std::string travel_probe{};  ///< for shear, axial and head loads: probe along the load's line
};

struct LoadProgram {
  std::vector<AssemblyStep> assembly{};
  std::vector<LoadCase> cases{};
  MomentKind moment_kind = MomentKind::conservative;  ///< of every moment in `cases`
  int steps = 10;                                     ///< equal steps from neutral to a case's loads
  int cycles = 3;                                     ///< of curves: n times to both ends and back
  bool hybrid = false;                                ///< also turn as far as the intact neck turned
  std::vector<BodyLoad> constant{};                   ///< on from neutral on, under every case: dead weight, traction
  FollowerPath follower{};                            ///< likewise
};

}  // namespace opisthion::mesh
