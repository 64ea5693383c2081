// SPDX-License-Identifier: MIT
#include "mesh/build/assembly.hpp"

#include <cassert>

namespace opisthion::mesh {

using models::Level;
using models::Side;

ItemId Assembly::item(OriginKind kind, std::string name, double station) {
  return mesh_.origins.add({kind, std::move(name), station});
}

BodyId Assembly::add_body(const Vector3& position_mm, BodyKind kind, ItemId item) {
  const BodyId id{static_cast<int>(mesh_.system.bodies.size())};
  mesh_.system.bodies.push_back({.position_mm = position_mm, .kind = kind, .port = kind == BodyKind::bone, .item = item});
  return id;
}

BodyId Assembly::bone(Level level) const {
  const auto found = bones_.find(level);
  assert(found != bones_.end() && "the reader lets only levels of the neck through");
  return found->second;
}

BodyId Assembly::bone(Level level, Side side) const {
  const auto found = lateral_masses_.find(side);
  return level == Level::C1 && found != lateral_masses_.end() ? found->second : bone(level);
}

Vector3 Assembly::library_point(Level level, std::string_view slug) const {
  return number_->point(std::string("point.").append(name(level)).append(".").append(slug));
}

Vector3 Assembly::point(Level level, std::string_view slug) const {
  const Vector3 p = library_point(level, slug);
  return pose_ ? Vector3(pose(level) * p) : p;
}

Vector3 Assembly::point(Level level, std::string_view slug, Side side) const {
  const Vector3 p = models::on_side(library_point(level, std::string(slug) + ".left"), side);
  return pose_ ? Vector3(pose(level) * p) : p;
}

Vector3 Assembly::direction(Level level, std::string_view slug, Side side) const {
  const Vector3 d = models::on_side(library_point(level, std::string(slug) + ".left"), side);
  return pose_ ? Vector3(pose(level).linear() * d) : d;
}

Vector3 Assembly::dens_point(std::string_view slug) const {
  const Vector3 p = library_point(Level::C2, slug);
  return pose_ ? Vector3(dens_pose() * p) : p;
}

Vector3 Assembly::reference_point(Level level) const {
  if (level == Level::C0) return point(level, "occiput_midpoint_basion_opisthion");
  if (level == Level::C1) return point(level, "ring_reference");
  return point(level, "body_centre");
}

Eigen::Isometry3d Assembly::pose(Level level) const {
  return pose_ ? pose_->built[static_cast<std::size_t>(level)] : Eigen::Isometry3d::Identity();
}

Eigen::Isometry3d Assembly::dens_pose() const {
  return pose_ ? pose_->dens_built : Eigen::Isometry3d::Identity();
}

}  // namespace opisthion::mesh
