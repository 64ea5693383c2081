// SPDX-License-Identifier: MIT
#include "solver/core/response.hpp"

#include <algorithm>
#include <cassert>

namespace opisthion::core {
namespace {

using mesh::Polygon;
using mesh::ToeLinear;

std::size_t at_index(int i) {
  return static_cast<std::size_t>(i);
}

/// Number of points at or below e, so that at a point the piece above it counts.
int points_up_to(const Polygon& p, double e) {
  int i = 0;
  while (i < p.count && p.at[at_index(i)] <= e) ++i;
  return i;
}

/// Piece i lies between point i - 1 and point i.
double slope_of_piece(const Polygon& p, int i) {
  if (i == 0) return p.slope_below;
  if (i == p.count) return p.slope_above;
  return (p.value[at_index(i)] - p.value[at_index(i - 1)]) / (p.at[at_index(i)] - p.at[at_index(i - 1)]);
}

Piece piece_of(const Polygon& p, double e) {
  if (p.count == 0) return {};
  const int i = points_up_to(p, e);
  const double slope = slope_of_piece(p, i);
  const std::size_t base = at_index(std::max(i - 1, 0));
  return {slope, p.value[base] - slope * p.at[base]};
}

double force_of(const Polygon& p, double e) {
  const int i = points_up_to(p, e);
  const std::size_t base = at_index(std::max(i - 1, 0));
  return p.value[base] + slope_of_piece(p, i) * (e - p.at[base]);
}

/// Integral of the force from 0 to e, piece by piece: the trapezium is exact on a straight piece, and no large numbers
/// cancel.
double energy_of(const Polygon& p, double e) {
  const double low = std::min(0.0, e);
  const double high = std::max(0.0, e);
  double sum = 0.0;
  double from = low;
  double force_from = force_of(p, from);
  for (int i = points_up_to(p, low); from < high; ++i) {
    const bool last = i >= p.count || p.at[at_index(i)] >= high;
    const double to = last ? high : p.at[at_index(i)];
    const double force_to = last ? force_of(p, high) : p.value[at_index(i)];
    sum += 0.5 * (force_from + force_to) * (to - from);
    from = to;
    force_from = force_to;
  }
  return e < 0.0 ? -sum : sum;
}

Response respond_to(const Polygon& p, double e) {
  if (p.count == 0) return {};
  return {energy_of(p, e), force_of(p, e), slope_of_piece(p, points_up_to(p, e))};
}

/// W = 0; k x^3/(6 toe); k toe^2/6 + k ((x - toe/2)^2 - toe^2/4)/2, the integrals of the force in mesh/system/laws.hpp.
Response respond_to(const ToeLinear& law, double e) {
  const double x = e - law.slack;
  if (x < 0.0) return {};
  if (x < law.toe) {
    const double share = x / law.toe;
    return {law.stiffness * x * x * share / 6.0, 0.5 * law.stiffness * x * share, law.stiffness * share};
  }
  const double beyond = x - 0.5 * law.toe;
  const double energy = law.stiffness * (law.toe * law.toe / 24.0 + 0.5 * beyond * beyond);
  return {energy, law.stiffness * beyond, law.stiffness};
}

Piece piece_of(const ToeLinear& law, double e) {
  const double x = e - law.slack;
  if (x < 0.0) return {};
  if (x < law.toe) {
    const Response r = respond_to(law, e);
    return {r.stiffness, r.force - r.stiffness * e};
  }
  return {law.stiffness, -law.stiffness * (law.slack + 0.5 * law.toe)};
}

}  // namespace

Response respond(const mesh::ScalarLaw& law, double e) {
  if (const auto* toe = std::get_if<ToeLinear>(&law)) return respond_to(*toe, e);
  return respond_to(*std::get_if<Polygon>(&law), e);
}

Response respond_without_energy(const mesh::ScalarLaw& law, double e) {
  if (const auto* toe = std::get_if<ToeLinear>(&law)) return respond_to(*toe, e);
  const Polygon& p = *std::get_if<Polygon>(&law);
  if (p.count == 0) return {};
  const int i = points_up_to(p, e);
  const std::size_t base = at_index(std::max(i - 1, 0));
  const double slope = slope_of_piece(p, i);
  return {0.0, p.value[base] + slope * (e - p.at[base]), slope};
}

Piece piece_at(const mesh::ScalarLaw& law, double e) {
  if (const auto* toe = std::get_if<ToeLinear>(&law)) return piece_of(*toe, e);
  return piece_of(*std::get_if<Polygon>(&law), e);
}

bool straight_at(const mesh::ScalarLaw& law, double e) {
  const auto* toe = std::get_if<ToeLinear>(&law);
  return toe == nullptr || toe->stiffness == 0.0 || e <= toe->slack || e >= toe->slack + toe->toe;
}

int kinks(const mesh::ScalarLaw& law, std::span<double, kMostKinks> out) {
  if (const auto* toe = std::get_if<ToeLinear>(&law)) {
    if (toe->stiffness == 0.0) return 0;
    out[0] = toe->slack;
    if (toe->toe == 0.0) return 1;
    out[1] = toe->slack + toe->toe;
    return 2;
  }
  const Polygon& p = *std::get_if<Polygon>(&law);
  assert(p.count >= 0 && p.count <= kMostKinks);
  int count = 0;
  for (int i = 0; i < p.count; ++i) {
    if (slope_of_piece(p, i) == slope_of_piece(p, i + 1)) continue;  // a point on a straight line is no kink
    out[at_index(count)] = p.at[at_index(i)];
    ++count;
  }
  return count;
}

}  // namespace opisthion::core
