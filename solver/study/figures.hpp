// SPDX-License-Identifier: MIT
#pragma once
// What is read off the neck at a state: rotations and translations from neutral, distances in the canal.
#include <vector>

#include "solver/study/prepare.hpp"

namespace opisthion::study {

struct JointFigures {
  Eigen::Vector3d rotation_rad = Eigen::Vector3d::Zero();  ///< about x, y, z
  Eigen::Vector3d translation_mm = Eigen::Vector3d::Zero();
};

struct Figures {
  Eigen::Vector3d overall_rad = Eigen::Vector3d::Zero();
  std::vector<JointFigures> joints{};  ///< in the order of Mesh::joints
  Measures measures{};
};

/// q: the state; neutral: what rotations, translations and slip are counted from.
Figures read_figures(const Prepared& prepared, const Eigen::VectorXd& q, const Eigen::VectorXd& neutral);
/// Change of one probe from neutral to q; 0 for a probe that the mesh does not have.
double probe_change(const Prepared& prepared, const std::string& probe, const Eigen::VectorXd& q,
                    const Eigen::VectorXd& neutral);

/// Largest rotation of a joint [deg], with the joint's index (-1 without joints).
struct LargestRotation {
  int joint = -1;
  double rotation_deg = 0.0;
};
LargestRotation largest_rotation(const Figures& figures);

/// Largest move of a figure from one reading to another, as a sentence's part; empty when every figure stands:
/// by no more than 0.05 deg or 0.05 mm, and by no more than 1 % where it is above the bench's resolution and the move above
/// a tenth of it.
/// `rotations_too`: and translations of joints; not of a force, for which they are not told.
std::string moved(const mesh::Mesh& mesh, const Figures& from, const Figures& to, bool rotations_too = true);
/// The same for a force's travel.
std::string moved_travel(double from_mm, double to_mm);

}  // namespace opisthion::study
