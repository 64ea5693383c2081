// SPDX-License-Identifier: MIT
#pragma once
// Motions in plain words: which body moves on which neighbour, and how.
#include <string>
#include <vector>

#include "mesh/build/build.hpp"
#include "solver/core/modes.hpp"
#include "solver/core/reduced.hpp"
#include "solver/study/assessment.hpp"

namespace opisthion::study {

/// Motion of a body relative to a neighbour, at the upper body's reference point.
struct RelativeMotion {
  std::string upper{};  ///< "C1", "dens fragment"
  std::string lower{};  ///< empty: against the ground
  Eigen::Vector3d slide_mm = Eigen::Vector3d::Zero();
  Eigen::Vector3d turn_rad = Eigen::Vector3d::Zero();
  bool wired = false;      ///< upper is metal that wires hold on lower: it slides through them
  double size_mm() const;  ///< with rotations scaled by 20 mm
};

/// "C1, C2, C3"
std::string listed(const std::vector<std::string>& names);

/// Share of a floating mode's largest motion that makes a joint float, too.
inline constexpr double kFloats = 0.1;

/// A mode swings both ways, an escape goes one way.
enum class Sense { both_ways, one_way };
/// "C1 turns on C2 about the vertical axis", "C1 slides forward on C2", "dens fragment tilts and slides on C2 ...".
std::string describe(const RelativeMotion& motion, Sense sense);
/// Whether turning rather than sliding carries most of the motion.
bool mostly_turns(const RelativeMotion& motion);

/// The pair of neighbours that moves most in q; bodies that have no neighbour are taken against the ground.
RelativeMotion largest_relative_motion(const mesh::Mesh& mesh, const core::ReducedModel& model, const Eigen::VectorXd& q);
/// Whether q moves a graft in its bed and leaves the bones where they are on each other (less than a tenth of the graft's
/// motion): nothing of the neck escapes then, the graft works loose.
bool only_a_graft_moves(const mesh::Mesh& mesh, const core::ReducedModel& model, const Eigen::VectorXd& q);
/// The same of a dens that has come off C2: C1 and C2 stay where they are on each other, so the load does not hang on it.
bool only_the_dens_moves(const mesh::Mesh& mesh, const core::ReducedModel& model, const Eigen::VectorXd& q);
/// All pairs, in the order of System::neighbours.
std::vector<RelativeMotion> relative_motions(const mesh::Mesh& mesh, const core::ReducedModel& model,
                                             const Eigen::VectorXd& q);

/// Floating motions in words: a body with more than one is told once ("C1 floats on C2: 6 free motions").
std::vector<std::string> floating_words(const std::vector<RelativeMotion>& motions);

/// A mode as a soft motion: N m/deg where it mostly turns, N/mm where it mostly slides.
SoftMotion soft_motion(const RelativeMotion& motion, double eigenvalue_N_per_mm);
/// Modes whose stiffnesses differ by less than 1 % have no shape of their own: they are named together, once.
/// Of a dens fragment only the softest is told.
std::vector<SoftMotion> soft_motions(const mesh::Mesh& mesh, const core::ReducedModel& model,
                                     const std::vector<core::Mode>& modes, std::size_t most = 5);

}  // namespace opisthion::study
