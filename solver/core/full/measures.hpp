// SPDX-License-Identifier: MIT
#pragma once
// Strain measures of scalar laws in finite geometry, with derivatives along the exponential retraction. In the reference
// pose value and gradient are those of the rows of `functionals_of`, and Hessians those of prestress.hpp.
#include "solver/core/full/pose.hpp"
#include "solver/core/prestress.hpp"

namespace opisthion::core::full {

/// A measure e [mm; rad] and its derivatives, six unknowns a body in the order of `bodies` (each body once; held ones
/// included). Derivatives that are not asked for are left as they are; those that are have exactly the size of `bodies`.
struct Measure {
  double value = 0.0;
  std::vector<BodyId> bodies{};
  Eigen::VectorXd gradient{};
  Eigen::MatrixXd hessian{};  ///< symmetric, both triangles
};

/// A strand with what does not change: arms in body axes, length in the reference pose, ways in which metal slips through
/// it.
struct StrandGeometry {
  struct Point {
    int body = 0;  ///< into `bodies`
    Vector3 arm_mm = Vector3::Zero();
  };
  /// The point `point` of metal slips through the loop along a direction that rides on body `on` (bone): the segment at hand
  /// sees it where it was on that bone along the direction (THEORY 9). Directions are square to the segment as there, and to
  /// each other; they stand in the order of segments, all of one segment at one end.
  struct Slide {
    int segment = 0;
    bool at_end = true;                    ///< the segment's second point slides, else its first
    Vector3 direction = Vector3::UnitX();  ///< in the axes of the segment's other body
    double at_mm = 0.0;                    ///< the place along it in the reference pose
  };
  /// From one point to the next. Seen by b, so that a slide's direction, if there is one, rides on it.
  struct Leg {
    int from = 0;  ///< into `points`: b's, where nothing slides
    int to = 0;    ///< into `points`: the one seen
    BodyId a{}, b{};
    int first_slide = 0;  ///< into `slides`
    int slides = 0;
  };
  std::vector<BodyId> bodies{};
  std::vector<Point> points{};
  std::vector<Slide> slides{};
  std::vector<Leg> legs{};
  double reference_length_mm = 0.0;
};
StrandGeometry strand_geometry(const mesh::System& system, int strand);
/// e = true length of the path now - length in the reference pose.
void measure(const StrandGeometry& strand, std::span<const Pose> poses, Order order, Measure& out);

/// e = closing of the first-order distance f/|grad f| of a's point to the paraboloid that rides on b, from the reference
/// pose. A point that stands off a curved surface by g there leans: the row of `functionals_of` has n alone, this one has
/// n - g H n/|grad f| with H the Hessian of f (1 % of n for 1 mm off, curvature 0.1/mm, 1 mm beside the vertex).
struct PadGeometry {
  BodyId a{}, b{};
  Vector3 arm_mm = Vector3::Zero();         ///< of the point, in a's axes
  Vector3 vertex_arm_mm = Vector3::Zero();  ///< of the vertex, in b's axes
  Matrix3 surface = Matrix3::Identity();    ///< body_from_surface
  double curvature_sagittal_per_mm = 0.0;
  double curvature_coronal_per_mm = 0.0;
  double reference_distance_mm = 0.0;
};
PadGeometry pad_geometry(const mesh::System& system, const mesh::Pad& pad);
void measure(const PadGeometry& pad, std::span<const Pose> poses, Order order, Measure& out);

/// Sliding of a's point along a direction that rides on b, from the reference pose: the ring's faces (arch: +anterior,
/// ligament: -gain anterior) and friction.
struct SlideGeometry {
  BodyId a{}, b{};
  Vector3 arm_mm = Vector3::Zero();      ///< in a's axes
  Vector3 direction = Vector3::UnitX();  ///< in b's axes, any length
  double reference_mm = 0.0;
};
SlideGeometry arch_geometry(const mesh::System& system, const mesh::Ring& ring);
SlideGeometry ring_ligament_geometry(const mesh::System& system, const mesh::Ring& ring);
SlideGeometry slip_geometry(const mesh::System& system, const mesh::Slip& slip);  ///< slip.turning must be false
void measure(const SlideGeometry& slide, std::span<const Pose> poses, Order order, Measure& out);

/// Turning of a on b about a direction that rides on b [rad]: direction . log(R_b^T R_a).
struct TurnGeometry {
  BodyId a{}, b{};
  Vector3 direction = Vector3::UnitX();
};
TurnGeometry turn_geometry(const mesh::Slip& slip);
void measure(const TurnGeometry& turn, std::span<const Pose> poses, Order order, Measure& out);

}  // namespace opisthion::core::full
