// SPDX-License-Identifier: MIT
#pragma once
// A neck or a construct in full kinematics: meshed, condensed, assembled and under what the bench has on it from neutral on.
#include <string>
#include <vector>

#include <tl/expected.hpp>

#include "solver/core/full/assembly.hpp"
#include "solver/study/prepare.hpp"

namespace opisthion::study {

/// What becomes of condensed metal: condensed rides in its gauge frame; corotational leaves every beam its own frame.
enum class Metal { condensed, corotational };

/// The follower load's path as found: what the neck still turns under the preload alone.
struct FollowerFit {
  bool asked = false;
  std::vector<double> forward_mm{};  ///< per guide, from where the search started
  std::vector<double> left_mm{};     ///< likewise, across: 0 where the preload keeps the neck in its midplane
  std::vector<double> turn_deg{};    ///< per joint, from the state without preload: the residual
  std::vector<double> slide_mm{};    ///< likewise, of the upper level's named point: no search takes it away
  double steepest_leg_deg = 0.0;  ///< of the cable's legs to the line along the neck there: from guide start to guide start
  double largest_turn_deg() const;
  double largest_slide_mm() const;
  double furthest_forward_mm() const;  ///< of all guides; 0 where none stands forward of its start
  double furthest_back_mm() const;     ///< likewise, positive
  double furthest_aside_mm() const;
};

struct SpecimenOptions {
  int rod_elements_per_span = 8;
  Metal metal = Metal::condensed;
  FrictionLevel friction = FrictionLevel::nominal;
  WireState wires = WireState::fresh;
  /// Of another specimen of the same row: its path is this one's where it stands there, and is not sought.
  const FollowerFit* follower = nullptr;
};

struct Specimen {
  mesh::Mesh mesh{};  ///< the follower load's cable is its last strand
  std::vector<core::CondensedComponent> components{};
  core::full::Model model{};
  core::AssemblyStatus assembly = core::AssemblyStatus::not_needed;
  bool friction_held = false;
  core::full::State built{};      ///< the reference pose
  core::full::State assembled{};  ///< without what the bench puts on
  core::full::State start{};      ///< where every load starts
  core::full::Loads constant{};   ///< dead weight and traction
  bool stands = true;             ///< the start is a stable equilibrium
  Metal metal = Metal::condensed;
  FollowerFit follower{};
  core::ReducedModel numbering{};  ///< first_dof, dofs and dof_scale only: what naming asks for
};

/// Not ready: as for small kinematics, and where the neck finds no equilibrium under the bench's own loads (a mechanism that
/// buckles or escapes).
tl::expected<Specimen, Unready> make_specimen(const models::Case& the_case, const models::Construct& construct,
                                              const models::ParameterTable& parameters, const SpecimenOptions& options);
/// The same from what is built already.
tl::expected<Specimen, Unready> make_specimen(Built built, const SpecimenOptions& options);

/// A load of the program as the core takes it; moments count from the start's rotation.
core::full::LoadPath load_path(const Specimen& specimen, const mesh::LoadCase& load_case);

}  // namespace opisthion::study
