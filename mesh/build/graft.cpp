// SPDX-License-Identifier: MIT
#include "mesh/build/graft.hpp"

#include <Eigen/Geometry>
#include <array>
#include <cassert>
#include <cmath>
#include <utility>

#include "mesh/build/frames.hpp"
#include "mesh/build/friction.hpp"
#include "mesh/build/lamina.hpp"

namespace opisthion::mesh {

using models::GraftKind;
using models::Level;
using models::Side;

namespace {

/// Four points stand at 1/(2 sqrt 3) of the size, where they resist tilting as the whole surface would.
std::array<Vector3, 4> spread(const Vector3& middle, const Matrix3& frame, double length, double width) {
  const double x = 0.5 * length / std::sqrt(3.0);
  const double y = 0.5 * width / std::sqrt(3.0);
  return {middle + x * frame.col(0) + y * frame.col(1), middle + x * frame.col(0) - y * frame.col(1),
          middle - x * frame.col(0) + y * frame.col(1), middle - x * frame.col(0) - y * frame.col(1)};
}

/// Where a graft lies between two backs.
struct Bed {
  Vector3 upper_mm = Vector3::Zero();  ///< on the lower edge of the bone above
  Vector3 lower_mm = Vector3::Zero();  ///< on the upper edge of the bone below
  Vector3 forward = Vector3::UnitX();
  double depth_mm = 0.0;  ///< along forward
  double width_mm = 0.0;
  double height_mm() const { return (upper_mm - lower_mm).norm(); }
  double area_mm2() const { return depth_mm * width_mm; }
};

Bed bed_of(const Assembly& assembly, const models::Graft& graft) {
  const models::ParameterReader& number = assembly.number();
  const std::string stem = graft.kind == GraftKind::onlay ? "graft.onlay" : "graft.block";
  Bed bed;
  bed.depth_mm = number.scalar(stem + ".depth");
  bed.width_mm = number.scalar(stem + (graft.side ? ".side_width" : ".width"));
  if (!graft.side) {
    bed.upper_mm = midline_lower_edge(assembly, graft.upper);
    bed.lower_mm = midline_upper_edge(assembly, graft.lower);
    return bed;
  }
  const BonePatch lower = lamina(assembly, graft.lower, *graft.side);
  bed.lower_mm = lower.middle_mm + 0.5 * lower.height_mm * lower.up;
  bed.forward = -lower.outward;
  if (graft.upper == Level::C0) {
    bed.upper_mm = midline_lower_edge(assembly, Level::C0) + lower.middle_mm.y() * Vector3::UnitY();
  } else {
    const BonePatch upper = lamina(assembly, graft.upper, *graft.side);
    bed.upper_mm = upper.middle_mm - 0.5 * upper.height_mm * upper.up;
  }
  return bed;
}

/// Stiffness of a column of graft, end to end [N/mm].  E A/h
double column(const Assembly& assembly, double area_mm2, double height_mm) {
  return assembly.number().scalar("graft.modulus") * area_mm2 / height_mm;
}

void add_block(Assembly& assembly, const models::Graft& graft, const Bed& bed) {
  const std::string label = label_of(graft);
  const Vector3 middle = 0.5 * (bed.upper_mm + bed.lower_mm);
  const Vector3 axis = (bed.upper_mm - bed.lower_mm).normalized();
  const BodyId block = assembly.add_body(middle, BodyKind::bone, assembly.item(OriginKind::graft, label));
  // Half the column to either end, then the contact there.
  const double end = in_series(2.0 * column(assembly, bed.area_mm2(), bed.height_mm()), bearing_stiffness(assembly));
  struct End {
    BodyId bone;
    Vector3 at, normal;  ///< normal: out of the bone, into the block
  };
  for (const End& face :
       {End{assembly.bone(graft.upper), bed.upper_mm, -axis}, End{assembly.bone(graft.lower), bed.lower_mm, axis}}) {
    const Matrix3 frame = surface_frame(bed.forward, face.normal);
    std::vector<NormalForce> forces;
    for (const Vector3& point : spread(face.at, frame, bed.depth_mm, bed.width_mm)) {
      forces.push_back(of_pad(static_cast<int>(assembly.system().pads.size())));
      assembly.system().pads.push_back({.a = {block, point},
                                        .b = face.bone,
                                        .vertex_mm = point,
                                        .global_from_surface = frame,
                                        .law = ToeLinear{.stiffness = 0.25 * end},
                                        .item = assembly.item(OriginKind::graft, label)});
    }
    add_friction(assembly,
                 {.a = block,
                  .b = face.bone,
                  .point_mm = face.at,
                  .normal = face.normal,
                  .forward = bed.forward,
                  .coefficient = assembly.number().scalar("graft.friction"),
                  .stiffness_N_per_mm = sticking_stiffness(assembly, end),
                  .turning_radius_mm = mean_radius_mm(bed.depth_mm, bed.width_mm),
                  .forces = std::move(forces)},
                 "friction of " + label);
  }
  assembly.system().neighbours.push_back({.upper = assembly.bone(graft.upper), .lower = block});
  assembly.system().neighbours.push_back({.upper = block, .lower = assembly.bone(graft.lower)});
}

/// A bar of callus between the bones.
///   E h^2 A/L along, E h^2 A/(2 (1 + nu) L) across, E h^2 I/L about;  h: healed, 0..1
/// Callus stiffens with the square of its mineral density, as porous bone does (Carter and Hayes 1977 give powers of 2 to 3;
/// from memory), and `healed` is read as the share of solid bone's density.
void add_callus(Assembly& assembly, const models::Graft& graft, BodyId upper, BodyId lower, const Vector3& middle,
                const Matrix3& frame, double length, double width, double height) {
  if (graft.healed <= 0.0) return;
  const models::ParameterReader& number = assembly.number();
  const double modulus = number.scalar("graft.healed_modulus") * graft.healed * graft.healed;
  const double shear = modulus / (2.0 * (1.0 + number.scalar("bone.poisson")));
  const double area = length * width;
  const double about_x = area * width * width / 12.0;
  const double about_y = area * length * length / 12.0;
  Cushion callus;
  callus.a = lower;
  callus.b = upper;
  callus.point_mm = middle;
  callus.global_from_cushion = frame;
  callus.stiffness.diagonal() << shear * area, shear * area, modulus * area, modulus * about_x, modulus * about_y,
      shear * (about_x + about_y);
  callus.stiffness /= height;
  callus.item = assembly.item(OriginKind::graft, "callus of " + label_of(graft));
  assembly.system().cushions.push_back(callus);
}

void add_graft(Assembly& assembly, const models::Graft& graft) {
  const models::ParameterReader& number = assembly.number();
  if (graft.kind == GraftKind::lateral_joint) {
    assert(graft.side && "the reader asks for the side");
    const LateralJoint joint = lateral_joint(assembly, *graft.side);
    const double length = 2.0 * joint.face.half_length_mm;
    const double width = 2.0 * joint.face.half_width_mm;
    const double contact = 0.5 * bearing_stiffness(assembly);  // above and below
    fill_joint(assembly, joint,
               {.label = label_of(graft),
                .kind = OriginKind::graft,
                .stiffness_N_per_mm = in_series(column(assembly, length * width, joint.gap_mm), contact),
                .length_mm = length,
                .width_mm = width,
                .friction = number.scalar("graft.friction")});
    add_callus(assembly, graft, joint.face.upper, joint.face.lower, joint.face.centre_mm, joint.face.frame, length, width,
               joint.gap_mm);
    return;
  }
  const Bed bed = bed_of(assembly, graft);
  if (graft.kind == GraftKind::block) add_block(assembly, graft, bed);
  add_callus(assembly, graft, assembly.bone(graft.upper), assembly.bone(graft.lower), 0.5 * (bed.upper_mm + bed.lower_mm),
             surface_frame(bed.forward, bed.upper_mm - bed.lower_mm), bed.depth_mm, bed.width_mm, bed.height_mm());
}

}  // namespace

LateralJoint lateral_joint(const Assembly& assembly, Side side) {
  const models::ParameterReader& number = assembly.number();
  const Vector3 above = assembly.point(Level::C1, "inferior_facet_centre", side);
  const Vector3 below = assembly.point(Level::C2, "superior_facet_centre", side);
  LateralJoint joint;
  joint.face = facing(std::string(name(side)).append(" C1-C2 lateral joint"), assembly.bone(Level::C1, side),
                      assembly.bone(Level::C2, side), above, assembly.direction(Level::C1, "inferior_facet_normal", side),
                      below, assembly.direction(Level::C2, "superior_facet_normal", side), Vector3::UnitX(),
                      number.scalar("joint.C1-C2.surface_length"), number.scalar("joint.C1-C2.surface_width"));
  constexpr double kLeastGap_mm = 0.1;  // an eroded joint: what is packed into it still has a height
  joint.gap_mm = std::max(kLeastGap_mm, (above - below).dot(joint.face.frame.col(2)));
  return joint;
}

void fill_joint(Assembly& assembly, const LateralJoint& joint, const JointFilling& filling) {
  const Facing& face = joint.face;
  const std::size_t first_slip = assembly.system().slips.size();
  std::vector<NormalForce> forces;
  for (const Vector3& point : spread(face.centre_mm, face.frame, filling.length_mm, filling.width_mm)) {
    forces.push_back(of_pad(static_cast<int>(assembly.system().pads.size())));
    assembly.system().pads.push_back(
        {.a = {face.upper, point},
         .b = face.lower,
         .vertex_mm = point,
         .global_from_surface = face.frame,
         .law = ToeLinear{.slack = filling.slack_mm, .stiffness = 0.25 * filling.stiffness_N_per_mm},
         .item = assembly.item(filling.kind, filling.label)});
  }
  add_friction(assembly,
               {.a = face.upper,
                .b = face.lower,
                .point_mm = face.centre_mm,
                .normal = face.frame.col(2),
                .forward = face.frame.col(0),
                .coefficient = filling.friction,
                .stiffness_N_per_mm = sticking_stiffness(assembly, filling.stiffness_N_per_mm),
                .turning_radius_mm = mean_radius_mm(filling.length_mm, filling.width_mm),
                .forces = std::move(forces)},
               "friction of " + filling.label);
  for (std::size_t i = first_slip; i < assembly.system().slips.size(); ++i) assembly.system().slips[i].driven_in = true;
}

std::string label_of(const models::Graft& graft) {
  std::string label;
  if (graft.side) label.append(name(*graft.side)).append(" ");
  switch (graft.kind) {
    case GraftKind::block:
      label += "block graft";
      break;
    case GraftKind::onlay:
      label += "onlay graft";
      break;
    case GraftKind::lateral_joint:
      label += "lateral joint graft";
      break;
  }
  return label.append(" '").append(graft.name).append("'");
}

void add_grafts(Assembly& assembly, const models::Construct& construct) {
  for (const models::Graft& graft : construct.grafts) add_graft(assembly, graft);
}

}  // namespace opisthion::mesh
