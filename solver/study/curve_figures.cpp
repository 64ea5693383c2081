// SPDX-License-Identifier: MIT
#include "solver/study/curve_figures.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "models/quantity/units.hpp"
#include "solver/study/compare.hpp"

namespace opisthion::study {
namespace {

constexpr double kNothing_deg = 1e-9;                // a rotation below is rounding: force over nothing is no stiffness
constexpr double kSameMoment = 1e-9;                 // relative: the maximum is reached
constexpr std::array<int, 3> kVectorPlace{1, 0, 2};  // of a plane's axis in x y z

bool given(const CurvePoint& point, std::size_t part) {
  return has_figure(point.status) && part < point.parts.size();
}

enum class Of { cardan, vector };

/// One part about the plane's axis, at the points that have it.
std::vector<MomentRotation> read(const std::vector<CurvePoint>& points, std::size_t part, Plane plane, Of of) {
  const auto at = static_cast<std::size_t>(plane);
  std::vector<MomentRotation> out;
  for (const CurvePoint& point : points)
    if (given(point, part))
      out.push_back(
          {.moment_Nm = point.moment_Nm,
           .rotation_deg = of == Of::cardan
                               ? point.parts[part].rotations_deg[at]
                               : point.parts[part].rotation_vector_deg[static_cast<std::size_t>(kVectorPlace[at])]});
  return out;
}

const CurvePoint* peak_of(const PlaneCurve& curve, std::size_t part, double sign) {
  for (const CurvePoint& point : curve.points)
    if (given(point, part) && std::abs(point.moment_Nm - sign * curve.moment_Nm) <= kSameMoment * curve.moment_Nm)
      return &point;
  return nullptr;
}

Eigen::Vector3d vector3(const std::array<double, 3>& a) {
  return {a[0], a[1], a[2]};
}

SideFigures side_figures(const PlaneCurve& curve, std::size_t part, Side side) {
  const double sign = side == Side::positive ? 1.0 : -1.0;
  SideFigures out;
  const std::vector<MomentRotation> line = read(curve.points, part, curve.plane, Of::cardan);
  if (const auto at = rotation_at_deg(line, sign * kLaxMoment_Nm)) out.lax_zone_deg = sign * *at;
  const CurvePoint* peak = peak_of(curve, part, sign);
  if (peak == nullptr || curve.moment_Nm <= 0.0) return out;
  const SixComponents& six = peak->parts[part];
  const MomentRotation end{.moment_Nm = peak->moment_Nm,
                           .rotation_deg = six.rotations_deg[static_cast<std::size_t>(curve.plane)]};
  out.rotation_deg = end.rotation_deg;
  out.secant_stiffness_Nm_per_deg = secant_stiffness_Nm_per_deg(end);
  if (line.size() >= 3) {
    const auto towards = [&line, side](std::size_t i) {
      return side == Side::positive ? line[line.size() - 3 + i] : line[2 - i];
    };
    const std::array<MomentRotation, 3> three{towards(0), towards(1), towards(2)};
    // No parabola through zero: what stiffens there has a corner or another sense.
    if (sign * three[0].moment_Nm >= 0.0) out.tangent_stiffness_Nm_per_deg = tangent_stiffness_Nm_per_deg(three);
  }
  out.axis = helical_axis(vector3(six.rotation_vector_deg) * models::kRad_per_deg, vector3(six.translation_mm),
                          vector3(curve.parts[part].point_at_neutral_mm));
  out.coupled = coupled_ratios(six.rotations_deg, curve.plane);
  return out;
}

}  // namespace

std::string_view name(Plane plane) {
  constexpr std::array<std::string_view, 3> kNames{"flexion_extension", "bending", "rotation"};
  return kNames[static_cast<std::size_t>(plane)];
}
std::string_view title(Plane plane) {
  constexpr std::array<std::string_view, 3> kTitles{"flexion-extension", "bending", "rotation"};
  return kTitles[static_cast<std::size_t>(plane)];
}

models::Motion motion_of(Plane plane, Side side) {
  using models::Motion;
  constexpr std::array<std::array<Motion, 2>, 3> kMotionOf{{{Motion::extension, Motion::flexion},
                                                            {Motion::left_bending, Motion::right_bending},
                                                            {Motion::right_rotation, Motion::left_rotation}}};
  return kMotionOf[static_cast<std::size_t>(plane)][static_cast<std::size_t>(side)];
}
Plane plane_of(models::Motion motion) {
  return kPlanes[static_cast<std::size_t>(motion) / 2];
}
Side side_of(models::Motion motion) {
  return motion == motion_of(plane_of(motion), Side::positive) ? Side::positive : Side::negative;
}

std::optional<double> secant_stiffness_Nm_per_deg(const MomentRotation& peak) {
  if (!(std::abs(peak.rotation_deg) > kNothing_deg)) return std::nullopt;
  return peak.moment_Nm / peak.rotation_deg;
}

std::optional<double> tangent_stiffness_Nm_per_deg(std::span<const MomentRotation, 3> last_three) {
  const MomentRotation& a = last_three[0];
  const MomentRotation& b = last_three[1];
  const MomentRotation& c = last_three[2];
  const double ab = b.moment_Nm - a.moment_Nm;
  const double bc = c.moment_Nm - b.moment_Nm;
  if (ab == 0.0 || bc == 0.0 || ab + bc == 0.0) return std::nullopt;
  // Newton's divided differences, derivative at c.
  const double first = (b.rotation_deg - a.rotation_deg) / ab;
  const double last = (c.rotation_deg - b.rotation_deg) / bc;
  const double slope = last + (last - first) / (ab + bc) * bc;
  if (!(std::abs(slope * bc) > kNothing_deg)) return std::nullopt;
  return 1.0 / slope;
}

std::optional<double> rotation_at_deg(std::span<const MomentRotation> points, double moment_Nm) {
  for (std::size_t i = 0; i < points.size(); ++i) {
    if (points[i].moment_Nm == moment_Nm) return points[i].rotation_deg;
    if (i + 1 >= points.size() || points[i].moment_Nm > moment_Nm || points[i + 1].moment_Nm < moment_Nm) continue;
    const double share = (moment_Nm - points[i].moment_Nm) / (points[i + 1].moment_Nm - points[i].moment_Nm);
    return points[i].rotation_deg + share * (points[i + 1].rotation_deg - points[i].rotation_deg);
  }
  return std::nullopt;
}

double loop_area_Nmm(std::span<const MomentRotation> cycle) {
  double area_Nm_deg = 0.0;
  for (std::size_t i = 0; i < cycle.size(); ++i) {
    const MomentRotation& from = cycle[i];
    const MomentRotation& to = cycle[(i + 1) % cycle.size()];
    area_Nm_deg += 0.5 * (from.moment_Nm + to.moment_Nm) * (to.rotation_deg - from.rotation_deg);
  }
  return models::to_Nmm(area_Nm_deg) * models::kRad_per_deg;
}

std::array<std::optional<double>, 2> residual_rotation_deg(std::span<const MomentRotation> cycle) {
  std::array<std::optional<double>, 2> out;
  const auto crossing = [](const MomentRotation& a, const MomentRotation& b) {
    const double share = a.moment_Nm / (a.moment_Nm - b.moment_Nm);
    return a.rotation_deg + share * (b.rotation_deg - a.rotation_deg);
  };
  for (std::size_t i = 0; i + 1 < cycle.size(); ++i) {
    const MomentRotation& a = cycle[i];
    const MomentRotation& b = cycle[i + 1];
    if (a.moment_Nm < 0.0 && b.moment_Nm >= 0.0) out[0] = crossing(a, b);
    if (a.moment_Nm > 0.0 && b.moment_Nm <= 0.0) out[1] = crossing(a, b);
  }
  return out;
}

std::array<std::size_t, 2> coupled_places(Plane plane) {
  const auto main = static_cast<std::size_t>(plane);
  return {main == 0 ? 1U : 0U, main == 2 ? 1U : 2U};
}

std::optional<std::array<double, 2>> coupled_ratios(const std::array<double, 3>& rotations_deg, Plane plane) {
  const double main = rotations_deg[static_cast<std::size_t>(plane)];
  if (below_resolution_deg(main) || !std::isfinite(main)) return std::nullopt;
  const auto places = coupled_places(plane);
  return std::array<double, 2>{rotations_deg[places[0]] / main, rotations_deg[places[1]] / main};
}

SixComponents six_components(const PoseFigures& figures) {
  SixComponents out;
  for (int i = 0; i < 3; ++i) {
    const auto at = static_cast<std::size_t>(i);
    out.rotations_deg[at] = models::to_deg(figures.cardan_rad[i]);
    out.rotation_vector_deg[at] = models::to_deg(figures.vector_rad[i]);
    out.translation_mm[at] = figures.translation_mm[i];
  }
  return out;
}

CurvePart curve_part(std::string name, std::string named_point, const PoseFigures& any_point) {
  CurvePart out;
  out.name = std::move(name);
  out.named_point = std::move(named_point);
  for (int i = 0; i < 3; ++i) out.point_at_neutral_mm[static_cast<std::size_t>(i)] = any_point.point_at_neutral_mm[i];
  return out;
}

void fill_figures(PlaneCurve& curve) {
  for (std::size_t part = 0; part < curve.parts.size(); ++part) {
    CurvePart& out = curve.parts[part];
    for (const Side side : kSides) out.sides[static_cast<std::size_t>(side)] = side_figures(curve, part, side);
    out.loop_area_Nmm.reset();
    out.residual_deg = {};
    // An open path has no area: every point of the cycle must be there.
    if (curve.cycle.size() < 3 ||
        !std::all_of(curve.cycle.begin(), curve.cycle.end(), [part](const CurvePoint& p) { return given(p, part); }))
      continue;
    out.loop_area_Nmm = loop_area_Nmm(read(curve.cycle, part, curve.plane, Of::vector));
    out.residual_deg = residual_rotation_deg(read(curve.cycle, part, curve.plane, Of::cardan));
  }
}

}  // namespace opisthion::study
