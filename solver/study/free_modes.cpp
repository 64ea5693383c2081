// SPDX-License-Identifier: MIT
#include "solver/study/free_modes.hpp"

#include "models/quantity/units.hpp"
#include "solver/study/naming.hpp"

namespace opisthion::study {

void name_modes(ConstructResult& result, const mesh::Mesh& mesh, const core::ReducedModel& numbering,
                const core::Modes& modes, const std::function<core::LaxProbe(const core::Mode&)>& probe) {
  const double free_below = core::StabilityOptions{}.zero_ratio * modes.stiffest_N_per_mm;
  std::vector<core::Mode> held;
  std::vector<RelativeMotion> floating;
  for (const core::Mode& mode : modes.softest) {
    if (mode.stiffness_N_per_mm > free_below) {
      held.push_back(mode);
      continue;
    }
    const core::LaxProbe told = probe(mode);
    const RelativeMotion motion = largest_relative_motion(mesh, numbering, mode.shape);
    if (!told.stiffens) {
      floating.push_back(motion);
      continue;
    }
    const bool turns = mostly_turns(motion);
    // The travel runs along the mode, which has unit length in the scaled measure.
    const double travel =
        turns ? models::to_deg(told.travel * motion.turn_rad.norm()) : told.travel * motion.slide_mm.norm();
    result.free.push_back(
        {.what = describe(motion, Sense::both_ways), .lax = true, .travel = travel, .unit = turns ? "deg" : "mm"});
  }
  for (const std::string& what : floating_words(floating)) result.free.push_back({.what = what, .lax = false});
  result.softest = soft_motions(mesh, numbering, held);
}

}  // namespace opisthion::study
