// SPDX-License-Identifier: MIT
#pragma once
#include <optional>
#include <string_view>

#include "models/neck/level.hpp"

namespace opisthion::models {

/// What is injured, diseased or taken away.
enum class InstabilityKind {
  dens_nonunion,   ///< the dens is a body of its own, tied to C2 by fibrous tissue
  dens_fracture,   ///< fresh: nothing but its ligaments and the broken surfaces hold the dens
  odontoidectomy,  ///< dens taken out, and with it ring, alar and apical ligaments
  transverse_ligament_rupture,
  alar_rupture,  ///< side
  tectorial_rupture,
  occipitoatlantal_dissociation,  ///< C0-C1 capsules and membranes, alars and tectorial membrane torn
  vertical_instability,           ///< C1-C2 lateral joints eroded: the skull and C1 settle until bone meets bone
  lateral_mass_loss,              ///< C1-C2 lateral joint of a side has lost height: side, height
  ring_fracture,                  ///< C1: the lateral mass of a side is broken off the ring: side
  lateral_mass_destroyed,         ///< level, side
  body_destroyed,                 ///< level: vertebral body and both its discs
  laminectomy,                    ///< level
  facetectomy,                    ///< joint, side (both when left out), share
  posterior_ligament_section      ///< joint: supraspinous, interspinous, flavum
};
inline constexpr int kInstabilityKindCount = 15;

/// Which fields a kind needs stands at its word; the rules (case/validate) hold them to it.
struct Instability {
  InstabilityKind kind = InstabilityKind::dens_nonunion;
  std::optional<Level> level{};
  std::optional<JointId> joint{};
  std::optional<Side> side{};
  std::optional<double> share{};      ///< 0..1
  std::optional<double> height_mm{};  ///< lost
  friend bool operator==(const Instability&, const Instability&) = default;
};

}  // namespace opisthion::models
