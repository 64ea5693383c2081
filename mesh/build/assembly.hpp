// SPDX-License-Identifier: MIT
#pragma once
// What the parts of the build share: the mesh that grows, the numbers, and which body a point of anatomy rides on.
#include <Eigen/Geometry>
#include <map>
#include <optional>
#include <string>
#include <string_view>

#include "mesh/build/build.hpp"
#include "mesh/build/neck_pose.hpp"
#include "models/case/case.hpp"

namespace opisthion::mesh {

class Assembly {
 public:
  Assembly(const models::Case& the_case, const models::ParameterReader& number) : case_(&the_case), number_(&number) {}

  const models::Case& the_case() const { return *case_; }
  const models::Neck& neck() const { return case_->neck; }
  const models::ParameterReader& number() const { return *number_; }
  Mesh& mesh() { return mesh_; }
  System& system() { return mesh_.system; }

  ItemId item(OriginKind kind, std::string name, double station = 0.0);
  BodyId add_body(const Vector3& position_mm, BodyKind kind, ItemId item);

  /// Bone of a level; the level must be in the neck (asserted). C1: the ring, without lateral masses broken off it.
  BodyId bone(models::Level level) const;
  /// Bone that the lateral mass of a side belongs to: the level's, or a lateral mass of C1 that is broken off the ring.
  BodyId bone(models::Level level, models::Side side) const;
  void set_bone(models::Level level, BodyId body) { bones_[level] = body; }
  void set_lateral_mass_of_c1(models::Side side, BodyId body) { lateral_masses_[side] = body; }
  /// The dens: C2 itself, or its fragment. Invalid without C2 and where the dens was taken out.
  BodyId dens() const { return dens_; }
  void set_dens(BodyId body) { dens_ = body; }

  /// point.<level>.<slug> of the library, where it stands once the neck is posed; `.left` points are mirrored to the side.
  Vector3 point(models::Level level, std::string_view slug) const;
  Vector3 point(models::Level level, std::string_view slug, models::Side side) const;
  /// The same for a unit vector of the library (a surface normal): turned, not moved.
  Vector3 direction(models::Level level, std::string_view slug, models::Side side) const;
  /// A point of the dens (its own pose where it is loose).
  Vector3 dens_point(std::string_view slug) const;
  /// The level's named point: occiput midpoint, ring reference, body centre.
  Vector3 reference_point(models::Level level) const;

  Attachment on(models::Level level, const Vector3& point_mm) const { return {bone(level), point_mm}; }
  Attachment on(models::Level level, const Vector3& point_mm, models::Side side) const {
    return {bone(level, side), point_mm};
  }
  Attachment on_dens(const Vector3& point_mm) const { return {dens_, point_mm}; }

  /// Where a level's bone stands in the system: global_from_library. The identity until the neck is posed, and after it
  /// for a neck in library posture.
  Eigen::Isometry3d pose(models::Level level) const;
  Eigen::Isometry3d dens_pose() const;
  /// From here on points stand where this pose has them.
  void set_pose(NeckPose pose) { pose_ = std::move(pose); }

  Mesh take() { return std::move(mesh_); }

 private:
  Vector3 library_point(models::Level level, std::string_view slug) const;

  const models::Case* case_;
  const models::ParameterReader* number_;
  Mesh mesh_{};
  std::map<models::Level, BodyId> bones_{};
  std::map<models::Side, BodyId> lateral_masses_{};
  BodyId dens_{};
  std::optional<NeckPose> pose_{};
};

}  // namespace opisthion::mesh
