// SPDX-License-Identifier: MIT
#pragma once
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

/// The same without the energy, which a polygon has to sum: for inner loops.
Response respond_without_energy(const mesh::ScalarLaw& law, double e);

/// The law as a line about e: force = stiffness * e + offset. On a straight piece both come from the law's parameters alone,
/// so they do not carry the rounding of e.
struct Piece {
  double stiffness = 0.0;
  double offset = 0.0;
};
Piece piece_at(const mesh::ScalarLaw& law, double e);
/// False inside a parabolic toe.
bool straight_at(const mesh::ScalarLaw& law, double e);

inline constexpr int kMostKinks = mesh::Polygon::kMost;
/// Writes the values of e at which the law changes piece (ascending) and returns how many.
int kinks(const mesh::ScalarLaw& law, std::span<double, kMostKinks> out);

}  // namespace opisthion::core
