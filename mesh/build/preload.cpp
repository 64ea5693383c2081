// SPDX-License-Identifier: MIT
// What is on the specimen from neutral on: dead weight, traction, and the follower load's cable.
#include <algorithm>
#include <string_view>

#include "mesh/build/load_line.hpp"
#include "mesh/build/measures.hpp"
#include "mesh/build/neck_pose.hpp"

namespace opisthion::mesh {

using models::Level;

namespace {

BodyLoad on_top(const Assembly& assembly, Level top, const models::TopForce& force, double sign) {
  const Vector3 offset(force.forward_mm, 0.0, force.above_mm);
  const Vector3 at = load_line(assembly, top, force.line).through + offset;
  return {.at = assembly.on(top, at), .force_N = sign * force.force_N * Vector3::UnitZ()};
}

/// Condyles and lateral masses carry C0 and C1, which have no body.
Vector3 guide_start(const Assembly& assembly, Level level) {
  if (level == Level::C0) return load_line(assembly, level, models::AxialLine::condyles).through;
  if (level == Level::C1) return load_line(assembly, level, models::AxialLine::lateral_masses).through;
  return assembly.point(level, "body_centre");
}

/// Where a level's bone ends in front (basion's lip, anterior tubercle, front of the body) and behind (inion, posterior
/// tubercle, spinous tip).
struct Ends {
  std::string_view front, back;
};
constexpr Ends ends_of(Level level) {
  if (level == Level::C0) return {"aaom_attachment", "inion"};
  if (level == Level::C1) return {"anterior_tubercle", "posterior_tubercle"};
  return {"all_attachment", "spinous_tip"};
}

/// A level's own forward: along its upper end plate as a slip is read off; horizontal from C2 up. Turned with the level.
Vector3 level_anterior(const Assembly& assembly, Level level) {
  if (level <= Level::C2) return assembly.pose(level).linear() * Vector3::UnitX();
  const auto above = static_cast<Level>(static_cast<int>(level) - 1);
  return assembly.pose(level).linear() * forward_in({above, level}, assembly.number());
}

FollowerPath follower_path(const Assembly& assembly, Level top, Level bottom, const models::FollowerLoad& follower) {
  FollowerPath out{.force_N = follower.force_N};
  for (int i = static_cast<int>(top); i <= static_cast<int>(bottom); ++i) {
    const auto level = static_cast<Level>(i);
    const auto stated = std::find_if(follower.guides.begin(), follower.guides.end(),
                                     [level](const models::FollowerGuide& guide) { return guide.level == level; });
    const bool is_stated = stated != follower.guides.end();
    const Vector3 anterior = level_anterior(assembly, level);
    const Vector3 start = guide_start(assembly, level);
    const Ends ends = ends_of(level);
    out.guides.push_back(assembly.on(level, start + (is_stated ? stated->forward_mm : 0.0) * anterior));
    out.anterior.push_back(anterior);
    out.ahead_mm.push_back((assembly.point(level, ends.front) - start).dot(anterior));
    out.behind_mm.push_back((start - assembly.point(level, ends.back)).dot(anterior));
    out.stated.push_back(is_stated ? 1 : 0);
  }
  return out;
}

}  // namespace

void add_preload(Assembly& assembly) {
  const models::Bench& bench = assembly.the_case().bench;
  if (!bench.top) return;
  LoadProgram& program = assembly.mesh().program;
  if (bench.dead_weight) program.constant.push_back(on_top(assembly, *bench.top, *bench.dead_weight, -1.0));
  if (bench.traction) program.constant.push_back(on_top(assembly, *bench.top, *bench.traction, 1.0));
  if (bench.follower) program.follower = follower_path(assembly, *bench.top, bench.bottom, *bench.follower);
}

}  // namespace opisthion::mesh
