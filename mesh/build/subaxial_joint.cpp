// SPDX-License-Identifier: MIT
#include <cassert>

#include "mesh/build/frames.hpp"
#include "mesh/build/injury.hpp"
#include "mesh/build/joint_parts.hpp"
#include "mesh/build/neck_parts.hpp"

namespace opisthion::mesh {

using models::JointId;
using models::Level;
using models::Side;

namespace {

/// The library groups the ligaments of the lower neck by the levels they were pulled at.
std::string ligament_group(JointId joint) {
  if (joint.upper < Level::C5) return "ligament.C2-C5";
  return joint.upper < Level::T1 ? "ligament.C5-T1" : "ligament.T1-T3";
}

/// Disc at the middle of the gap between the two bodies. Rotations: the intact joint's stiffness (Panjabi 2001) times the
/// share that stays when the posterior elements are off (Moroney 1988); translations: Moroney's disc itself.
void add_disc(Assembly& assembly, JointId joint, const JointTuning& tuned) {
  const models::ParameterReader& number = assembly.number();
  const std::string id = "joint." + name(joint);
  const Vector3 above = assembly.point(joint.upper, "body_bottom_mid");
  const Vector3 below = assembly.point(joint.lower, "body_top_mid");
  AxisCushion disc;
  disc.a = assembly.bone(joint.lower);
  disc.b = assembly.bone(joint.upper);
  disc.point_mm = 0.5 * (above + below);
  disc.global_from_cushion = surface_frame(Vector3::UnitX(), above - below);
  const auto value = [&](std::string_view what) { return tuned.factor * number.scalar(std::string("disc.").append(what)); };
  const auto turning = [&](std::string_view way) {
    const std::string word(way);
    return tuned.factor * number.scalar("disc.share." + word) * number.scalar(id + ".rotation_stiffness." + word);
  };
  disc.laws[0] = two_slopes(value("posterior_shear"), value("anterior_shear"));
  disc.laws[1] = two_slopes(value("lateral_shear"), value("lateral_shear"));
  disc.laws[2] = two_slopes(value("compression"), value("tension"));
  disc.laws[3] = two_slopes(turning("bending"), turning("bending"));
  disc.laws[4] = two_slopes(turning("extension"), turning("flexion"));
  disc.laws[5] = two_slopes(turning("rotation"), turning("rotation"));
  disc.item = assembly.item(OriginKind::disc, name(joint) + " disc");
  assembly.system().axis_cushions.push_back(disc);
}

}  // namespace

void add_subaxial_joint(Assembly& assembly, JointId joint) {
  const models::ParameterReader& number = assembly.number();
  const JointTuning tuned = tuning(assembly, joint);
  const std::string id = "joint." + name(joint);
  const std::string group = ligament_group(joint);
  const std::string at = name(joint) + " ";
  const models::Neck& neck = assembly.neck();
  const bool apart = bodies_apart(neck, joint);
  if (!apart) add_disc(assembly, joint, tuned);

  for (const Side side : {Side::left, Side::right}) {
    const Facing face =
        facing(std::string(name(side)).append(" ").append(at).append("facet joint"), assembly.bone(joint.upper),
               assembly.bone(joint.lower), assembly.point(joint.upper, "inferior_facet_centre", side),
               assembly.direction(joint.upper, "inferior_facet_normal", side),
               assembly.point(joint.lower, "superior_facet_centre", side),
               assembly.direction(joint.lower, "superior_facet_normal", side), Vector3::UnitX(),
               number.scalar(id + ".surface_length"), number.scalar(id + ".surface_width"));
    const SurfaceState left = surface_state(neck, joint, side, number);
    add_pads(assembly, face, 0.0, 0.0, number.scalar(id + ".facet_gap"), number.scalar(id + ".contact_stiffness"), tuned,
             left);
    add_capsule(assembly, face, id, group + ".capsule", number.scalar(group + ".capsule.side_factor"), tuned, left);
  }

  const auto between = [&](const std::string& called, std::string_view upper, std::string_view lower, double half_width,
                           const std::string& stem, double share) {
    add_midline_ligament(assembly, at + called, assembly.on(joint.upper, assembly.point(joint.upper, upper)),
                         assembly.on(joint.lower, assembly.point(joint.lower, lower)), half_width, stem, share, tuned);
  };
  if (!apart) {
    between("anterior longitudinal ligament", "all_attachment", "all_attachment",
            number.scalar("joint.subaxial.ALL.half_width"), group + ".ALL", 1.0);
    between("posterior longitudinal ligament", "pll_attachment", "pll_attachment",
            number.scalar("joint.subaxial.PLL.half_width"), group + ".PLL", 1.0);
  }
  if (posterior_ligaments_gone(neck, joint)) return;
  // One measured curve for both: part of it runs between the edges of the processes, the rest between their tips.
  const double interspinous = number.scalar("joint.subaxial.interspinous_share");
  between("interspinous ligament", "isl_lower_edge", "isl_upper_edge", 0.0, group + ".ISL_SSL", interspinous);
  between("supraspinous ligament", "spinous_tip", "spinous_tip", 0.0, group + ".ISL_SSL", 1.0 - interspinous);
  for (const Side side : {Side::left, Side::right}) {
    const ItemId item =
        assembly.item(OriginKind::ligament, std::string(name(side)).append(" ").append(at).append("ligamentum flavum"));
    assembly.system().strands.push_back(
        {.path = {assembly.on(joint.upper, assembly.point(joint.upper, "lf_lower_edge", side)),
                  assembly.on(joint.lower, assembly.point(joint.lower, "lf_upper_edge", side))},
         .law = ligament_law(number, group + ".LF", number.scalar(group + ".LF.side_factor"), tuned),
         .item = item});
  }
}

}  // namespace opisthion::mesh
