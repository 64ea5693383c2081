// SPDX-License-Identifier: MIT
#pragma once
// What moment-rotation curves say, as values: no text layout, no files.
#include <array>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "models/case/case.hpp"
#include "solver/study/assessment.hpp"
#include "solver/study/helical_axis.hpp"

namespace opisthion::study {

/// A plane holds two motions: moments below zero are extension, left bending, right rotation; above zero flexion, right
/// bending, left rotation (the signs of DESIGN 4.1, so a positive moment turns the positive way). The number of a plane is
/// the place of its rotation in a Cardan triple.
enum class Plane { flexion_extension, bending, rotation };
inline constexpr std::array<Plane, 3> kPlanes{Plane::flexion_extension, Plane::bending, Plane::rotation};
std::string_view name(Plane plane);   ///< "flexion_extension", "bending", "rotation"
std::string_view title(Plane plane);  ///< "flexion-extension", "bending", "rotation"
inline constexpr std::array<std::string_view, 3> kCardanNames{"flexion", "bending", "rotation"};

enum class Side { negative, positive };
inline constexpr std::array<Side, 2> kSides{Side::negative, Side::positive};
models::Motion motion_of(Plane plane, Side side);
Plane plane_of(models::Motion motion);
Side side_of(models::Motion motion);

/// Which way from neutral the lax zone ends, as in DESIGN 5.
inline constexpr double kLaxMoment_Nm = 0.1;

/// Motion of one part (overall, or a joint) from neutral.
struct SixComponents {
  std::array<double, 3> rotations_deg{};        ///< flexion, bending, rotation: Cardan, lower body's axes
  std::array<double, 3> rotation_vector_deg{};  ///< x y z
  std::array<double, 3> translation_mm{};       ///< x y z of the upper body's named point
};

/// One point of a curve, or of a cycle. A point that was asked for and not reached has no parts.
struct CurvePoint {
  double moment_Nm = 0.0;  ///< signed as Plane says
  Status status = Status::no_answer;
  double load_fraction = 0.0;          ///< |moment| over the maximum
  std::vector<SixComponents> parts{};  ///< in the order of PlaneCurve::parts
  Measures measures{};
  std::vector<std::string> slipping{};  ///< friction at its cap
};

/// What a curve says of one part on one side.
struct SideFigures {
  std::optional<double> rotation_deg{};  ///< at the maximum, about the plane's axis, signed
  std::optional<double> lax_zone_deg{};  ///< from neutral to 0.1 N m, >= 0 where the part turns with the moment
  std::optional<double> secant_stiffness_Nm_per_deg{};   ///< at the maximum
  std::optional<double> tangent_stiffness_Nm_per_deg{};  ///< at the maximum
  std::optional<HelicalAxis> axis{};                     ///< neutral to the maximum; none below 0.5 deg
  /// The other two rotations per degree of the main one, at the maximum, in the Cardan order without the main one; none
  /// where the main one is below the bench's resolution.
  std::optional<std::array<double, 2>> coupled{};
};

/// Overall, or a joint: what it is, and its figures (curve_figures.hpp fills them from the points).
struct CurvePart {
  std::string name{};                           ///< "overall", then "C0-C1" ...
  std::string named_point{};                    ///< in words: what translations are of
  std::array<double, 3> point_at_neutral_mm{};  ///< in coordinates that ride on the lower body, global in the reference pose
  bool floats = false;                          ///< nothing controls it: its figures mean nothing and are not printed
  std::array<SideFigures, 2> sides{};           ///< negative, positive
  std::optional<double> loop_area_Nmm{};        ///< work lost in the last cycle; only where friction acts
  /// Rotation at no moment in the last cycle, coming back from each maximum (negative, positive side): the measured neutral
  /// zone lies between them.
  std::array<std::optional<double>, 2> residual_deg{};
};

/// How one side of a plane ended.
struct CurveSide {
  bool run = false;
  Status status = Status::no_answer;
  std::string reason{};
  double load_fraction = 0.0;  ///< reached
  int branches = 0;            ///< times that an unstable equilibrium was left
  SolveRecord solve{};         ///< the worst over its points
};

struct PlaneCurve {
  Plane plane = Plane::flexion_extension;
  std::string kinematics = "full";
  double moment_Nm = 0.0;            ///< the maximum each way
  std::array<CurveSide, 2> sides{};  ///< negative, positive
  std::vector<CurvePart> parts{};    ///< overall first, then the joints from above
  std::vector<CurvePoint> points{};  ///< first loading from rest, each way; by ascending moment, zero once
  std::vector<CurvePoint> cycle{};   ///< the last cycle in the order of loading; empty where nothing rubs
  int cycles = 0;                    ///< how many were run; 0 without friction
};

struct CurveRow {
  RowKind row = RowKind::construct;
  std::string name{};
  Status status = Status::no_answer;  ///< the worst of its sides
  std::string reason{};
  double foundation_factor = 0.0;
  std::vector<TightenedItem> assembly{};
  std::vector<std::string> notes{};
  Measures at_rest{};
  std::vector<PlaneCurve> planes{};
  std::set<std::string, std::less<>> parameters_read{};
};

struct Curves {
  std::string case_name{};
  models::Bench bench{};
  int steps = 0;  ///< equal ones from zero to the maximum, each way; the point at 0.1 N m comes on top
  double foundation_factor = 0.0;
  std::vector<models::ParameterChange> changes{};
  std::vector<CurveRow> rows{};  ///< intact, injured, then the constructs in the case's order
  std::set<std::string, std::less<>> parameters_read{};
};

}  // namespace opisthion::study
