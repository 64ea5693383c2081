// SPDX-License-Identifier: MIT
#pragma once
// A neck and a construct as plain arrays: bodies, elements and law parameters with opaque item ids. No anatomy here.
// Units: N, mm, N mm, rad. Frame: global, in the reference pose, unless a name says otherwise.
#include <Eigen/Core>
#include <array>
#include <string>
#include <vector>

#include "mesh/system/ids.hpp"
#include "mesh/system/laws.hpp"

namespace opisthion::mesh {

using Vector3 = Eigen::Vector3d;
using Matrix3 = Eigen::Matrix3d;
using Vector6 = Eigen::Matrix<double, 6, 1>;
using Matrix6 = Eigen::Matrix<double, 6, 6>;
using Matrix12 = Eigen::Matrix<double, 12, 12>;

enum class BodyKind { bone, metal };

struct Body {
  Vector3 position_mm = Vector3::Zero();  ///< reference point that its six unknowns (translation, rotation) refer to
  BodyKind kind = BodyKind::bone;
  bool fixed = false;  ///< held to ground
  bool port = false;   ///< kept through condensation: always true for bone; for metal where a load or a law touches it
  ItemId item{};
};

/// A point that rides rigidly on a body.
struct Attachment {
  BodyId body{};
  Vector3 point_mm = Vector3::Zero();
};

/// Cross-section constants of a beam.
struct Section {
  double axial_N = 0.0;         ///< E A
  double torsional_Nmm2 = 0.0;  ///< G J
  double bending_y_Nmm2 = 0.0;  ///< E I about the beam's y
  double bending_z_Nmm2 = 0.0;  ///< E I about the beam's z
  double shear_y_N = 0.0;       ///< kappa G A for shear along y
  double shear_z_N = 0.0;
};

/// Elastic bed of a beam in bone (Winkler); all zero for a free span.
struct Foundation {
  double lateral_MPa = 0.0;  ///< force per length and deflection [N/mm^2]
  double axial_MPa = 0.0;    ///< the same along the axis (thread shear)
  double torsional_N = 0.0;  ///< moment per length and radian [N mm/mm/rad]
  bool none() const { return lateral_MPa == 0.0 && axial_MPa == 0.0 && torsional_N == 0.0; }
};

/// Straight Timoshenko beam from body a to body b; where it runs through bone it also leans on that bone.
struct Beam {
  BodyId a{};
  BodyId b{};
  BodyId bone{};                                   ///< invalid: a free span
  Matrix3 global_from_beam = Matrix3::Identity();  ///< columns: axis a->b, y, z
  double length_mm = 0.0;
  Section section{};
  Foundation foundation{};
  ItemId item{};
};

/// Linear 6x6 between two bodies at one point (lock, callus, fused joint). Acts on the motion of b's point relative to a's.
struct Cushion {
  BodyId a{};
  BodyId b{};
  Vector3 point_mm = Vector3::Zero();
  Matrix3 global_from_cushion = Matrix3::Identity();
  Matrix6 stiffness = Matrix6::Zero();  ///< translations first; N/mm, N, N mm/rad
  ItemId item{};
};

/// A cushion with a law per axis (disc): translations x y z, then rotations about them, in its own frame.
struct AxisCushion {
  BodyId a{};
  BodyId b{};
  Vector3 point_mm = Vector3::Zero();
  Matrix3 global_from_cushion = Matrix3::Identity();
  std::array<ScalarLaw, 6> laws{};
  ItemId item{};
};

/// Tension-only line through two or more points (frictionless at the inner ones). e = length - length in the reference pose.
struct Strand {
  std::vector<Attachment> path{};
  ScalarLaw law{};
  /// > 0: pulled to this tension at assembly and then made fast: from there on the law's slope holds it, anchored so that it
  /// carries this tension in the assembled pose. The law must be a ToeLinear without toe (asserted).
  double tighten_N = 0.0;
  ItemId item{};
};

/// Compression-only contact of a point of body a with a curved surface of body b.
/// In the surface frame (columns: sagittal tangent, coronal tangent, normal towards a) the surface is the paraboloid
/// z = (curvature_sagittal x^2 + curvature_coronal y^2)/2: positive curvature makes a cup, zero a plane.
/// e = closing of the distance from the reference pose; the law's slack is the gap.
struct Pad {
  Attachment a{};
  BodyId b{};
  Vector3 vertex_mm = Vector3::Zero();
  Matrix3 global_from_surface = Matrix3::Identity();
  double curvature_sagittal_per_mm = 0.0;
  double curvature_coronal_per_mm = 0.0;
  ScalarLaw law{};
  double tighten_N = 0.0;  ///< as for a strand: pressed on with this force at assembly (a lag screw's head, a hook's blade)
  ItemId item{};
};

/// The dens in the ring of the atlas: contact in front, the transverse ligament behind, both radial about the dens axis,
/// so that turning about that axis costs nothing. anterior points from the dens to the arch.
struct Ring {
  BodyId dens{};
  BodyId ring{};
  Vector3 axis_point_mm = Vector3::Zero();
  Vector3 axis = Vector3::UnitZ();
  Vector3 anterior = Vector3::UnitX();
  ToeLinear arch{};  ///< e: closing of the anterior gap; slack: the atlas-dens interval
  bool has_ligament = true;
  double ligament_gain =
      1.0;               ///< elongation of the ligament per mm that the dens moves back: 2 cos(half the angle of its halves)
  ToeLinear ligament{};  ///< e: elongation
  ItemId arch_item{};
  ItemId ligament_item{};
};

/// A normal force that friction feeds on: of a strand (its tension) or of a pad (its compression), by index.
struct NormalForce {
  enum class Of { strand, pad } of = Of::strand;
  int index = 0;  ///< into System::strands or System::pads
  double weight = 1.0;
};

/// Friction: resists that a's point slides on body b along a direction, or that a turns on b about it. Elastic while it
/// sticks; above the cap it slides. The cap is cap_per_N times the weighted sum of the normal forces, in the current state.
/// Isotropic friction in a plane: four of them, 45 deg apart, each with stiffness k/2 and cap mu/2.514 (their sum lies
/// within 4 % of mu N in every direction).
struct Slip {
  Attachment a{};
  BodyId b{};
  Vector3 direction = Vector3::UnitX();
  bool turning = false;
  double stiffness = 0.0;  ///< [N/mm], turning [N mm/rad]
  double cap_per_N = 0.0;  ///< [1], turning [mm]
  /// Driven in along the contact (a spacer): friction holds nothing until it sits. Otherwise what lies between two bones
  /// grips from the first pull on.
  bool driven_in = false;
  std::vector<NormalForce> normal{};
  ItemId item{};
};

/// Two bodies that regularisation ties (never to ground): neighbouring bones, and metal or graft that only one-sided laws or
/// friction hold, with the bone it lies on.
struct NeighbourPair {
  BodyId upper{};
  BodyId lower{};
};

struct System {
  std::vector<Body> bodies{};
  std::vector<Beam> beams{};
  std::vector<Cushion> cushions{};
  std::vector<AxisCushion> axis_cushions{};
  std::vector<Strand> strands{};
  std::vector<Pad> pads{};
  std::vector<Ring> rings{};
  std::vector<Slip> slips{};
  std::vector<NeighbourPair> neighbours{};
};

inline const Body& body(const System& s, BodyId id) {
  return s.bodies[static_cast<std::size_t>(id.value)];
}

}  // namespace opisthion::mesh
