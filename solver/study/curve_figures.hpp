// SPDX-License-Identifier: MIT
#pragma once
// From the points of a curve to what is said of it: pure functions.
#include <optional>
#include <span>

#include "solver/study/curve.hpp"
#include "solver/study/full_figures.hpp"

namespace opisthion::study {

/// A curve of one part about one axis.
struct MomentRotation {
  double moment_Nm = 0.0;
  double rotation_deg = 0.0;
};

/// Moment over rotation; none where nothing turned.
std::optional<double> secant_stiffness_Nm_per_deg(const MomentRotation& peak);
/// Slope of moment over rotation at the last of three points: of the parabola rotation(moment) through them. None where the
/// rotation does not change there, or where two moments are equal. last three: towards the maximum.
std::optional<double> tangent_stiffness_Nm_per_deg(std::span<const MomentRotation, 3> last_three);
/// Rotation at a moment, linear between neighbours; none outside. points: by ascending moment.
std::optional<double> rotation_at_deg(std::span<const MomentRotation> points, double moment_Nm);
/// Work lost in a closed cycle [N mm]: trapezoid of M dtheta in the order of loading, closed from the last point to the
/// first. Its error falls fourfold per halving of smooth steps.
double loop_area_Nmm(std::span<const MomentRotation> cycle);
/// Rotation where a cycle crosses no moment on the way down (coming back from the positive maximum) and on the way up: last
/// crossing of each kind, linear between neighbours. Order: way up (negative side), way down (positive side).
std::array<std::optional<double>, 2> residual_rotation_deg(std::span<const MomentRotation> cycle);
/// The other two rotations per degree of the main one, in Cardan order; none where the main one is below the bench's
/// resolution.
std::optional<std::array<double, 2>> coupled_ratios(const std::array<double, 3>& rotations_deg, Plane plane);
/// Places of the two coupled rotations in a Cardan triple.
std::array<std::size_t, 2> coupled_places(Plane plane);

SixComponents six_components(const PoseFigures& figures);
/// A part with its name and named point; figures are still empty.
CurvePart curve_part(std::string name, std::string named_point, const PoseFigures& any_point);

/// Fills every figure of every part from the curve's points and cycle. What a side did not reach stays empty. Lax zone,
/// secant, tangent and residual are of the Cardan angle about the plane's axis; the loop area is of the rotation vector's
/// component about it, which does the work of a moment M . log R.
void fill_figures(PlaneCurve& curve);

}  // namespace opisthion::study
