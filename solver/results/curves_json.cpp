// SPDX-License-Identifier: MIT
#include "solver/results/curves_json.hpp"

#include "solver/results/json_parts.hpp"
#include "solver/study/compare.hpp"
#include "solver/study/curve_figures.hpp"

namespace opisthion::results {
namespace {

Json triple(const Eigen::Vector3d& v) {
  return {number(v.x()), number(v.y()), number(v.z())};
}

Json axis_json(const std::optional<study::HelicalAxis>& axis) {
  if (!axis) return nullptr;
  return {{"direction", triple(axis->direction)},
          {"point_mm", triple(axis->point_mm)},
          {"rotation_deg", number(axis->rotation_deg)},
          {"translation_mm", number(axis->translation_mm)}};
}

Json coupled_json(const std::optional<std::array<double, 2>>& coupled, study::Plane plane) {
  Json out = Json::object();
  const auto places = study::coupled_places(plane);
  for (std::size_t i = 0; i < places.size(); ++i)
    out[std::string(study::kCardanNames[places[i]])] = coupled ? number((*coupled)[i]) : Json(nullptr);
  return out;
}

Json part_json(const study::CurvePart& part, const study::PlaneCurve& curve) {
  const auto shown = [&part](const std::optional<double>& value) { return part.floats ? Json(nullptr) : number(value); };
  Json out{{"name", part.name},
           {"named_point", part.named_point},
           {"point_at_neutral_mm", numbers(part.point_at_neutral_mm, true)},
           {"floats", part.floats}};
  for (const study::Side side : study::kSides) {
    const auto at = static_cast<std::size_t>(side);
    const study::SideFigures& figures = part.sides[at];
    out[std::string(models::name(study::motion_of(curve.plane, side)))] = {
        {"rotation_deg", shown(figures.rotation_deg)},
        {"lax_zone_deg", shown(figures.lax_zone_deg)},
        {"secant_stiffness_Nm_per_deg", shown(figures.secant_stiffness_Nm_per_deg)},
        {"tangent_stiffness_Nm_per_deg", shown(figures.tangent_stiffness_Nm_per_deg)},
        {"coupled_deg_per_deg", coupled_json(part.floats ? std::nullopt : figures.coupled, curve.plane)},
        {"helical_axis", axis_json(part.floats ? std::nullopt : figures.axis)},
        {"residual_rotation_deg", shown(part.residual_deg[at])}};
  }
  out["loop_area_Nmm"] = shown(part.loop_area_Nmm);
  return out;
}

Json points_json(const std::vector<study::CurvePoint>& points, const study::PlaneCurve& curve) {
  Json out = Json::array();
  for (const study::CurvePoint& point : points) {
    const bool figures = study::has_figure(point.status);
    Json parts = Json::object();
    for (std::size_t i = 0; i < curve.parts.size(); ++i) {
      const bool shown = figures && i < point.parts.size() && !curve.parts[i].floats;
      const study::SixComponents six = shown ? point.parts[i] : study::SixComponents{};
      parts[curve.parts[i].name] = {{"rotations_deg", numbers(six.rotations_deg, shown)},
                                    {"rotation_vector_deg", numbers(six.rotation_vector_deg, shown)},
                                    {"translation_mm", numbers(six.translation_mm, shown)}};
    }
    out.push_back({{"moment_Nm", number(point.moment_Nm)},
                   {"load_fraction", number(point.load_fraction)},
                   {"status", study::name(point.status)},
                   {"parts", std::move(parts)},
                   {"measures", measures_json(point.measures, figures)},
                   {"slipping", point.slipping}});
  }
  return out;
}

Json plane_json(const study::PlaneCurve& curve) {
  Json out{{"kinematics", curve.kinematics}, {"moment_Nm", number(curve.moment_Nm)}};
  for (const study::Side side : study::kSides) {
    const study::CurveSide& one = curve.sides[static_cast<std::size_t>(side)];
    Json ended{{"sign_of_moment", side == study::Side::positive ? 1 : -1}, {"run", one.run}};
    if (one.run) {
      ended["status"] = study::name(one.status);
      ended["reason"] = one.reason;
      ended["load_fraction"] = number(one.load_fraction);
      Json solve = solve_json(one.solve, false);
      solve["branches"] = one.branches;
      ended["solve"] = std::move(solve);
    }
    out[std::string(models::name(study::motion_of(curve.plane, side)))] = std::move(ended);
  }
  Json parts = Json::array();
  for (const study::CurvePart& part : curve.parts) parts.push_back(part_json(part, curve));
  out["parts"] = std::move(parts);
  out["points"] = points_json(curve.points, curve);
  out["cycles"] = curve.cycles;
  out["last_cycle"] = points_json(curve.cycle, curve);
  return out;
}

Json row_json(const study::CurveRow& row) {
  Json out{{"row", study::name(row.row)},
           {"name", row.name},
           {"status", study::name(row.status)},
           {"reason", row.reason},
           {"foundation_factor", number(row.foundation_factor)},
           {"assembly", assembly_json(row.assembly)},
           {"notes", row.notes},
           {"at_rest", measures_json(row.at_rest, true)}};
  Json planes = Json::object();
  for (const study::PlaneCurve& curve : row.planes) planes[std::string(study::name(curve.plane))] = plane_json(curve);
  out["planes"] = std::move(planes);
  return out;
}

}  // namespace

std::string curves_json(const study::Curves& curves, const Stamp& stamp) {
  Json out{{"schema", kCurvesJsonSchema},
           {"document", "curves"},
           {"program", stamp.program + " " + stamp.version},
           {"case", curves.case_name},
           {"caution", stamp.caution},
           {"bench", bench_json(curves.bench)},
           {"moment_signs", "+ flexion, right bending, left rotation; - extension, left bending, right rotation"},
           {"moment_kind", moment_kind_word(curves.bench.moment_kind)},
           {"steps", curves.steps},
           {"lax_zone_moment_Nm", study::kLaxMoment_Nm},
           {"least_helical_rotation_deg", study::kLeastHelicalRotation_deg},
           {"foundation_factor", number(curves.foundation_factor)},
           {"set_by_the_case", changes_json(curves.changes)}};
  Json rows = Json::array();
  for (const study::CurveRow& row : curves.rows) rows.push_back(row_json(row));
  out["rows"] = std::move(rows);
  out["sources_used"] = Json(curves.parameters_read);
  return document_text(out);
}

}  // namespace opisthion::results
