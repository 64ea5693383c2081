// SPDX-License-Identifier: MIT
#pragma once
// B8: two vertebrae, four screws, two rods, one disc (verification.md B8; solved independently, no published counterpart).
#include <cmath>

#include "tests/reference/beams.hpp"
#include "tests/reference/screw_seat.hpp"
#include "tests/verification/frame_model.hpp"

namespace opisthion::verification {

struct TwoBodyConstruct {
  System system{};
  BodyId lower{}, upper{};
  BodyId rod_lower{}, rod_upper{};  ///< nodes of the rod at x > 0
};

inline TwoBodyConstruct two_body_construct(bool lower_held) {
  TwoBodyConstruct c;
  System& s = c.system;
  c.lower = add_bone(s, {0, 0, 0}, lower_held);
  c.upper = add_bone(s, {0, 0, 18}, false);
  const mesh::Section rod = reference::rod_35();
  const reference::HeadStiffness& k = reference::kSeatFull;
  Matrix6 head = Matrix6::Zero();
  head.diagonal() << k.axial, k.vv, k.vv, k.torsional, k.thetatheta, k.thetatheta;
  head(1, 5) = head(5, 1) = k.vtheta;
  head(2, 4) = head(4, 2) = -k.vtheta;
  for (const double side : {1.0, -1.0}) {
    BodyId nodes[2];
    for (const int level : {0, 1}) {
      const BodyId bone = level == 0 ? c.lower : c.upper;
      const Vector3 entry(12.0 * side, -10.0, 18.0 * level);
      const Vector3 axis(0.5 * side, std::sqrt(0.75), 0.0);
      Matrix3 frame;
      frame.col(0) = axis;
      frame.col(2) = axis.cross(Vector3::UnitZ()).normalized();
      frame.col(1) = frame.col(2).cross(axis);
      const BodyId node = add_body(s, entry - 5.0 * axis, false);
      nodes[level] = node;
      s.cushions.push_back({.a = bone, .b = node, .point_mm = entry, .global_from_cushion = frame, .stiffness = head});
    }
    add_beam(s, nodes[0], nodes[1], rod, frame_along(Vector3::UnitZ(), Vector3::UnitY()));
    if (side > 0) c.rod_lower = nodes[0], c.rod_upper = nodes[1];
  }
  Vector6 disc;
  disc << 150, 150, 700, 6e4, 6e4, 9e4;
  s.cushions.push_back({.a = c.lower, .b = c.upper, .point_mm = {0, 5, 9}, .stiffness = disc.asDiagonal()});
  return c;
}

}  // namespace opisthion::verification
