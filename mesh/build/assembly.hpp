// SPDX-License-Identifier: MIT
#pragma once
// What the parts of the build share: the mesh that grows, the numbers, and which body a point of anatomy rides on.
#include <map>
#include <string>
#include <string_view>

#include "mesh/build/build.hpp"
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

  /// Bone of a level; the level must be in the neck (asserted).
  BodyId bone(models::Level level) const;
  void set_bone(models::Level level, BodyId body) { bones_[level] = body; }
  /// The dens: C2 itself, or the fragment of a non-union. Invalid without C2.
  BodyId dens() const { return dens_; }
  void set_dens(BodyId body) { dens_ = body; }

  /// point.<level>.<slug> of the library; `.left` points are mirrored to the side.
  Vector3 point(models::Level level, std::string_view slug) const;
  Vector3 point(models::Level level, std::string_view slug, models::Side side) const;
  /// The level's named point: occiput midpoint, ring reference, body centre.
  Vector3 reference_point(models::Level level) const;

  Attachment on(models::Level level, const Vector3& point_mm) const { return {bone(level), point_mm}; }
  Attachment on_dens(const Vector3& point_mm) const { return {dens_, point_mm}; }

  Mesh take() { return std::move(mesh_); }

 private:
  const models::Case* case_;
  const models::ParameterReader* number_;
  Mesh mesh_{};
  std::map<models::Level, BodyId> bones_{};
  BodyId dens_{};
};

}  // namespace opisthion::mesh
