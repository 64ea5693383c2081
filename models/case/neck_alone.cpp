// SPDX-License-Identifier: MIT
#include "models/case/neck_alone.hpp"

namespace opisthion::models {

namespace {

Case without_metal(const Case& the_case, std::string_view row) {
  Case out = the_case;
  out.constructs = {bare_construct(row)};
  out.bench.heads.clear();
  out.bench.sequence.clear();
  return out;
}

}  // namespace

Construct bare_construct(std::string_view row) {
  return {.name = std::string(row)};
}

Case intact_case(const Case& the_case) {
  Case out = without_metal(the_case, kIntactRow);
  out.neck.instabilities.clear();
  out.neck.joints.clear();
  out.neck.head_flexion_rad = 0.0;
  return out;
}

Case injured_case(const Case& the_case) {
  Case out = without_metal(the_case, kInjuredRow);
  for (JointCondition& joint : out.neck.joints) joint.reduced_mm = 0.0;
  const bool head_held = out.neck.state({Level::C0, Level::C1}) == JointState::fused ||
                         out.neck.state({Level::C1, Level::C2}) == JointState::fused;
  if (!head_held) out.neck.head_flexion_rad = 0.0;
  return out;
}

}  // namespace opisthion::models
