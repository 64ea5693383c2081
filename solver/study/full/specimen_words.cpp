// SPDX-License-Identifier: MIT
#include "solver/study/full/specimen_words.hpp"

#include <algorithm>
#include <cmath>

#include "solver/study/figure.hpp"
#include "solver/study/full/follower.hpp"
#include "solver/study/naming.hpp"

namespace opisthion::study {
namespace {

constexpr double kToldShift_mm = 0.05;  // less is printed as 0.0

std::string follower_note(const FollowerFit& fit) {
  std::string stand;
  const auto add = [&stand](double far_mm, const char* where) {
    if (far_mm >= kToldShift_mm) stand += (stand.empty() ? "" : ", ") + figure(far_mm, 1) + " mm " + where;
  };
  add(fit.furthest_aside_mm(), "beside the midline");
  add(fit.furthest_forward_mm(), "forward");
  add(fit.furthest_back_mm(), "back");
  return "the follower load alone turns a joint by " + figure(fit.largest_turn_deg(), 2) + " deg at most" +
         (fit.largest_turn_deg() > kMostFollowerTurn_deg
              ? ", more than the " + figure(kMostFollowerTurn_deg, 1) + " deg aimed at,"
              : "") +
         " and slides one by " + figure(fit.largest_slide_mm(), 1) + " mm at most; guides of the path found stand " +
         (stand.empty() ? "where they start" : "up to " + stand + " from where they start") +
         (fit.steepest_leg_deg > kSteepLeg_deg
              ? "; its steepest leg runs " + figure(fit.steepest_leg_deg, 0) + " deg off the line along the neck"
              : "");
}

}  // namespace

std::vector<std::string> specimen_notes(const Specimen& specimen, double metal_turn_deg, bool beam_by_beam) {
  std::vector<std::string> out;
  if (specimen.friction_held)
    out.emplace_back("seated without friction a part would slide away while it is tightened; friction was let hold it");
  if (metal_turn_deg > 0.0)
    out.emplace_back("condensed metal turns by " + figure(metal_turn_deg, 1) + " deg at most within its own frame");
  if (beam_by_beam)
    out.emplace_back("loads in which it would turn further than " + figure(kMostMetalTurn_deg, 0) +
                     " deg are answered beam by beam");
  if (specimen.follower.asked) out.push_back(follower_note(specimen.follower));
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
