// SPDX-License-Identifier: MIT
#include "mesh/build/neck_pose.hpp"

#include <algorithm>
#include <string>

#include "mesh/build/injury.hpp"

namespace opisthion::mesh {

using Eigen::Isometry3d;
using Eigen::Vector3d;
using models::JointId;
using models::JointState;
using models::Level;

namespace {

std::size_t at(Level level) {
  return static_cast<std::size_t>(level);
}

Isometry3d slid(const Vector3d& by_mm) {
  return Isometry3d(Eigen::Translation3d(by_mm));
}

Isometry3d turned(const Vector3d& about_mm, double flexion_rad) {
  return Eigen::Translation3d(about_mm) * Eigen::AngleAxisd(flexion_rad, Vector3d::UnitY()) *
         Eigen::Translation3d(-about_mm);
}

Vector3d library_point(const models::ParameterReader& number, Level level, std::string_view slug) {
  return number.point(std::string("point.").append(name(level)).append(".").append(slug));
}

class Poser {
 public:
  Poser(const models::Neck& neck, const models::ParameterReader& number) : neck_(neck), number_(number) {}

  NeckPose run() const {
    NeckPose out;
    out.rest.fill(Isometry3d::Identity());
    out.built.fill(Isometry3d::Identity());
    std::vector<JointId> joints = neck_.joint_ids();
    std::reverse(joints.begin(), joints.end());
    for (const JointId joint : joints) {
      const bool fused = neck_.state(joint) == JointState::fused;
      const Isometry3d turn = head_turn(joint);
      out.built[at(joint.upper)] = out.built[at(joint.lower)] * slid(slip(joint, true)) * turn;
      out.rest[at(joint.upper)] =
          out.rest[at(joint.lower)] * slid(slip(joint, false)) * (fused ? turn : Isometry3d::Identity());
      if (joint.upper == Level::C1) {
        const bool with_c1 = dens_loose(neck_) && !transverse_ligament_gone(neck_);
        out.dens_built = out.built[at(Level::C2)] * slid(with_c1 ? slip(joint, true) : Vector3d(Vector3d::Zero()));
        out.dens_rest = out.rest[at(Level::C2)] * slid(with_c1 ? slip(joint, false) : Vector3d(Vector3d::Zero()));
      }
    }
    if (neck_.upper == Level::C2) {
      out.dens_built = out.built[at(Level::C2)];
      out.dens_rest = out.rest[at(Level::C2)];
    }
    return out;
  }

 private:
  Vector3d point(Level level, std::string_view slug) const { return library_point(number_, level, slug); }

  Vector3d slip(JointId joint, bool built) const {
    const models::JointCondition* condition = neck_.condition(joint);
    if (condition == nullptr || condition->slip_mm == 0.0) return Vector3d::Zero();
    const bool reduced = built && condition->state != JointState::fused;
    return (condition->slip_mm - (reduced ? condition->reduced_mm : 0.0)) * forward_in(joint, number_);
  }

  Isometry3d head_turn(JointId joint) const {
    if (neck_.head_flexion_rad == 0.0 || !neck_.contains(Level::C0)) return Isometry3d::Identity();
    if (joint.upper == Level::C0) {
      const Vector3d contact = point(Level::C0, "condyle_contact_centre.left");
      const Vector3d normal = point(Level::C1, "superior_facet_normal.left").normalized();
      const double radius = number_.scalar("joint.C0-C1.sagittal_radius");
      Vector3d centre = contact + radius * normal;
      centre.y() = 0.0;
      return turned(centre, neck_.head_flexion_rad);
    }
    if (joint.upper == Level::C1)
      return turned(point(Level::C1, "ring_reference"),
                    number_.scalar("pose.head_flexion.C1_share") * neck_.head_flexion_rad);
    return Isometry3d::Identity();
  }

  const models::Neck& neck_;
  const models::ParameterReader& number_;
};

}  // namespace

Vector3d forward_in(JointId joint, const models::ParameterReader& number) {
  if (joint.lower <= Level::C2) return Vector3d::UnitX();
  const Vector3d above = library_point(number, joint.upper, "body_bottom_mid");
  const Vector3d up = (above - library_point(number, joint.lower, "body_top_mid")).normalized();
  return (Vector3d::UnitX() - up.x() * up).normalized();
}

std::optional<NeckPose> neck_pose(const models::Neck& neck, const models::ParameterReader& number) {
  const bool slipped = std::any_of(neck.joints.begin(), neck.joints.end(), [](const auto& c) { return c.slip_mm != 0.0; });
  if (!slipped && (neck.head_flexion_rad == 0.0 || !neck.contains(Level::C0))) return std::nullopt;
  return Poser(neck, number).run();
}

}  // namespace opisthion::mesh
