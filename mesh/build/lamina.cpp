// SPDX-License-Identifier: MIT
#include "mesh/build/lamina.hpp"

#include <Eigen/Geometry>
#include <cassert>

#include "mesh/build/frames.hpp"

namespace opisthion::mesh {

using models::Level;
using models::Side;

namespace {

double thickness(const Assembly& assembly, Level level, Side side) {
  const auto measured = assembly.neck().anatomy_at(level, side).lamina_thickness_mm;
  if (measured) return *measured;
  const std::string generic = std::string("anatomy.").append(name(level)).append(".lamina_thickness");
  const std::string own = std::string("back.").append(name(level)).append(".thickness");
  return assembly.number().scalar(assembly.number().has(generic) ? generic : own);
}

/// In the sagittal plane of the side's flaval ligament, the lamina runs from its lower to its upper edge.
Vector3 edge(const Assembly& assembly, Level level, Side side, bool upper) {
  if (level == Level::C1) return assembly.point(level, upper ? "posterior_arch_top_edge" : "posterior_arch_bottom_edge");
  return assembly.point(level, upper ? "lf_upper_edge" : "lf_lower_edge", side);
}

Vector3 in_midline(Vector3 point) {
  point.y() = 0.0;
  return point;
}

}  // namespace

BonePatch lamina(const Assembly& assembly, Level level, Side side) {
  assert(level != Level::C0);
  BonePatch patch;
  patch.middle_mm =
      level == Level::C1 ? assembly.point(level, "arch_beside_midline", side) : assembly.point(level, "lamina", side);
  const Vector3 at_midline =
      level == Level::C1
          ? Vector3(0.5 * (assembly.point(level, "posterior_arch_inner") + assembly.point(level, "posterior_tubercle")))
          : assembly.point(level, "spinolaminar_point");
  const Vector3 upper = edge(assembly, level, side, true);
  const Vector3 lower = edge(assembly, level, side, false);
  const Vector3 along = patch.middle_mm - at_midline;
  Vector3 normal = along.cross(upper - lower);
  if (normal.x() > 0.0) normal = -normal;  // out of the back
  patch.outward = normal.normalized();
  patch.up = across(upper - lower, patch.outward);
  patch.sideways = across(along, patch.up);
  patch.thickness_mm = thickness(assembly, level, side);
  patch.height_mm = assembly.neck().anatomy_at(level, side).lamina_height_mm.value_or((upper - lower).norm());
  return patch;
}

Vector3 midline_upper_edge(const Assembly& assembly, Level level) {
  assert(level != Level::C0);
  if (level == Level::C1) return assembly.point(level, "posterior_arch_top_edge");
  return in_midline(0.5 * (assembly.point(level, "lf_upper_edge", Side::left) + assembly.point(level, "isl_upper_edge")));
}

Vector3 midline_lower_edge(const Assembly& assembly, Level level) {
  if (level == Level::C0) return assembly.point(level, "opisthion");
  if (level == Level::C1) return assembly.point(level, "posterior_arch_bottom_edge");
  return in_midline(0.5 * (assembly.point(level, "lf_lower_edge", Side::left) + assembly.point(level, "isl_lower_edge")));
}

Vector3 spinous_notch(const Assembly& assembly, Level level) {
  if (level == Level::C0) return assembly.point(level, "opisthion");
  if (level == Level::C1) return assembly.point(level, "posterior_tubercle");
  return assembly.point(level, "isl_lower_edge");
}

Vector3 spinous_base(const Assembly& assembly, Level level) {
  if (level == Level::C0 || level == Level::C1) return spinous_notch(assembly, level);
  return 0.5 * (assembly.point(level, "isl_upper_edge") + assembly.point(level, "isl_lower_edge"));
}

Vector3 midline_front(const Assembly& assembly, Level level) {
  if (level == Level::C0) return assembly.point(level, "opisthion");
  return assembly.point(level, level == Level::C1 ? "posterior_arch_inner" : "spinolaminar_point");
}

}  // namespace opisthion::mesh
