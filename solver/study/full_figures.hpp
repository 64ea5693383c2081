// SPDX-License-Identifier: MIT
#pragma once
// What is read off the neck at a pose of the full model: rotations and translations from neutral, distances in the canal.
#include <string_view>
#include <vector>

#include "mesh/build/build.hpp"
#include "solver/core/full/pose.hpp"
#include "solver/study/figures.hpp"

namespace opisthion::study {

/// Motion of one body on another since neutral, in the lower body's axes (those of the global frame in the reference pose).
///   Q = R_l^T R_u,  R = Q Q0^T,  Q0: Q at neutral
/// cardan_rad: R = R_y(flexion) R_x(bending) R_z(rotation): intrinsic y, x', z''. The first axis rides on the lower body,
/// the last on the upper one. + flexion, + right bending, + left rotation. Bending lies within +-90 deg.
struct PoseFigures {
  Eigen::Vector3d cardan_rad = Eigen::Vector3d::Zero();  ///< flexion, bending, rotation
  Eigen::Vector3d vector_rad = Eigen::Vector3d::Zero();  ///< rotation vector of R: x, y, z
  Eigen::Vector3d translation_mm =
      Eigen::Vector3d::Zero();  ///< of the upper body's named point: R_l^T (x - x_l), from neutral
  /// Where the named point stood at neutral, in coordinates that ride on the lower body and are the global ones in the
  /// reference pose: what a helical axis counts from.
  Eigen::Vector3d point_at_neutral_mm = Eigen::Vector3d::Zero();
};

struct FullFigures {
  PoseFigures overall{};              ///< top on bottom; zero without a top
  std::vector<PoseFigures> joints{};  ///< in the order of Mesh::joints
  Measures measures{};
};

/// now, neutral: one pose per body of the mesh's system. What is below 1e-12 (rounding) reads 0.
FullFigures read_full_figures(const mesh::Mesh& mesh, const core::full::Poses& now, const core::full::Poses& neutral);

/// Flexion, bending, rotation [rad] of a rotation matrix, as above. At +-90 deg of bending (where they are not unique)
/// rotation is set to zero.
Eigen::Vector3d cardan_of(const Eigen::Matrix3d& rotation);

/// A probe in finite geometry: its axis rides on the base body.
///   travel [mm]:    value at reference + (R_b a) . (x - x_b) - a . (the same in the reference pose)
///   rotation [rad]: a . log(R_b^T R)
double probe_value(const mesh::Mesh& mesh, const mesh::Probe& probe, const core::full::Poses& poses);
/// Change of one probe from neutral; 0 for a probe that the mesh does not have.
double full_probe_change(const mesh::Mesh& mesh, std::string_view probe, const core::full::Poses& now,
                         const core::full::Poses& neutral);

/// Rotation about a motion's axis [deg], positive in the motion: the Cardan angle of that name.
double rotation_deg(const PoseFigures& figures, models::Motion motion);
/// The rotation vectors in place of small rotations, for what looks at sizes (largest_rotation, physical ends, moved).
Figures as_figures(const FullFigures& figures);
/// Joints as an assessment tells them; `floats` is left to the caller.
std::vector<JointMotion> joint_motions(const mesh::Mesh& mesh, const FullFigures& figures, models::Motion motion);

}  // namespace opisthion::study
