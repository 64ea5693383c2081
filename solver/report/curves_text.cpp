// SPDX-License-Identifier: MIT
#include "solver/report/curves_text.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "models/quantity/units.hpp"
#include "solver/report/bench_text.hpp"
#include "solver/report/caution.hpp"
#include "solver/report/cells.hpp"
#include "solver/report/columns.hpp"
#include "solver/study/compare.hpp"
#include "solver/study/curve_figures.hpp"
#include "solver/study/figure.hpp"

namespace opisthion::report {
namespace {

using study::CurvePart;
using study::CurvePoint;
using study::CurveRow;
using study::figure;
using study::PlaneCurve;
using study::Side;
using study::Status;

constexpr std::size_t kMoment = 10;  // column of the moment
constexpr std::size_t kColumn = 9;   // of a rotation: "(-123.4)"
constexpr std::size_t kPart = 12;    // of a part's name
constexpr std::size_t kSide = 17;    // "  right rotation"
constexpr std::size_t kFigure = 10;

std::string trimmed(std::string text) {
  while (!text.empty() && text.back() == ' ') text.pop_back();
  return text + "\n";
}

std::size_t main_of(const PlaneCurve& curve) {
  return static_cast<std::size_t>(curve.plane);
}

/// One rotation of one part at a point.
std::string cell(const PlaneCurve& curve, const CurvePoint& point, std::size_t part, std::size_t which) {
  if (curve.parts[part].floats) return "floats ";
  if (!study::has_figure(point.status) || part >= point.parts.size()) return "- ";
  return as_status(point.status, degrees(point.parts[part].rotations_deg[which]));
}

/// A column of the table of points.
struct Column {
  std::size_t part = 0;
  std::size_t which = 0;  ///< of the Cardan triple
  std::string first{}, second{};
};

/// The main rotation overall and of each joint, the two coupled ones overall.
std::vector<Column> columns_of(const PlaneCurve& curve) {
  std::vector<Column> out;
  for (std::size_t part = 0; part < curve.parts.size(); ++part)
    out.push_back({.part = part, .which = main_of(curve), .first = escaped(curve.parts[part].name), .second = "deg"});
  for (const std::size_t place : study::coupled_places(curve.plane))
    out.push_back({.part = 0, .which = place, .first = std::string(study::kCardanNames[place]), .second = "overall"});
  return out;
}

/// A line a moment; what does not fit beside it stands in a further table.
std::string points_table(const PlaneCurve& curve) {
  if (curve.parts.empty()) return {};
  const std::vector<Column> all = columns_of(curve);
  constexpr std::size_t kFits = (kWidth - kMoment) / kColumn;
  const std::size_t tables = (all.size() + kFits - 1) / kFits;
  const std::size_t most = (all.size() + tables - 1) / tables;  // spread evenly
  std::string out;
  for (std::size_t from = 0; from < all.size(); from += most) {
    const std::size_t to = std::min(from + most, all.size());
    std::string first = padded("   moment", kMoment);
    std::string second = right("N m ", kMoment);
    for (std::size_t i = from; i < to; ++i) {
      first += right(clip(all[i].first, kColumn - 1) + " ", kColumn);
      second += right(all[i].second + " ", kColumn);
    }
    out += trimmed(first) + trimmed(second);
    for (const CurvePoint& point : curve.points) {
      std::string text = right(figure(point.moment_Nm, 2) + " ", kMoment);
      for (std::size_t i = from; i < to; ++i) text += right(cell(curve, point, all[i].part, all[i].which), kColumn);
      out += trimmed(text);
    }
  }
  return out;
}

std::string optional_figure(const std::optional<double>& value, int decimals) {
  return value ? figure(*value, decimals) + " " : "- ";
}

/// Figures of a part on a side stand as plainly as the side was solved.
std::string of_side(Status status, const std::string& text) {
  return status == Status::approximate ? as_status(status, text) : text;
}

std::string figures_table(const PlaneCurve& curve) {
  if (curve.parts.empty()) return {};
  const auto coupled = study::coupled_places(curve.plane);
  const auto head = [&](const char* part, const char* side, const std::array<std::string, 6>& names) {
    std::string text = padded(part, kPart) + padded(side, kSide);
    for (const std::string& name : names) text += right(name + " ", kFigure);
    return trimmed(text);
  };
  std::string out = head("  at the", "  maximum of",
                         {"rotation", "lax zone", "secant", "tangent", std::string(study::kCardanNames[coupled[0]]),
                          std::string(study::kCardanNames[coupled[1]])});
  out += head("", "", {"deg", "deg", "N m/deg", "N m/deg", "deg/deg", "deg/deg"});
  for (const CurvePart& part : curve.parts)
    for (const Side side : study::kSides) {
      const auto at = static_cast<std::size_t>(side);
      const study::CurveSide& end = curve.sides[at];
      if (!end.run) continue;
      const study::SideFigures& figures = part.sides[at];
      std::string text = padded("  " + escaped(part.name), kPart) +
                         padded("  " + std::string(models::title(study::motion_of(curve.plane, side))), kSide);
      if (part.floats) {
        out += trimmed(text + right("floats ", kFigure));
        continue;
      }
      const auto put = [&](const std::string& cell_text) { text += right(of_side(end.status, cell_text), kFigure); };
      put(figures.rotation_deg ? degrees(*figures.rotation_deg) : "- ");
      put(optional_figure(figures.lax_zone_deg, 1));
      put(figures.secant_stiffness_Nm_per_deg ? stiffness(*figures.secant_stiffness_Nm_per_deg) + " " : "- ");
      put(figures.tangent_stiffness_Nm_per_deg ? stiffness(*figures.tangent_stiffness_Nm_per_deg) + " " : "- ");
      for (std::size_t i = 0; i < 2; ++i) put(figures.coupled ? figure((*figures.coupled)[i], 2) + " " : "- ");
      out += trimmed(text);
    }
  return out;
}

/// Helical axes from neutral to each maximum. Empty where no part turns far enough for one.
std::string axes_table(const PlaneCurve& curve) {
  constexpr std::size_t kNumber = 8;
  const auto numbers = [](const Eigen::Vector3d& v, int decimals) {
    std::string out;
    for (int i = 0; i < 3; ++i) out += right(figure(v[i], decimals), kNumber);
    return out;
  };
  std::string lines;
  for (const CurvePart& part : curve.parts)
    for (const Side side : study::kSides) {
      const auto& axis = part.sides[static_cast<std::size_t>(side)].axis;
      if (!axis || part.floats) continue;
      lines += padded("  " + escaped(part.name), kPart) +
               padded("  " + std::string(models::title(study::motion_of(curve.plane, side))), kSide) +
               right(figure(axis->rotation_deg, 1), kNumber) + numbers(axis->direction, 2) + numbers(axis->point_mm, 1) +
               right(figure(axis->translation_mm, 1), kNumber) + "\n";
    }
  if (lines.empty()) return {};
  std::string head = padded("  helical", kPart) + padded("  axis to", kSide);
  std::string units(kPart + kSide, ' ');
  for (const char* word : {"turn", "dir x", "y", "z", "at x", "y", "z", "travel"}) head += right(word, kNumber);
  for (const char* word : {"deg", "", "", "", "mm", "mm", "mm", "mm"}) units += right(word, kNumber);
  return trimmed(head) + trimmed(units) + lines;
}

std::string loop_lines(const PlaneCurve& curve) {
  std::string out;
  for (const CurvePart& part : curve.parts) {
    if (!part.loop_area_Nmm || part.floats) continue;
    std::string text =
        fmt::format("{}: {} N mm lost in cycle {}", escaped(part.name), figure(*part.loop_area_Nmm, 1), curve.cycles);
    if (part.residual_deg[0] && part.residual_deg[1])
      text += fmt::format("; neutral zone {} deg ({} to {})", figure(*part.residual_deg[1] - *part.residual_deg[0], 1),
                          figure(*part.residual_deg[0], 1), figure(*part.residual_deg[1], 1));
    out += paragraph(out.empty() ? "loop" : "", text);
  }
  return out;
}

/// The canal and what slides, at each peak.
std::string peak_lines(const PlaneCurve& curve) {
  std::string canal;
  std::string slips;
  for (const Side side : study::kSides) {
    const auto& points = curve.points;
    if (points.empty() || !curve.sides[static_cast<std::size_t>(side)].run) continue;
    const CurvePoint& peak = side == Side::positive ? points.back() : points.front();
    const std::string motion(models::title(study::motion_of(curve.plane, side)));
    std::string text;
    const auto add = [&text](const char* name, const std::optional<double>& value, bool change) {
      if (value)
        text += fmt::format("{}{} {} mm", text.empty() ? "" : ", ", name, change ? figure(*value, 1) : millimetres(*value));
    };
    if (study::has_figure(peak.status)) {
      add("C1 slip", peak.measures.c1_slip_mm, true);
      add("atlas-dens interval", peak.measures.atlas_dens_interval_mm, false);
      add("cord room", peak.measures.cord_room_mm, false);
    }
    if (peak.status == Status::approximate && !text.empty()) text = "(" + text + ")";
    if (!text.empty()) canal += paragraph(canal.empty() ? "canal" : "", motion + ": " + text);
    std::string names;
    for (const std::string& name : peak.slipping) names += (names.empty() ? "" : ", ") + name;
    if (!names.empty()) slips += paragraph(slips.empty() ? "slips" : "", motion + ": " + escaped(names));
  }
  return canal + slips;
}

std::string ends_lines(const PlaneCurve& curve) {
  std::string out;
  for (const Side side : study::kSides) {
    const study::CurveSide& end = curve.sides[static_cast<std::size_t>(side)];
    if (!end.run || (end.status == Status::solved && end.branches == 0)) continue;
    std::string text = fmt::format("{}: {}, {} of the moment reached", models::title(study::motion_of(curve.plane, side)),
                                   study::name(end.status), figure(end.load_fraction, 2));
    if (!end.reason.empty() && end.status != Status::solved) text += "; " + escaped(end.reason);
    if (end.branches > 0)
      text +=
          fmt::format("; {} unstable {} left on the way", end.branches, end.branches == 1 ? "equilibrium" : "equilibria");
    out += paragraph(out.empty() ? "status" : "", text);
  }
  return out;
}

/// "solved", or the worst of the plane's sides.
Status worst(const PlaneCurve& curve) {
  Status out = Status::solved;
  for (const study::CurveSide& end : curve.sides)
    if (end.run) out = std::max(out, end.status);  // in the order of getting worse
  return out;
}

std::string plane_block(const PlaneCurve& curve, bool colour) {
  const Status status = worst(curve);
  const std::string end = fmt::format("{}, {}", study::name(status), curve.kinematics);
  std::string out = "\n" + padded("  " + std::string(study::title(curve.plane)), kWidth - columns(end) - 1) + " " +
                    coloured(status, end, colour) + "\n";
  return out + points_table(curve) + figures_table(curve) + axes_table(curve) + loop_lines(curve) + peak_lines(curve) +
         ends_lines(curve);
}

std::string row_block(std::size_t number, const CurveRow& row, bool colour) {
  const std::string status(study::name(row.status));
  const std::string title =
      row.row == study::RowKind::construct ? fmt::format("{}  {}", number, escaped(row.name)) : "-  " + escaped(row.name);
  std::string out = line('-');
  out += padded(title, kWidth - columns(status) - 1) + " " + coloured(row.status, status, colour) + "\n";
  if (row.status != Status::solved && !row.reason.empty()) out += paragraph("why", escaped(row.reason));
  bool first = true;
  for (const study::TightenedItem& item : row.assembly) {
    out += paragraph(first ? "tightened" : "", fmt::format("{}: {} N, {} N left at rest", escaped(item.name),
                                                           figure(item.asked_N, 0), figure(item.at_rest_N, 0)));
    first = false;
  }
  first = true;
  for (const std::string& note : row.notes) {
    out += paragraph(first ? "note" : "", escaped(note));
    first = false;
  }
  for (const PlaneCurve& curve : row.planes) out += plane_block(curve, colour);
  return out;
}

std::string header(const study::Curves& curves, const TableOptions& options) {
  const models::Bench& bench = curves.bench;
  std::string out = escaped(options.program) + "   " + escaped(curves.case_name) + "\n";
  out += paragraph("bench", fmt::format("{} loaded, {} held; moments to +-{} N m in {} steps each way, rotations from the "
                                        "middle of the +-0.1 N m response",
                                        bench.top ? models::name(*bench.top) : "nothing", models::name(bench.bottom),
                                        figure(models::to_Nm(bench.moment_Nmm), 2), curves.steps));
  const std::string loads = bench_words(bench, BenchRun::curves);
  if (!loads.empty()) out += paragraph("loads", escaped(loads));
  out += paragraph("signs",
                   "+ flexion, right bending, left rotation; Cardan sequence flexion, bending, rotation in the "
                   "lower body's axes (x anterior, y left, z superior)");
  out += paragraph("seats", fmt::format("foundation factor {:.3g} on half-space theory, the most uncertain input of all "
                                        "(plausible 0.03 to 1)",
                                        curves.foundation_factor));
  for (const models::ParameterChange& change : curves.changes)
    out += paragraph("set", fmt::format("{} = {}, by the case", escaped(change.id), escaped(change.text)));
  return out;
}

template <class Test>
bool any_curve(const study::Curves& curves, const Test& test) {
  return std::any_of(curves.rows.begin(), curves.rows.end(),
                     [&test](const CurveRow& row) { return std::any_of(row.planes.begin(), row.planes.end(), test); });
}

std::string legend(const study::Curves& curves) {
  std::string out = fmt::format("  *    below bench resolution ({} deg)\n", figure(study::kRotationResolution_deg, 1));
  if (any_curve(curves, [](const PlaneCurve& curve) { return worst(curve) == Status::approximate; }))
    out += "  ( )  approximate: see status; not compared with others\n";
  out += "  -    not reached, or no figure\n";
  out += fmt::format(
      "  helical    axis from neutral to the maximum: direction of a positive turn, its point nearest to\n"
      "             the named one, lower body's axes; none below {} deg, where it is ill-conditioned\n",
      figure(study::kLeastHelicalRotation_deg, 1));
  out += "  lax zone   from neutral to 0.1 N m; not the neutral zone, which is what a loop leaves at no moment\n";
  return out;
}

}  // namespace

std::string curves_text(const study::Curves& curves, const TableOptions& options) {
  std::string out = header(curves, options);
  std::size_t number = 0;
  for (const CurveRow& row : curves.rows)
    out += row_block(row.row == study::RowKind::construct ? ++number : 0, row, options.colour);
  return out + line('=') + legend(curves) + "\n" + wrap(kCaution, kWidth, 0) + "\n";
}

}  // namespace opisthion::report
