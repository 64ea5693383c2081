// SPDX-License-Identifier: MIT
#include "mesh/build/assembly.hpp"

#include <cassert>

namespace opisthion::mesh {

using models::Level;

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

Vector3 Assembly::point(Level level, std::string_view slug) const {
  return number_->point(std::string("point.").append(name(level)).append(".").append(slug));
}

Vector3 Assembly::point(Level level, std::string_view slug, models::Side side) const {
  return models::on_side(point(level, std::string(slug) + ".left"), side);
}

Vector3 Assembly::reference_point(Level level) const {
  if (level == Level::C0) return point(level, "occiput_midpoint_basion_opisthion");
  if (level == Level::C1) return point(level, "ring_reference");
  return point(level, "body_centre");
}

}  // namespace opisthion::mesh
