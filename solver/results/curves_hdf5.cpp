// SPDX-License-Identifier: MIT
#include "solver/results/curves_hdf5.hpp"

#include <array>
#include <functional>
#include <limits>

#include "models/quantity/units.hpp"
#include "solver/results/h5.hpp"
#include "solver/results/h5_values.hpp"
#include "solver/results/json_parts.hpp"
#include "solver/results/write_file.hpp"
#include "solver/study/compare.hpp"
#include "solver/study/curve_figures.hpp"

namespace opisthion::results {
namespace {

using Triple = std::array<double, 3>;

void put_points(h5::MemoryFile& file, const std::string& at, const study::PlaneCurve& curve,
                const std::vector<study::CurvePoint>& points, const char* what) {
  file.group(at, what);
  const std::size_t parts = curve.parts.size();
  const auto put = [&](const char* name, const char* unit, const char* of,
                       const std::function<double(const study::CurvePoint&)>& read) {
    Values out;
    for (const study::CurvePoint& point : points) out.push_back(plain(read(point)));
    file.array(at + "/" + name, out, {points.size()}, {.unit = unit, .what = of, .axes = {"point"}});
  };
  const auto triples = [&](const char* name, const char* unit, const char* of, const char* axis,
                           Triple study::SixComponents::*which) {
    Values out;
    for (const study::CurvePoint& point : points)
      for (std::size_t i = 0; i < parts; ++i) {
        const bool given = study::has_figure(point.status) && i < point.parts.size() && !curve.parts[i].floats;
        const Triple values = given ? point.parts[i].*which : Triple{kNone, kNone, kNone};
        for (const double value : values) out.push_back(plain(value));
      }
    file.array(at + "/" + name, out, {points.size(), parts, 3}, {.unit = unit, .what = of, .axes = {"point", "part", axis}});
  };
  const auto measure = [&](const char* name, const char* of, std::optional<double> study::Measures::*which) {
    put(name, "mm", of, [which](const study::CurvePoint& point) {
      return study::has_figure(point.status) ? value_or_none(point.measures.*which) : kNone;
    });
  };
  put("moment_Nm", "N m", "moment on the potted top: + flexion, right bending, left rotation",
      [](const auto& point) { return point.moment_Nm; });
  put("load_fraction", "1", "size of the moment over the maximum", [](const auto& point) { return point.load_fraction; });
  triples("rotations_deg", "deg",
          "rotations from neutral in the lower body's axes, Cardan sequence flexion (y), bending (x), rotation (z)",
          "flexion bending rotation", &study::SixComponents::rotations_deg);
  triples("rotation_vector_deg", "deg", "rotation vector from neutral, lower body's axes", "x y z",
          &study::SixComponents::rotation_vector_deg);
  triples("translation_mm", "mm", "translation of the upper body's named point from neutral, lower body's axes", "x y z",
          &study::SixComponents::translation_mm);
  measure("atlas_dens_interval_mm", "distance from the anterior arch of the atlas to the dens",
          &study::Measures::atlas_dens_interval_mm);
  measure("cord_room_mm", "least room for the spinal cord", &study::Measures::cord_room_mm);
  measure("c1_slip_mm", "slide of C1 on C2 from neutral, forward positive", &study::Measures::c1_slip_mm);
  std::vector<std::string> status, slipping;
  for (const study::CurvePoint& point : points) {
    status.emplace_back(study::name(point.status));
    slipping.push_back(joined(point.slipping));
  }
  file.words(at + "/status", status, {points.size()},
             {.unit = "text", .what = "solved, approximate, mechanism, no answer", .axes = {"point"}});
  file.words(at + "/slipping", slipping, {points.size()},
             {.unit = "text", .what = "what slides: friction at its cap, a line each", .axes = {"point"}});
}

void put_sides(h5::MemoryFile& file, const std::string& at, const study::PlaneCurve& curve) {
  std::vector<std::string> motion, status, reason;
  Values fraction, branches;
  for (const study::Side side : study::kSides) {
    const study::CurveSide& one = curve.sides[static_cast<std::size_t>(side)];
    motion.emplace_back(models::name(study::motion_of(curve.plane, side)));
    status.emplace_back(one.run ? study::name(one.status) : "not run");
    reason.push_back(one.reason);
    fraction.push_back(one.run ? plain(one.load_fraction) : kNone);
    branches.push_back(one.run ? one.branches : kNone);
  }
  const auto words = [&](const char* name, const std::vector<std::string>& values, const char* what) {
    file.words(at + "/" + name, values, {values.size()}, {.unit = "text", .what = what, .axes = {"side"}});
  };
  words("side", motion, "motions, in the order of the side axis: below zero, above zero");
  words("side_status", status, "solved, approximate, mechanism, no answer; not run");
  words("side_reason", reason, "why the status is not solved");
  file.array(at + "/side_load_fraction", fraction, {2}, {.unit = "1", .what = "load fraction reached", .axes = {"side"}});
  file.array(at + "/side_branches", branches, {2},
             {.unit = "1", .what = "times that an unstable equilibrium was left along its mode", .axes = {"side"}});
}

void put_parts(h5::MemoryFile& file, const std::string& at, const study::PlaneCurve& curve) {
  const std::size_t parts = curve.parts.size();
  std::vector<std::string> names, points;
  Values neutral, loop, floats;
  for (const study::CurvePart& part : curve.parts) {
    names.push_back(part.name);
    points.push_back(part.named_point);
    for (const double value : part.point_at_neutral_mm) neutral.push_back(plain(value));
    loop.push_back(part.floats ? kNone : value_or_none(part.loop_area_Nmm));
    floats.push_back(part.floats ? 1.0 : 0.0);
  }
  file.words(at + "/part", names, {parts},
             {.unit = "text", .what = "overall and joints, in the order of every part axis", .axes = {"part"}});
  file.words(at + "/named_point", points, {parts},
             {.unit = "text", .what = "point whose translation is told", .axes = {"part"}});
  file.array(at + "/point_at_neutral_mm", neutral, {parts, 3},
             {.unit = "mm",
              .what = "that point at neutral, in coordinates that ride on the lower body and are global as built",
              .axes = {"part", "x y z"}});
  file.array(at + "/floats", floats, {parts},
             {.unit = "1", .what = "1: nothing controls the joint, its figures are withheld", .axes = {"part"}});
  file.array(at + "/loop_area_Nmm", loop, {parts},
             {.unit = "N mm", .what = "work lost in the last cycle, where friction acts", .axes = {"part"}});
  const auto put = [&](const char* name, const char* unit, const char* what,
                       const std::function<double(const study::CurvePart&, std::size_t)>& read) {
    Values out;
    for (const study::CurvePart& part : curve.parts)
      for (std::size_t side = 0; side < 2; ++side) out.push_back(part.floats ? kNone : read(part, side));
    file.array(at + "/" + name, out, {parts, 2}, {.unit = unit, .what = what, .axes = {"part", "side"}});
  };
  const auto figure = [&](const char* name, const char* unit, const char* what,
                          std::optional<double> study::SideFigures::*which) {
    put(name, unit, what, [which](const auto& part, std::size_t side) { return value_or_none(part.sides[side].*which); });
  };
  figure("rotation_deg", "deg", "rotation about the plane's axis at the maximum", &study::SideFigures::rotation_deg);
  figure("lax_zone_deg", "deg", "rotation from neutral to 0.1 N m", &study::SideFigures::lax_zone_deg);
  figure("secant_stiffness_Nm_per_deg", "N m/deg", "moment over rotation at the maximum",
         &study::SideFigures::secant_stiffness_Nm_per_deg);
  figure("tangent_stiffness_Nm_per_deg", "N m/deg", "slope of moment over rotation at the maximum",
         &study::SideFigures::tangent_stiffness_Nm_per_deg);
  put("residual_rotation_deg", "deg", "rotation at no moment in the last cycle, coming back from each maximum",
      [](const auto& part, std::size_t side) { return value_or_none(part.residual_deg[side]); });
  Values coupled, direction, through, turn, along;
  for (const study::CurvePart& part : curve.parts)
    for (std::size_t side = 0; side < 2; ++side) {
      const study::SideFigures& figures = part.sides[side];
      for (std::size_t i = 0; i < 2; ++i)
        coupled.push_back(figures.coupled && !part.floats ? plain((*figures.coupled)[i]) : kNone);
      const bool given = figures.axis && !part.floats;
      for (int i = 0; i < 3; ++i) {
        direction.push_back(given ? plain(figures.axis->direction[i]) : kNone);
        through.push_back(given ? plain(figures.axis->point_mm[i]) : kNone);
      }
      turn.push_back(given ? plain(figures.axis->rotation_deg) : kNone);
      along.push_back(given ? plain(figures.axis->translation_mm) : kNone);
    }
  const auto places = study::coupled_places(curve.plane);
  file.array(at + "/coupled_deg_per_deg", coupled, {parts, 2, 2},
             {.unit = "1",
              .what = "the other two rotations per degree of the main one, at the maximum",
              .axes = {"part", "side",
                       std::string(study::kCardanNames[places[0]]) + " " + std::string(study::kCardanNames[places[1]])}});
  file.group(at + "/helical_axis", "from neutral to the maximum, lower body's axes; none below 0.5 deg");
  const std::string axis = at + "/helical_axis/";
  file.array(axis + "direction", direction, {parts, 2, 3},
             {.unit = "1", .what = "unit direction; the rotation about it is positive", .axes = {"part", "side", "x y z"}});
  file.array(axis + "point_mm", through, {parts, 2, 3},
             {.unit = "mm",
              .what = "point of the axis nearest to the named point at neutral, in the same coordinates",
              .axes = {"part", "side", "x y z"}});
  file.array(axis + "rotation_deg", turn, {parts, 2},
             {.unit = "deg", .what = "rotation about the axis", .axes = {"part", "side"}});
  file.array(axis + "translation_mm", along, {parts, 2},
             {.unit = "mm", .what = "translation along the axis", .axes = {"part", "side"}});
}

void put_row(h5::MemoryFile& file, const std::string& at, const study::CurveRow& row) {
  file.group(at, "one row: a neck or a construct");
  file.attribute(at, "row", std::string(study::name(row.row)));
  file.attribute(at, "name", row.name);
  file.attribute(at, "status", std::string(study::name(row.status)));
  file.attribute(at, "reason", row.reason);
  file.attribute(at, "foundation_factor", row.foundation_factor);
  file.attribute(at, "notes", joined(row.notes));
  for (const study::PlaneCurve& curve : row.planes) {
    const std::string plane = at + "/" + std::string(study::name(curve.plane));
    file.group(plane, "one plane");
    file.attribute(plane, "kinematics", curve.kinematics);
    file.attribute(plane, "moment_Nm", curve.moment_Nm);
    file.attribute(plane, "cycles", static_cast<double>(curve.cycles));
    put_sides(file, plane, curve);
    put_parts(file, plane, curve);
    put_points(file, plane + "/loading", curve, curve.points, "first loading from rest, by ascending moment");
    if (!curve.cycle.empty())
      put_points(file, plane + "/cycle", curve, curve.cycle, "the last loading-unloading cycle, in its order");
  }
}

}  // namespace

void write_curves_hdf5(const std::string& path, const study::Curves& curves, const Stamp& stamp) {
  h5::MemoryFile file;
  file.attribute("/", "format", kCurvesFormat);
  file.attribute("/", "format_version", kCurvesFormatVersion);
  file.attribute("/", "program", stamp.program);
  file.attribute("/", "version", stamp.version);
  file.attribute("/", "caution", stamp.caution);
  file.attribute("/", "case", curves.case_name);
  file.attribute("/", "case_xml", stamp.case_xml);
  file.attribute("/", "cardan_sequence", std::string(models::kCardanSequence));
  file.attribute("/", "axes", std::string("x anterior, y left, z superior"));
  file.attribute("/", "moment_signs", std::string("+ flexion, right bending, left rotation"));
  file.attribute("/", "bench_top", std::string(curves.bench.top ? models::name(*curves.bench.top) : ""));
  file.attribute("/", "bench_bottom", std::string(models::name(curves.bench.bottom)));
  file.attribute("/", "moment_Nm", models::to_Nm(curves.bench.moment_Nmm));
  file.attribute("/", "moment_kind", std::string(moment_kind_word(curves.bench.moment_kind)));
  file.attribute("/", "steps", static_cast<double>(curves.steps));
  file.attribute("/", "foundation_factor", curves.foundation_factor);
  const std::vector<std::string> sources(curves.parameters_read.begin(), curves.parameters_read.end());
  file.words("/sources_used", sources, {sources.size()},
             {.unit = "text", .what = "library numbers that were read", .axes = {"number"}});
  file.group("/rows", "intact neck, injured neck, then the constructs in the case's order");
  for (std::size_t i = 0; i < curves.rows.size(); ++i) put_row(file, "/rows/" + std::to_string(i), curves.rows[i]);
  write_file(path, file.bytes(), Durability::synced);
}

}  // namespace opisthion::results
