// SPDX-License-Identifier: MIT
#include "solver/core/response.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>

#include "solver/core/at_index.hpp"

namespace opisthion::core {
namespace {

using mesh::Polygon;
using mesh::ToeLinear;

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

constexpr double kInfinity = std::numeric_limits<double>::infinity();

Segment segment_of(const ToeLinear& law, double e) {
  if (law.stiffness == 0.0) return {-kInfinity, kInfinity};
  if (e < law.slack) return {-kInfinity, law.slack};
  const double end = law.slack + law.toe;
  if (e < end) return {law.slack, end, law.slack, 0.0, 0.0, 0.5 * law.stiffness / law.toe};
  return {end, kInfinity, law.slack + 0.5 * law.toe, 0.0, law.stiffness, 0.0};
}

Segment segment_of(const Polygon& p, double e) {
  if (p.count == 0) return {-kInfinity, kInfinity};
  const int i = points_up_to(p, e);
  const std::size_t base = at_index(std::max(i - 1, 0));
  return {i == 0 ? -kInfinity : p.at[base],
          i == p.count ? kInfinity : p.at[at_index(i)],
          p.at[base],
          p.value[base],
          slope_of_piece(p, i),
          0.0};
}

}  // namespace

Response respond(const mesh::ScalarLaw& law, double e) {
  if (const auto* toe = std::get_if<ToeLinear>(&law)) return respond_to(*toe, e);
  return respond_to(*std::get_if<Polygon>(&law), e);
}

Segment segment_at(const mesh::ScalarLaw& law, double e) {
  if (const auto* toe = std::get_if<ToeLinear>(&law)) return segment_of(*toe, e);
  return segment_of(*std::get_if<Polygon>(&law), e);
}

Segment segment_below(const mesh::ScalarLaw& law, double e) {
  return segment_at(law, std::nextafter(e, -kInfinity));
}

Response respond_without_energy(const mesh::ScalarLaw& law, double e) {
  const Segment segment = segment_at(law, e);
  return {0.0, segment.force_at(e), segment.stiffness_at(e)};
}

Piece piece_at(const Segment& segment, double e) {
  const double stiffness = segment.stiffness_at(e);
  // a straight piece is its own line, and its constant does not know e
  if (segment.bend == 0.0) return {stiffness, segment.force - stiffness * segment.at};
  return {stiffness, segment.force_at(e) - stiffness * e};
}

Piece piece_at(const mesh::ScalarLaw& law, double e) {
  return piece_at(segment_at(law, e), e);
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
