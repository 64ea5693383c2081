// SPDX-License-Identifier: MIT
#include "solver/study/full/specimen_words.hpp"

#include <algorithm>
#include <cmath>

#include "solver/study/figure.hpp"
#include "solver/study/full/follower.hpp"
#include "solver/study/naming.hpp"

namespace opisthion::study {
std::vector<std::string> specimen_notes(const Specimen& specimen, double metal_turn_deg, bool beam_by_beam) {
  std::vector<std::string> out;
  if (specimen.friction_held)
    out.emplace_back("seated without friction a part would slide away while it is tightened; friction was let hold it");
  if (metal_turn_deg > 0.0)
    out.emplace_back("condensed metal turns by " + figure(metal_turn_deg, 1) + " deg at most within its own frame");
  if (beam_by_beam)
    out.emplace_back("loads in which it would turn further than " + figure(kMostMetalTurn_deg, 0) +
                     " deg are answered beam by beam");
  if (specimen.follower.asked) {
    const double turn_deg = specimen.follower.largest_turn_deg();
    const double aside_mm = specimen.follower.furthest_aside_mm();
    out.emplace_back(
        "the follower load alone turns a joint by " + figure(turn_deg, 2) + " deg at most on the path found" +
        (aside_mm > 0.0 ? ", whose guides stand up to " + figure(aside_mm, 1) + " mm beside the midline" : "") +
        (turn_deg > kMostFollowerTurn_deg ? ", more than the " + figure(kMostFollowerTurn_deg, 1) + " deg aimed at" : ""));
  }
  if (!specimen.stands) out.emplace_back("the assembled state is no stable equilibrium");
  for (const mesh::BuildComplaint& remark : specimen.mesh.remarks) out.push_back(remark.text);
  return out;
}

bool joint_floats(const Specimen& specimen, const core::Mode& mode, std::size_t joint) {
  const auto of = [&](mesh::BodyId id) -> mesh::Vector6 {
    const int first = specimen.model.first_dof[static_cast<std::size_t>(id.value)];
    return first < 0 ? mesh::Vector6::Zero() : mesh::Vector6(mode.shape.segment<6>(first));
  };
  const mesh::JointProbes& probes = specimen.mesh.joints[joint];
  const mesh::Vector6 between = of(probes.upper) - of(probes.lower);
  const double own = std::hypot(between.head<3>().norm(), core::kRotationScale_mm * between.tail<3>().norm());
  return own > kFloats * largest_relative_motion(specimen.mesh, specimen.numbering, mode.shape).size_mm();
}

}  // namespace opisthion::study
