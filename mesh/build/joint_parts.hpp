// SPDX-License-Identifier: MIT
#pragma once
// The parts that every joint is made of: ligaments as strands, joint surfaces as pads, capsules about them.
#include <string>
#include <string_view>
#include <vector>

#include "mesh/build/assembly.hpp"
#include "mesh/build/injury.hpp"

namespace opisthion::mesh {

/// What the state of a joint does to its laws: a stiff joint has every tangent multiplied and every gap closed.
struct JointTuning {
  double factor = 1.0;
  bool closed = false;
};
JointTuning tuning(const Assembly& assembly, models::JointId joint);

/// Tension law of a ligament of the library, or of a share of it: `<stem>.curve` with `.slack`, else `.stiffness .toe
/// .slack`.
ScalarLaw ligament_law(const models::ParameterReader& number, const std::string& stem, double share,
                       const JointTuning& tuned);
/// The same with another slack than the library's (a capsule whose fibres get theirs from an angle).
ScalarLaw with_slack(const ScalarLaw& law, double slack_mm, const JointTuning& tuned);

/// Compression law of a share of a joint surface.
ToeLinear contact_law(double gap_mm, double stiffness_N_per_mm, const JointTuning& tuned);

/// A ligament of some width in the sagittal middle: two strands at half_width to the left and right, half its stiffness
/// each; one strand where half_width is 0.
void add_midline_ligament(Assembly& assembly, const std::string& name, const Attachment& upper, const Attachment& lower,
                          double half_width_mm, const std::string& stem, double share, const JointTuning& tuned);

/// Two facing joint surfaces of one side. The frame lies in the middle of the gap, its normal points to the upper bone.
struct Facing {
  std::string name{};  ///< "left C1-C2 lateral joint"
  BodyId upper{};
  BodyId lower{};
  Vector3 centre_mm = Vector3::Zero();
  Matrix3 frame = Matrix3::Identity();  ///< columns: sagittal tangent, coronal tangent, normal
  double half_length_mm = 0.0;          ///< along the sagittal tangent
  double half_width_mm = 0.0;           ///< along the coronal tangent
};

/// From the centres and outward normals of the two surfaces.
Facing facing(std::string name, BodyId upper, BodyId lower, const Vector3& upper_centre, const Vector3& upper_normal,
              const Vector3& lower_centre, const Vector3& lower_normal, const Vector3& forward, double length_mm,
              double width_mm);

/// Four pads, front and back x left and right, on the lower surface (a cup where the curvatures are positive). They stand
/// at 1/(2 sqrt 3) of the size, where four points resist tilting as the whole surface would. Where part of the surface is
/// gone, what is left stays where it was: the two medial pads fade first, over the first half, then the lateral ones.
void add_pads(Assembly& assembly, const Facing& face, double curvature_sagittal_per_mm, double curvature_coronal_per_mm,
              double gap_mm, double stiffness_N_per_mm, const JointTuning& tuned, const SurfaceState& state);

/// Fibres of a capsule: at the front, back and both sides of the rim a crossed pair, so that opening, sliding and turning
/// all stretch some of them. Their laws share one capsule's stiffness. A fibre is `length` long along the normal and each of
/// its ends stands `cross` off along the rim. Where part of the capsule is gone, the medial pair fades over the first
/// quarter, those in front and behind over the next half, the lateral pair last.
struct Fibre {
  Attachment upper{};
  Attachment lower{};
  double coronal = 0.0;  ///< where on the rim: 1 at the end of the coronal tangent, -1 at its start, 0 in front and behind
};
std::vector<Fibre> capsule_fibres(const Facing& face, double length_mm, double cross_mm);
void add_capsule(Assembly& assembly, const Facing& face, const std::string& joint_id, const std::string& stem, double share,
                 const JointTuning& tuned, const SurfaceState& state);

/// Elongation of a fibre when its upper end turns about an axis by a finite angle.
double elongation_by_turning(const Fibre& fibre, const Vector3& axis_point_mm, const Vector3& axis, double angle_rad);

}  // namespace opisthion::mesh
