// SPDX-License-Identifier: MIT
#include "mesh/build/hook.hpp"

#include "mesh/build/frames.hpp"
#include "mesh/build/friction.hpp"

namespace opisthion::mesh {

namespace {

/// +1 where it grips the upper edge, so that its mouth faces down.
double grips_up(const models::Anchor& hook) {
  return hook.facing.value_or(models::HookFacing::down) == models::HookFacing::down ? 1.0 : -1.0;
}

Vector3 edge(const models::Anchor& hook, const BonePatch& lamina) {
  return lamina.middle_mm + grips_up(hook) * 0.5 * lamina.height_mm * lamina.up;
}

}  // namespace

Vector3 hook_groove(const Assembly& assembly, const models::Anchor& hook, const BonePatch& lamina) {
  return edge(hook, lamina) +
         (0.5 * lamina.thickness_mm + assembly.number().scalar("hook.rod_behind_lamina")) * lamina.outward;
}

BodyId add_hook(Assembly& assembly, const PlacedAnchor& placed) {
  const models::ParameterReader& number = assembly.number();
  const BonePatch& bone_patch = placed.patch;
  const BodyId bone = assembly.bone(placed.anchor->level);
  const BodyId hook =
      assembly.add_body(placed.path.lock_mm(), BodyKind::metal, assembly.item(OriginKind::hook, placed.label));
  assembly.system().bodies[static_cast<std::size_t>(hook.value)].port = true;
  const Vector3 to_edge = grips_up(*placed.anchor) * bone_patch.up;
  const Vector3 rim = edge(*placed.anchor, bone_patch);
  const Vector3 inside = rim - number.scalar("hook.blade_depth") * to_edge;
  const double half_width = number.scalar("hook.half_width");
  const double stiffness = bearing_stiffness(assembly);
  const double pressed = given_or(placed.anchor->tension_N, assembly, "hook.tension");

  // Two pads of half the stiffness each, at either side of the blade.
  const auto bear = [&](const Vector3& at, const Vector3& normal, double gap, double press, const char* what) {
    std::vector<NormalForce> forces;
    for (const double side : {-1.0, 1.0}) {
      const Vector3 point = at + side * half_width * bone_patch.sideways;
      forces.push_back(of_pad(static_cast<int>(assembly.system().pads.size())));
      assembly.system().pads.push_back({.a = {hook, point},
                                        .b = bone,
                                        .vertex_mm = point,
                                        .global_from_surface = surface_frame(bone_patch.sideways, normal),
                                        .law = ToeLinear{.slack = gap, .stiffness = 0.5 * stiffness},
                                        .tighten_N = 0.5 * press,
                                        .item = assembly.item(OriginKind::hook, std::string(what) + " of " + placed.label)});
    }
    return forces;
  };
  const auto rub = [&](const Vector3& at, const Vector3& normal, std::vector<NormalForce> forces) {
    add_friction(assembly,
                 {.a = hook,
                  .b = bone,
                  .point_mm = at,
                  .normal = normal,
                  .forward = bone_patch.sideways,
                  .coefficient = number.scalar("friction.metal_on_bone"),
                  .stiffness_N_per_mm = sticking_stiffness(assembly, stiffness),
                  .turning_radius_mm = half_width,
                  .forces = std::move(forces)},
                 "friction of " + placed.label);
  };
  const double play = number.scalar("hook.play");
  rub(rim, to_edge, bear(rim, to_edge, 0.0, pressed, "throat"));
  const Vector3 in_canal = inside - 0.5 * bone_patch.thickness_mm * bone_patch.outward;
  rub(in_canal, -bone_patch.outward, bear(in_canal, -bone_patch.outward, 0.0, 0.0, "blade"));
  bear(inside + 0.5 * bone_patch.thickness_mm * bone_patch.outward, bone_patch.outward, play, 0.0, "back");
  assembly.system().neighbours.push_back({.upper = hook, .lower = bone});
  return hook;
}

}  // namespace opisthion::mesh
