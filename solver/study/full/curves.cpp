// SPDX-License-Identifier: MIT
#include "solver/study/curves.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <optional>

#include "models/quantity/units.hpp"
#include "solver/study/compare.hpp"
#include "solver/study/curve_figures.hpp"
#include "solver/study/figure.hpp"
#include "solver/study/full/full_grips.hpp"
#include "solver/study/full/run.hpp"
#include "solver/study/full/specimen_words.hpp"
#include "solver/study/row.hpp"
#include "solver/study/rows.hpp"
#include "solver/study/verdict.hpp"

namespace opisthion::study {
namespace {

namespace full = core::full;

constexpr double kMostOpen_deg = 0.05;   // of a loop, from where it sets out to where it comes back to
constexpr double kMostOpenShare = 0.01;  // of its whole range

bool asked_for(const CurvesOptions& options, models::Motion motion) {
  return options.only_motions.empty() ||
         std::find(options.only_motions.begin(), options.only_motions.end(), motion) != options.only_motions.end();
}

CurvePoint point_at(const Specimen& specimen, const full::State& state, const full::Poses& neutral, double moment_Nm,
                    double load_fraction, Status status) {
  CurvePoint out{.moment_Nm = moment_Nm, .status = status, .load_fraction = load_fraction};
  const FullFigures figures = read_full_figures(specimen.mesh, state.poses, neutral);
  out.parts.push_back(six_components(figures.overall));
  for (const PoseFigures& joint : figures.joints) out.parts.push_back(six_components(joint));
  out.measures = figures.measures;
  out.slipping = slipping(specimen, state);
  return out;
}

std::string named_point(const std::vector<JointMotion>& joints, std::size_t joint) {
  return joint < joints.size() ? joints[joint].translation_point : std::string();
}

/// What every run of one plane shares.
struct PlaneRun {
  const Specimen& specimen;
  const mesh::LoadCase& forward;  ///< the positive motion
  int steps;
  full::Workspace& work;
  full::Poses neutral{};
  double moment_Nm = 0.0;
};

/// First loading from rest one way.
FullRun load_side(const PlaneRun& plane, Side side, PlaneCurve& curve) {
  const models::Motion motion = motion_of(curve.plane, side);
  const mesh::LoadCase* load_case = motion_case(plane.specimen, motion);
  assert(load_case != nullptr);
  FullRun run = run_load(plane.specimen, *load_case, plane.steps,
                         plane.specimen.metal == Metal::condensed ? Look::closely : Look::figures, plane.work, nullptr, 0.0);
  CurveSide& out = curve.sides[static_cast<std::size_t>(side)];
  out.run = true;
  out.status = run.verdict.status;
  out.reason = run.verdict.reason();
  out.load_fraction = run.path.reached();
  out.branches = run.path.branches;
  out.solve = {.load_fraction = run.path.reached(),
               .iterations = run.path.iterations,
               .residual = run.has_state() ? run.outcome().residual : 0.0,
               .regularisation_work_share = run.evidence.regularisation_share,
               .strand_energy_share = run.evidence.strand_share,
               .branches = run.path.branches};
  const double sign = side == Side::positive ? 1.0 : -1.0;
  const auto of = [&](const full::State& state, double factor) {
    return point_at(plane.specimen, state, plane.neutral, sign * factor * plane.moment_Nm, factor, out.status);
  };
  for (const full::Step& step : run.path.steps)
    if (step.factor > 0.0) curve.points.push_back(of(step.state, step.factor));
  for (int i = 1; i <= plane.steps; ++i) {
    const double factor = static_cast<double>(i) / plane.steps;
    if (factor > run.path.reached() * (1.0 + 1e-9))
      curve.points.push_back({.moment_Nm = sign * factor * plane.moment_Nm, .status = out.status, .load_fraction = factor});
  }
  const double small = small_factor(*load_case);
  const double in_steps = small * plane.steps;
  const bool on_a_step = std::abs(in_steps - std::round(in_steps)) < 1e-9;
  if (small < 1.0 && !on_a_step && run.middle.found) curve.points.push_back(of(run.middle.plus, small));
  return run;
}

/// Tangent stiffnesses from a state a little further, as assess has them: three points of a curve with a kink between tell
/// nothing.
void put_tangents(const PlaneRun& plane, Side side, const std::vector<FullRun>& runs, PlaneCurve& curve) {
  const models::Motion motion = motion_of(curve.plane, side);
  const mesh::LoadCase* load_case = motion_case(plane.specimen, motion);
  // Runs stand in the order of the sides that were asked for.
  const bool second = side == Side::positive && curve.sides[0].run;
  const FullRun& run = runs[second ? 1 : 0];
  const auto further = a_little_further(plane.specimen, *load_case, run, plane.work);
  if (!further) return;
  const FullFigures now = read_full_figures(plane.specimen.mesh, run.last().poses, plane.neutral);
  const FullFigures then = read_full_figures(plane.specimen.mesh, further->poses, plane.neutral);
  for (std::size_t part = 0; part < curve.parts.size(); ++part) {
    const PoseFigures& a = part == 0 ? now.overall : now.joints[part - 1];
    const PoseFigures& b = part == 0 ? then.overall : then.joints[part - 1];
    const double turned_deg = rotation_deg(b, motion) - rotation_deg(a, motion);
    std::optional<double>& tangent = curve.parts[part].sides[static_cast<std::size_t>(side)].tangent_stiffness_Nm_per_deg;
    tangent.reset();
    if (turned_deg != 0.0) tangent = kFurther * plane.moment_Nm / turned_deg;
  }
}

/// Cycles 0 -> +M -> -M -> +M ..., the last one kept from +M to +M.
/// Why no loop is told: a leg does not come to its end, or the last cycle does not come back to where it set out. Empty: it
/// is told.
std::string run_cycles(const PlaneRun& plane, PlaneCurve& curve, int cycles) {
  std::string not_closed = "the cycle of loading and unloading does not close, so no loop is told";
  const full::LoadPath load = load_path(plane.specimen, plane.forward);
  full::State state = plane.specimen.start;
  const auto leg = [&](double from, double to, int steps) {
    return full::follow(plane.specimen.model, load, state,
                        {.from = from, .to = to, .steps = steps, .lax_to = small_factor(plane.forward)}, plane.work);
  };
  full::PathOutcome path = leg(0.0, 1.0, plane.steps);
  if (path.end != full::PathEnd::reached) return not_closed;
  state = path.steps.back().state;
  std::vector<CurvePoint> last;
  full::Poses begun, far;  // of the last cycle: where it sets out, and its other end
  for (int cycle = 0; cycle < cycles; ++cycle) {
    last.clear();
    begun = state.poses;
    for (const double way : {-1.0, 1.0}) {
      path = leg(-way, way, 2 * plane.steps);
      if (path.end != full::PathEnd::reached) return not_closed;
      for (std::size_t i = last.empty() ? 0 : 1; i < path.steps.size(); ++i) {
        const full::Step& step = path.steps[i];
        last.push_back(point_at(plane.specimen, step.state, plane.neutral, step.factor * plane.moment_Nm,
                                std::abs(step.factor), Status::solved));
      }
      state = path.steps.back().state;
      if (way < 0.0) far = state.poses;
    }
  }
  const auto turn_deg = [&](const full::Poses& from, const full::Poses& to) {
    return models::to_deg(read_full_figures(plane.specimen.mesh, to, from).overall.vector_rad.norm());
  };
  const double open_deg = turn_deg(begun, state.poses);
  const double range_deg = turn_deg(far, state.poses);
  if (open_deg > std::max(kMostOpen_deg, kMostOpenShare * range_deg))
    return "the last of " + std::to_string(cycles) + " cycles is still open by " + figure(open_deg, 2) +
           " deg, so no loop is told; more cycles may close it";
  curve.cycle = std::move(last);
  curve.cycles = cycles;
  return {};
}

PlaneCurve plane_curve(const Specimen& specimen, Plane plane, const CurvesOptions& options, full::Workspace& work,
                       double& metal_turn_rad, std::vector<std::string>& notes) {
  PlaneCurve out{.plane = plane};
  const mesh::LoadCase* forward = motion_case(specimen, motion_of(plane, Side::positive));
  assert(forward != nullptr);
  out.moment_Nm = models::to_Nm(std::abs(forward->magnitude));
  PlaneRun run{.specimen = specimen, .forward = *forward, .steps = options.steps, .work = work, .moment_Nm = out.moment_Nm};
  const FullMiddle middle = find_middle(specimen, *forward, 1.0, work);
  run.neutral = middle.middle;
  std::vector<FullRun> runs;
  for (const Side side : kSides)
    if (asked_for(options, motion_of(plane, side))) runs.push_back(load_side(run, side, out));
  out.points.push_back(
      point_at(specimen, specimen.start, run.neutral, 0.0, 0.0, middle.found ? Status::solved : Status::no_answer));
  std::stable_sort(out.points.begin(), out.points.end(),
                   [](const CurvePoint& a, const CurvePoint& b) { return a.moment_Nm < b.moment_Nm; });
  for (const FullRun& one : runs) metal_turn_rad = std::max(metal_turn_rad, one.metal_turn_rad);
  const FullFigures at_neutral = read_full_figures(specimen.mesh, run.neutral, run.neutral);
  const std::vector<JointMotion> joints = joint_motions(specimen.mesh, at_neutral, motion_of(plane, Side::positive));
  out.parts.push_back(curve_part("overall", "", at_neutral.overall));
  for (std::size_t i = 0; i < at_neutral.joints.size(); ++i)
    out.parts.push_back(curve_part(specimen.mesh.joints[i].name, named_point(joints, i), at_neutral.joints[i]));
  for (const FullRun& one : runs)
    for (const core::Mode& mode : one.floating)
      for (std::size_t i = 0; i < specimen.mesh.joints.size(); ++i)
        if (joint_floats(specimen, mode, i)) out.parts[i + 1].floats = true;
  const bool both = std::all_of(out.sides.begin(), out.sides.end(),
                                [](const CurveSide& side) { return side.run && has_figure(side.status); });
  const int cycles = specimen.mesh.program.cycles > 1 ? specimen.mesh.program.cycles : kCycles;
  if (both && !specimen.model.frictions.empty())
    if (const std::string why = run_cycles(run, out, cycles); !why.empty())
      notes.push_back(std::string(title(plane)) + ": " + why);
  fill_figures(out);
  for (std::size_t side = 0; side < kSides.size(); ++side)
    if (out.sides[side].run && has_figure(out.sides[side].status)) put_tangents(run, kSides[side], runs, out);
  return out;
}

CurveRow curve_row(const Row& row, const models::ParameterTable& parameters, const CurvesOptions& options) {
  CurveRow out{.row = row.kind, .name = row.construct.name};
  const auto stopped = [&out](const Unready& unready) {
    out.status = unready.status;
    out.reason = unready.reason;
    return out;
  };
  auto built = build_parts(row.the_case, row.construct, parameters, options.rod_elements_per_span);
  if (!built) return stopped(built.error());
  const auto specimen = make_specimen(*built, {});
  if (!specimen) return stopped(specimen.error());
  std::optional<Specimen> beams;  // the same beam by beam, when a plane asks for it
  out.foundation_factor = specimen->mesh.foundation_factor;
  out.parameters_read = specimen->mesh.parameters_read;
  out.assembly = tightened_items(*specimen, specimen->start);
  const full::WorkspacePtr work = full::make_workspace(specimen->model);
  double metal_turn_rad = 0.0;
  std::vector<std::string> cycle_notes;
  std::vector<std::pair<std::string, Verdict>> sides;
  for (const Plane plane : kPlanes) {
    const bool any =
        std::any_of(kSides.begin(), kSides.end(), [&](Side side) { return asked_for(options, motion_of(plane, side)); });
    if (!any) continue;
    double own_turn_rad = 0.0;
    PlaneCurve curve = plane_curve(*specimen, plane, options, *work, own_turn_rad, cycle_notes);
    if (models::to_deg(own_turn_rad) > kMostMetalTurn_deg) {
      if (!beams) {
        auto made = make_specimen(*built, {.metal = Metal::corotational, .follower = &specimen->follower});
        if (made) beams = std::move(*made);
      }
      if (beams) {
        const full::WorkspacePtr their_work = full::make_workspace(beams->model);
        const PlaneCurve condensed = std::move(curve);
        curve = plane_curve(*beams, plane, options, *their_work, own_turn_rad, cycle_notes);
        // What fading regularisation showed of the condensed one holds for this one, too.
        for (std::size_t part = 0; part < curve.parts.size() && part < condensed.parts.size(); ++part)
          curve.parts[part].floats = curve.parts[part].floats || condensed.parts[part].floats;
        for (std::size_t i = 0; i < curve.sides.size(); ++i)
          if (worse(condensed.sides[i].status, curve.sides[i].status) && has_figure(condensed.sides[i].status)) {
            curve.sides[i].status = condensed.sides[i].status;
            curve.sides[i].reason = condensed.sides[i].reason;
          }
      }
    } else {
      metal_turn_rad = std::max(metal_turn_rad, own_turn_rad);
    }
    out.planes.push_back(std::move(curve));
    for (const Side side : kSides) {
      const CurveSide& one = out.planes.back().sides[static_cast<std::size_t>(side)];
      if (!one.run) continue;
      Verdict verdict{.status = one.status, .causes = {}};
      if (!one.reason.empty()) verdict.causes.push_back({.what = one.reason, .figure = {}});
      sides.emplace_back(std::string(models::title(motion_of(plane, side))), verdict);
    }
  }
  out.at_rest = read_full_figures(specimen->mesh, specimen->start.poses, specimen->start.poses).measures;
  out.notes = specimen_notes(*specimen, models::to_deg(metal_turn_rad), beams.has_value());
  out.notes.insert(out.notes.end(), cycle_notes.begin(), cycle_notes.end());
  out.status = Status::solved;
  for (const auto& [side, verdict] : sides) {
    if (worse(verdict.status, out.status)) {
      out.status = verdict.status;
      out.reason.clear();
    }
    if (verdict.status == out.status && !verdict.causes.empty())
      out.reason += (out.reason.empty() ? "" : "; ") + side + ": " + verdict.causes.front().what;
  }
  return out;
}

}  // namespace

int row_count(const models::Case& the_case, const CurvesOptions& options) {
  return static_cast<int>(rows_of(the_case, options.only_constructs, true).size());
}

Curves curves(const models::Case& the_case, const models::ParameterTable& parameters, const CurvesOptions& options,
              const ForEach& for_each) {
  assert(the_case.bench.top && "curves are of moments on a top");
  Curves out{.case_name = the_case.name, .bench = the_case.bench, .steps = options.steps, .changes = the_case.changes};
  if (const models::Parameter* factor = parameters.find("interface.foundation_factor");
      factor != nullptr && !factor->values.empty())
    out.foundation_factor = factor->values.front();
  const std::vector<Row> rows = rows_of(the_case, options.only_constructs, true);
  out.rows.resize(rows.size());
  for_each(static_cast<int>(rows.size()), [&](int i) {
    out.rows[static_cast<std::size_t>(i)] = curve_row(rows[static_cast<std::size_t>(i)], parameters, options);
  });
  for (const CurveRow& row : out.rows) out.parameters_read.insert(row.parameters_read.begin(), row.parameters_read.end());
  return out;
}

}  // namespace opisthion::study
