// SPDX-License-Identifier: MIT
#pragma once
// Curves made by hand: a row that is solved and rubs, one whose extension ends early.
#include <cmath>
#include <utility>

#include "solver/study/curve_figures.hpp"

namespace opisthion::study {

/// rotation = 8 M / (1 + |M|) deg: stiffens. Joints share it 3 to 1; a twentieth of it is coupled.
inline CurvePoint sample_point(Plane plane, double moment_Nm, double offset_deg = 0.0) {
  constexpr std::array<std::size_t, 3> kXyz{1, 0, 2};
  const double main = 8.0 * moment_Nm / (1.0 + std::abs(moment_Nm)) + offset_deg;
  CurvePoint out{.moment_Nm = moment_Nm, .status = Status::solved, .load_fraction = std::abs(moment_Nm) / 1.5};
  for (const double share : {1.0, 0.75, 0.25}) {
    SixComponents six;
    const std::size_t at = static_cast<std::size_t>(plane);
    six.rotations_deg[at] = share * main;
    six.rotations_deg[coupled_places(plane)[0]] = 0.05 * share * main;
    six.rotation_vector_deg[kXyz[at]] = share * main;
    six.translation_mm = {0.1 * share * main, 0.0, -0.02};
    out.parts.push_back(six);
  }
  out.measures = {.atlas_dens_interval_mm = 2.0 + 0.1 * main, .cord_room_mm = 14.0 - 0.2 * main, .c1_slip_mm = 0.1 * main};
  return out;
}

inline PlaneCurve sample_plane(Plane plane, bool rubs, bool ends_early) {
  PlaneCurve out;
  out.plane = plane;
  out.moment_Nm = 1.5;
  for (const char* name : {"overall", "C1-C2", "C2-C3"}) {
    out.parts.push_back({.name = name, .named_point = "reference point of the upper body at (1.0, 0.0, 30.0) mm"});
    out.parts.back().point_at_neutral_mm = {1.0, 0.0, 30.0};
  }
  for (auto& side : out.sides)
    side = {.run = true,
            .status = Status::solved,
            .reason = "",
            .load_fraction = 1.0,
            .branches = 0,
            .solve = {.load_fraction = 1.0}};
  for (const double m : {-1.5, -1.0, -0.5, -0.1, 0.0, 0.1, 0.5, 1.0, 1.5}) out.points.push_back(sample_point(plane, m));
  if (rubs) {
    out.cycles = 3;
    for (const double m : {1.5, 0.75, 0.0, -0.75}) out.cycle.push_back(sample_point(plane, m, m < 1.5 ? 0.4 : 0.0));
    for (const double m : {-1.5, -0.75, 0.0, 0.75, 1.5})
      out.cycle.push_back(sample_point(plane, m, std::abs(m) < 1.5 ? -0.4 : 0.0));
    out.points.back().slipping = {"rod 'left' through its wire at C3"};
  }
  if (ends_early) {
    out.points.front() = {.moment_Nm = -1.5, .status = Status::mechanism, .load_fraction = 1.0};
    out.sides[0] = {.run = true,
                    .status = Status::mechanism,
                    .reason = "C1 slides backward on C2",
                    .load_fraction = 2.0 / 3.0,
                    .branches = 1,
                    .solve = {.load_fraction = 2.0 / 3.0}};
  }
  fill_figures(out);
  return out;
}

inline Curves sample_curves() {
  Curves out;
  out.case_name = "a \"case\", by hand";
  out.bench.top = models::Level::C1;
  out.bench.bottom = models::Level::C3;
  out.steps = 3;
  out.foundation_factor = 0.05;
  out.parameters_read = {"interface.foundation_factor"};
  CurveRow intact{.row = RowKind::intact, .name = "intact neck", .status = Status::solved, .reason = "every load solved"};
  for (const Plane plane : kPlanes) intact.planes.push_back(sample_plane(plane, false, false));
  CurveRow injured{
      .row = RowKind::injured, .name = "injured neck", .status = Status::mechanism, .reason = "extension: runs away"};
  injured.planes.push_back(sample_plane(Plane::flexion_extension, false, true));
  CurveRow wired{
      .row = RowKind::construct, .name = "rods, \"wired\" # both", .status = Status::solved, .reason = "every load solved"};
  wired.planes.push_back(sample_plane(Plane::rotation, true, false));
  wired.assembly.push_back({.name = "wire left", .asked_N = 100.0, .at_rest_N = 62.0});
  out.rows = {intact, injured, wired};
  return out;
}

}  // namespace opisthion::study
