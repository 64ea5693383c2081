// SPDX-License-Identifier: MIT
#pragma once
// Geometric stiffness: what forces that are there already add to the stiffness, because motion turns them. The exact second
// variation of each element's potential at a given force, motions taken along the exponential retraction (THEORY 9).
#include <span>
#include <vector>

#include "mesh/system/system.hpp"

namespace opisthion::core {

/// One 6x6 of a symmetric matrix on bodies; both (row, column) and (column, row) are listed.
struct BlockEntry {
  mesh::BodyId row{};
  mesh::BodyId column{};
  mesh::Matrix6 block{};
};
using BlockList = std::vector<BlockEntry>;

/// A strand that is looped round a body, which can slip through the loop along itself: that does not turn the leg.
struct SlidesAlong {
  mesh::BodyId body{};
  mesh::Vector3 direction = mesh::Vector3::UnitX();
};
/// The ways in which friction holds strand i back (System::slips that feed on it, along metal on the strand's path).
std::vector<SlidesAlong> slides_of(const mesh::System& system, int strand);

/// tension: of the strand [N]; the same in every segment (it slides through its inner points without friction).
void add_strand_prestress(const mesh::Strand& strand, std::span<const SlidesAlong> slides, const mesh::System& system,
                          double tension_N, BlockList& out);
/// compression: of the pad [N]; its normal rides on body b and turns as the point wanders over the curved surface.
void add_pad_prestress(const mesh::Pad& pad, const mesh::System& system, double compression_N, BlockList& out);
/// A flat face that rides on the ring and meets the dens at its axis: turning about that axis costs nothing.
void add_ring_prestress(const mesh::Ring& ring, const mesh::System& system, double arch_N, double ligament_N,
                        BlockList& out);

/// Friction that holds with this force [N; turning N mm] at rest, as a graft's does from the first pull on: its direction
/// rides on body b.
void add_slip_prestress(const mesh::Slip& slip, const mesh::System& system, double force, BlockList& out);

/// A linear element, or a condensed component, that carries forces between its bodies. It rides in the mean frame of its
/// bodies (their mean rotation about their mean position), which makes it objective: only so does the sum over everything
/// that carries force vanish when all is moved as one.
struct ForceGroup {
  std::vector<mesh::BodyId> bodies{};
  Eigen::VectorXd force{};  ///< dU/dq at each body's reference point, six a body [N, N mm]; in balance as a whole
  /// Where the element takes hold of each body, and measures its motion: a disc at its own centre. Empty: at the reference
  /// points.
  std::vector<mesh::Vector3> points_mm{};
};
void add_group_prestress(const ForceGroup& group, const mesh::System& system, BlockList& out);

}  // namespace opisthion::core
