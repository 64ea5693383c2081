// SPDX-License-Identifier: MIT
#pragma once
// Linear (or axis-wise) elasticity between bodies that rides in a frame fitted to them (THEORY 7): cushions and discs in the
// mean frame of two bodies, corotational beams and condensed metal. One kernel for all of them, and a closed form of the
// first two (pair_gauge.hpp).
//
//   R_m = polar( sum_i [ w_i (x_i - x)(P_i - P)^T + l_i^2 R_i R_i0^T ] ),  x, P: means with the weights w_i
//   (all w_i zero: plain means)
//   d_i = ( R_m^T (x_i - x) - (P_i - P),  log(R_m^T R_i R_i0^T) )
//   W = d^T K d / 2 + f0 . d   (or six laws of d_2 - d_1; free beams: bowing besides)
//
// K answers nothing to a common translation, so what x is does not matter. Gradient and Hessian are exact, those of R_m
// included.
#include <array>

#include "mesh/system/laws.hpp"
#include "solver/core/full/pose.hpp"

namespace opisthion::core::full {

struct GaugePort {
  BodyId body{};
  Vector3 arm_mm = Vector3::Zero();                  ///< in body axes: the port's point is p + R arm
  double position_weight = 0.0;                      ///< w
  double rotation_weight_mm2 = 1.0;                  ///< l^2
  Vector3 reference_mm = Vector3::Zero();            ///< P, in gauge axes
  Matrix3 reference_rotation = Matrix3::Identity();  ///< R_0, in gauge axes
};

/// The bow of a slender part along its chord: its ends come closer by g = d^T G d/2, G the consistent geometric stiffness of
/// a unit tension, so that its axial deformation is u + g with u = stretch . d. Adds EA/L (u g + g^2/2) to d^T K d/2.
/// A beam that takes a bent pose for its reference bows from there on as a straight one would.
struct Bowing {
  double axial_N_per_mm = 0.0;  ///< EA/L
  Eigen::VectorXd stretch{};    ///< 12, gauge axes; empty: no bowing
  Eigen::MatrixXd geometric{};  ///< G [1/mm, -, mm]
  bool there() const { return stretch.size() > 0; }
};

struct GaugeElement {
  std::vector<GaugePort> ports{};
  Eigen::MatrixXd stiffness{};         ///< 6n x 6n in gauge axes at the ports' points; empty where laws answer
  Eigen::VectorXd force0{};            ///< empty: none
  bool by_laws = false;                ///< two ports: six laws on d_2 - d_1 in `axes` (translations, then rotations)
  Matrix3 axes = Matrix3::Identity();  ///< gauge_from_laws
  std::array<mesh::ScalarLaw, 6> laws{};
  Bowing bowing{};  ///< two ports with a stiffness
  mesh::ItemId item{};
};

struct GaugeWork {  ///< scratch, kept between calls
  Eigen::VectorXd d{}, force{};
  Eigen::MatrixXd a{}, b{}, c{};
  Matrix3 gauge = Matrix3::Identity();  ///< R_m of the last `deformation`

  /// What the kernel knows of one port; global axes unless a name says otherwise.
  struct Port {
    Vector3 arm{}, hat{}, hat_reference{};  ///< R a, x - mean, R_m (P - mean)
    Vector3 log{}, force{}, moment{};       ///< of d_2; what pairs with x and with the body's spin
    Vector3 pull{};                         ///< what pairs with x, the gauge's share included
    Matrix3 turn{};                         ///< R_i R_0^T, later relative to the gauge
    Matrix3 gauge_log_inverse{};            ///< R_m^T L^-1(log)
    Matrix3 second{};                       ///< second derivatives of this port's own rotation
    Matrix3 mixed_u{}, mixed_t{};           ///< second derivatives by its body (translation, rotation) and the gauge
    Matrix3 follow_u{}, follow_t{};         ///< transpose of the gauge's derivative by its body
  };
  std::vector<Port> ports{};
};

/// Derivatives in the order of ports, on the bodies' own unknowns (arms included): the first 6n entries (rows and columns)
/// of what `out` holds, which only ever grows. The forces of force0 must sum to zero. Throws nothing, reports nothing: where
/// the gauge is not defined (two bodies 180 deg apart) derivatives are not finite, or those of one side.
void evaluate(const GaugeElement& element, std::span<const Pose> poses, Order order, GaugeWork& work, Answer& out);
/// d (exactly 6n) and the gauge R_m at given poses.
void deformation(const GaugeElement& element, std::span<const Pose> poses, GaugeWork& work);

using Vector12 = Eigen::Matrix<double, 12, 1>;
/// What bowing adds to the energy at d (12) and to its derivative; g and u + g.
struct Bow {
  double energy_Nmm = 0.0;
  double shortening_mm = 0.0;  ///< g
  double elongation_mm = 0.0;  ///< u + g
  Vector12 slope{};            ///< g' = G d
  Vector12 force{};
};
Bow bow_at(const Bowing& bowing, const double* d);

/// Takes the present poses as free of deformation, in the gauge that the ports' references up to now define: P_i := R_m^T
/// (x_i - x) and so on. Stiffness keeps its axes relative to the metal. Used when rods are locked (THEORY 8).
void take_reference(GaugeElement& element, std::span<const Pose> poses, GaugeWork& work);

/// Free straight beam (no bed): 12x12 of beam.hpp at its nodes, corotational, with its bow in the axial strain (THEORY 7). A
/// node that has a pose of its own is a body.
GaugeElement beam_element(const mesh::System& system, const mesh::Beam& beam);
/// Beam that leans on a bone: the bone is the gauge (weight on it alone), 18x18.
GaugeElement bedded_beam_element(const mesh::System& system, const mesh::Beam& beam);
/// 6x6 between two bodies at one point, in their mean frame.
GaugeElement cushion_element(const mesh::System& system, const mesh::Cushion& cushion);
GaugeElement axis_cushion_element(const mesh::System& system, const mesh::AxisCushion& cushion);
/// Condensed metal: its stiffness moved from the bodies' reference points to `points` (one per port, reference pose,
/// global), with weights 1 on positions and l = 0.15 of the ports' rms distance from their mean (at least 1 mm) on
/// rotations.
GaugeElement component_element(const mesh::System& system, std::span<const BodyId> ports, const Eigen::MatrixXd& stiffness,
                               std::span<const Vector3> points_mm);

}  // namespace opisthion::core::full
