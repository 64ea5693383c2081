// SPDX-License-Identifier: MIT
#pragma once
#include <limits>
#include <span>

#include "mesh/system/laws.hpp"

namespace opisthion::core {

/// Energy [N mm], work-conjugate force [N or N mm] and its derivative.
struct Response {
  double energy = 0.0;
  double force = 0.0;
  double stiffness = 0.0;
};

/// At a kink the stiffness is that of the side with the larger e (so a law that is just touched is closed).
Response respond(const mesh::ScalarLaw& law, double e);

/// The smooth piece of a law that e lies on. Inner loops keep it, because e mostly stays on it from one look to the next:
/// no variant to ask and no points to search. Force and stiffness are those of `respond` to rounding.
struct Segment {
  double from = std::numeric_limits<double>::infinity();  ///< holds from here, as made: nowhere
  double to = -std::numeric_limits<double>::infinity();   ///< up to here, where the next piece counts
  double at = 0.0;
  double force = 0.0;  ///< at `at`
  double slope = 0.0;  ///< at `at`
  double bend = 0.0;   ///< half the force's second derivative; not zero in a parabolic toe only
  bool holds(double e) const { return e >= from && e < to; }
  double force_at(double e) const { return force + (slope + bend * (e - at)) * (e - at); }
  double stiffness_at(double e) const { return slope + 2.0 * bend * (e - at); }
};
Segment segment_at(const mesh::ScalarLaw& law, double e);
/// The piece just below e, where e is where a piece starts.
Segment segment_below(const mesh::ScalarLaw& law, double e);

/// The same as `respond` without the energy, which a polygon has to sum.
Response respond_without_energy(const mesh::ScalarLaw& law, double e);

/// The law as a line about e: force = stiffness * e + offset. On a straight piece both come from the law's parameters alone,
/// so they do not carry the rounding of e.
struct Piece {
  double stiffness = 0.0;
  double offset = 0.0;
};
Piece piece_at(const Segment& segment, double e);
Piece piece_at(const mesh::ScalarLaw& law, double e);

inline constexpr int kMostKinks = mesh::Polygon::kMost;
/// Writes the values of e at which the law changes piece (ascending) and returns how many.
int kinks(const mesh::ScalarLaw& law, std::span<double, kMostKinks> out);

}  // namespace opisthion::core
