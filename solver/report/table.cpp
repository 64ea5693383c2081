// SPDX-License-Identifier: MIT
#include "solver/report/table.hpp"

#include <algorithm>
#include <cmath>
#include <functional>

#include <fmt/format.h>

#include "models/quantity/units.hpp"
#include "solver/report/bench_text.hpp"
#include "solver/report/caution.hpp"
#include "solver/report/cells.hpp"
#include "solver/report/columns.hpp"
#include "solver/report/fit_text.hpp"
#include "solver/report/rows.hpp"
#include "solver/report/side_by_side.hpp"
#include "solver/study/compare.hpp"
#include "solver/study/figure.hpp"

namespace opisthion::report {
namespace {

using study::ConstructResult;
using study::figure;
using study::MotionResult;
using study::Status;

constexpr std::size_t kLabel = 30;         // of a row's name with its unit
constexpr std::size_t kMotionColumn = 11;  // of a motion

std::string row(const std::string& name, const std::string& unit, const ConstructResult& construct,
                const std::function<std::string(const MotionResult&)>& cell) {
  std::string out = "  " + padded(name, kLabel - 10) + padded(unit, 8);
  for (const models::Motion motion : models::kMotions) {
    std::string text;
    for (const MotionResult& result : construct.motions)
      if (result.motion == motion) text = result.beyond_physical_end ? "beyond " : as_status(result.status, cell(result));
    out += right(text, kMotionColumn);
  }
  while (!out.empty() && out.back() == ' ') out.pop_back();
  return out + "\n";
}

bool any_measure(const ConstructResult& construct, const std::optional<double> study::Measures::*which) {
  return std::any_of(construct.motions.begin(), construct.motions.end(),
                     [which](const auto& m) { return (m.measures.*which).has_value(); });
}

std::string measures_words(const study::Measures& measures, bool slip = true) {
  std::string out;
  const auto add = [&out](const char* name, const std::optional<double>& value) {
    if (value) out += (out.empty() ? "" : ", ") + std::string(name) + " " + millimetres(*value) + " mm";
  };
  if (slip) add("C1 slip", measures.c1_slip_mm);
  add("atlas-dens interval", measures.atlas_dens_interval_mm);
  add("cord room", measures.cord_room_mm);
  return out;
}

/// Follower load, dead weight, traction: only full kinematics puts them there.
bool preloaded(const ConstructResult& construct, const models::Bench& bench) {
  return construct.kinematics == "full" && (bench.follower || bench.dead_weight || bench.traction);
}

/// What has moved the joints before any load: a label and the verb before the joint's name.
std::pair<const char*, const char*> moved_by(const ConstructResult& construct, const models::Bench& bench) {
  if (!preloaded(construct, bench)) return {"assembly", "puts"};
  if (construct.assembly.empty()) return {"preload", "puts"};
  return {"assembly", "and preload put"};
}

std::string motions_block(const ConstructResult& construct, const models::Bench& bench) {
  std::string out = heads(kLabel, kMotionColumn);
  out += row("rotation", "deg", construct, [](const auto& m) { return degrees(m.rotation_deg); });
  for (const Share& share : kShares)
    if (any_share(construct, share))
      out += row(share.name, "%", construct, [&share](const MotionResult& m) { return percent(m.*share.which); });
  out += row("secant stiffness", "N m/deg", construct,
             [](const auto& m) { return stiffness(m.secant_stiffness_Nm_per_deg) + " "; });
  out += row("tangent stiffness", "N m/deg", construct,
             [](const auto& m) { return stiffness(m.tangent_stiffness_Nm_per_deg) + " "; });
  if (std::any_of(construct.motions.begin(), construct.motions.end(), [](const auto& m) { return m.lax_zone_deg >= 0.05; }))
    out += row("lax zone", "deg", construct, [](const auto& m) { return figure(m.lax_zone_deg, 1) + " "; });
  std::size_t joints = 0;
  for (const MotionResult& motion : construct.motions) joints = std::max(joints, motion.joints.size());
  for (std::size_t j = 0; j < joints; ++j) {
    std::string name;
    for (const MotionResult& motion : construct.motions)
      if (j < motion.joints.size()) name = motion.joints[j].joint;
    out += row("joint " + name, "deg", construct, [j](const MotionResult& m) {
      if (j >= m.joints.size()) return std::string("-");
      return m.joints[j].floats ? std::string("floats ") : degrees(m.joints[j].rotation_deg);
    });
  }
  const auto measure = [&](const char* name, std::optional<double> study::Measures::*which, bool is_change) {
    if (!any_measure(construct, which)) return;
    out += row(name, "mm", construct, [which, is_change](const MotionResult& m) {
      const auto& value = m.measures.*which;
      if (!value) return std::string("-");
      return is_change ? travel(*value) : millimetres(*value) + " ";
    });
  };
  measure("C1 slip, + forward", &study::Measures::c1_slip_mm, true);
  measure("atlas-dens interval", &study::Measures::atlas_dens_interval_mm, false);
  measure("cord room", &study::Measures::cord_room_mm, false);
  const std::string rest = measures_words(construct.at_rest, false);
  if (!rest.empty())
    out += paragraph("at rest", rest + (preloaded(construct, bench) ? ", under the preload alone" : ", without load") +
                                    "; the slip of each load is counted from its own neutral");
  for (const study::JointMotion& joint : construct.rest) {
    const double turn = std::hypot(joint.rotations_deg[0], joint.rotations_deg[1], joint.rotations_deg[2]);
    const double slide = std::hypot(joint.translation_mm[0], joint.translation_mm[1], joint.translation_mm[2]);
    if (turn < study::kRotationResolution_deg && slide < study::kTravelResolution_mm) continue;
    const auto [label, by] = moved_by(construct, bench);
    out += paragraph(
        label,
        fmt::format("{} {} at flexion {} deg, bending {} deg, rotation {} deg; x {}, y {}, z {} mm from the pose as built",
                    by, escaped(joint.joint), figure(joint.rotations_deg[0], 1), figure(joint.rotations_deg[1], 1),
                    figure(joint.rotations_deg[2], 1), figure(joint.translation_mm[0], 1),
                    figure(joint.translation_mm[1], 1), figure(joint.translation_mm[2], 1)));
  }
  return out;
}

std::string forces_block(const std::string& label, const std::vector<study::ForceResult>& forces) {
  std::string out;
  std::string told;  // a line of action is told once for both senses
  for (const study::ForceResult& force : forces) {
    std::string text =
        fmt::format("{}{} N  {}", force.force_N > 0 ? "+" : "", figure(force.force_N, 0), escaped(force.name));
    if (force.beyond_physical_end && force.status == Status::approximate) {
      text += ": beyond the physical end of a joint";
    } else if (study::has_figure(force.status)) {
      std::string move = travel(force.travel_mm);
      while (move.back() == ' ') move.pop_back();
      // Force over a travel that a bench could not see is no stiffness: a bound is.
      std::string figures =
          study::below_resolution_mm(force.travel_mm)
              ? fmt::format("{} mm, above {} N/mm", move, figure(std::abs(force.force_N) / study::kTravelResolution_mm, 0))
              : fmt::format("{} mm, {} N/mm", move, stiffness(force.stiffness_N_per_mm));
      if (!study::below_resolution_mm(force.lax_zone_mm))
        figures += fmt::format(", lax zone {} mm", figure(force.lax_zone_mm, 1));
      const std::string canal = measures_words(force.measures);
      if (!canal.empty()) figures += "; " + canal;
      text += ": " + (force.status == Status::approximate ? "(" + figures + ")" : figures);
    } else {
      text += ": " + std::string(study::name(force.status));
    }
    if (!force.line.empty() && force.line != told) text += "; " + escaped(force.line);
    told = force.line;
    out += paragraph(out.empty() ? label : "", text);
  }
  return out;
}

/// Rotation over the limits of friction, with the wires as tightened and slack: how much of the answer hangs on both.
std::string friction_block(const ConstructResult& construct) {
  if (!construct.friction) return {};
  std::string out;
  for (std::size_t state = 0; state < study::kWireStates.size(); ++state)
    for (std::size_t level = 0; level < study::kFrictionLevels.size(); ++level) {
      std::string cells;
      bool any = false;
      for (const models::Motion motion : models::kMotions) {
        std::string text;
        for (const study::FrictionMotion& one : construct.friction->motions) {
          const study::FrictionCell& cell = one.cells[state][level];
          if (one.motion != motion || !cell.run) continue;
          any = true;
          text = as_status(cell.status, degrees(cell.rotation_deg));
        }
        cells += right(text, kMotionColumn);
      }
      if (!any) continue;
      while (!cells.empty() && cells.back() == ' ') cells.pop_back();
      const std::string name =
          fmt::format("{}, {}", study::name(study::kWireStates[state]), study::name(study::kFrictionLevels[level]));
      out += "  " + padded(name, kLabel - 10) + padded("deg", 8) + cells + "\n";
    }
  if (out.empty()) return {};
  return paragraph(
             "friction",
             "rotation without it, as assumed, and stuck; wires fresh and slack (not looked at as closely as above):") +
         out;
}

/// Moments about several axes at once: three rotations of the whole.
std::string combined_block(const ConstructResult& construct) {
  std::string out;
  for (const study::CombinedResult& load : construct.combined) {
    std::string text = fmt::format("{}, {} N m: ", escaped(load.name), figure(load.moment_Nm, 2));
    if (study::has_figure(load.status)) {
      const std::string turns = fmt::format("flexion {}, bending {}, rotation {} deg", figure(load.rotations_deg[0], 1),
                                            figure(load.rotations_deg[1], 1), figure(load.rotations_deg[2], 1));
      const std::string canal = measures_words(load.measures);
      const std::string figures = canal.empty() ? turns : turns + "; " + canal;
      text += load.status == Status::approximate ? "(" + figures + ")" : figures;
    } else {
      text += std::string(study::name(load.status)) + "; " + escaped(load.reason);
    }
    out += paragraph(out.empty() ? "combined" : "", text);
  }
  return out;
}

/// Turned as far as the intact neck turned: the moment that takes, and which joint does what of it.
std::string hybrid_block(const ConstructResult& construct) {
  std::string out;
  std::string left_out;
  for (const MotionResult& motion : construct.motions) {
    if (!motion.hybrid) {
      left_out += (left_out.empty() ? "" : ", ") + std::string(models::title(motion.motion));
      continue;
    }
    const std::string target = figure(motion.hybrid->target_deg, 1);
    const std::string reached = figure(motion.hybrid->reached_deg, 1);
    std::string text = fmt::format("{} to {} deg as intact", models::title(motion.motion), target);
    // The turn is met within a tolerance: joints add up to what is reached, which need not round alike.
    if (study::has_figure(motion.hybrid->status) && reached != target) text += fmt::format(" ({} reached)", reached);
    text += ": ";
    if (study::has_figure(motion.hybrid->status)) {
      text += as_status(motion.hybrid->status, fmt::format("{} N m", figure(motion.hybrid->moment_Nm, 2)));
      for (const study::HybridJoint& joint : motion.hybrid->joints)
        text += fmt::format(", {} {} deg", joint.joint, figure(joint.rotation_deg, 1));
      if (!motion.hybrid->reason.empty()) text += "; " + motion.hybrid->reason;
    } else {
      text += motion.hybrid->reason;
    }
    out += paragraph(out.empty() ? "hybrid" : "", escaped(text));
  }
  if (!out.empty() && !left_out.empty())
    out += paragraph("", left_out + ": not turned, for the intact neck's own rotation is not solved");
  return out;
}

std::string softest_block(const ConstructResult& construct) {
  std::string out;
  std::string told;
  const auto label = [&told](bool lax) {
    const std::string word = lax ? "lax" : "floats";
    if (word == told) return std::string();
    return told = word;
  };
  for (const study::FreeMotion& free : construct.free)
    out += paragraph(label(free.lax), free.lax ? fmt::format("{}: free for {} {} each way, then it stiffens",
                                                             escaped(free.what), figure(free.travel, 1), free.unit)
                                               : escaped(free.what) + ": nothing controls it");
  bool first = true;
  for (const study::SoftMotion& soft : construct.softest) {
    out += paragraph(first ? "softest" : "",
                     fmt::format("{}: {} {}", escaped(soft.what), stiffness(soft.stiffness), soft.unit));
    first = false;
  }
  return out;
}

std::string carries_block(const ConstructResult& construct) {
  std::string out;
  for (const models::Motion motion : models::kMotions)
    for (const MotionResult& result : construct.motions) {
      if (result.motion != motion || result.energy.empty()) continue;
      std::string text = std::string(models::title(motion)) + ":";
      for (std::size_t i = 0; i < std::min<std::size_t>(3, result.energy.size()); ++i)
        text += fmt::format("{} {} {} %", i == 0 ? "" : ",", escaped(result.energy[i].item),
                            figure(100.0 * result.energy[i].share, 0));
      out += paragraph(out.empty() ? "strained" : "", text);
    }
  return out;
}

std::string newtons(double value) {
  return figure(value, std::abs(value) < 10.0 ? 1 : 0);
}

/// What was tightened, and the span of every wire's tension over the loads that have figures.
std::string assembly_block(const ConstructResult& construct) {
  std::string out;
  for (const study::TightenedItem& item : construct.assembly)
    out += paragraph(out.empty() ? "tightened" : "", fmt::format("{}: {} N, {} N left at rest", escaped(item.name),
                                                                 newtons(item.asked_N), newtons(item.at_rest_N)));
  std::vector<study::WireTension> span;
  const auto take = [&span](const std::vector<study::WireTension>& wires) {
    for (const study::WireTension& wire : wires) {
      const auto same =
          std::find_if(span.begin(), span.end(), [&wire](const study::WireTension& one) { return one.name == wire.name; });
      if (same == span.end()) {
        span.push_back(wire);
        continue;
      }
      same->least_N = std::min(same->least_N, wire.least_N);
      same->largest_N = std::max(same->largest_N, wire.largest_N);
    }
  };
  for (const MotionResult& motion : construct.motions) take(motion.wires);
  for (const auto* forces : {&construct.shear, &construct.axial, &construct.heads})
    for (const study::ForceResult& force : *forces) take(force.wires);
  bool first = true;
  for (const study::WireTension& wire : span) {
    out += paragraph(first ? "wires" : "", fmt::format("{}: {} to {} N over these loads", escaped(wire.name),
                                                       newtons(wire.least_N), newtons(wire.largest_N)));
    first = false;
  }
  std::vector<std::pair<std::string, std::string>> slides;  // what, under which loads
  const auto slide = [&slides](const std::vector<std::string>& names, const std::string& load) {
    for (const std::string& name : names) {
      const auto same = std::find_if(slides.begin(), slides.end(), [&name](const auto& one) { return one.first == name; });
      if (same == slides.end())
        slides.emplace_back(name, load);
      else
        same->second += ", " + load;
    }
  };
  for (const MotionResult& motion : construct.motions) slide(motion.slipping, std::string(models::title(motion.motion)));
  for (const auto* forces : {&construct.shear, &construct.axial, &construct.heads})
    for (const study::ForceResult& force : *forces) slide(force.slipping, force.name);
  first = true;
  for (const auto& [what, loads] : slides) {
    out += paragraph(first ? "slips" : "", escaped(what) + ": " + escaped(loads));
    first = false;
  }
  first = true;
  for (const std::string& note : construct.notes) {
    out += paragraph(first ? "note" : "", escaped(note));
    first = false;
  }
  return out;
}

/// "approximate: 5 of 6 motions solved": the worst load names a construct, the count says how much of it stands.
std::string status_words(const ConstructResult& construct) {
  std::string out(study::name(construct.status));
  if (construct.motions.empty() || construct.status == Status::solved) return out;
  const auto solved = std::count_if(construct.motions.begin(), construct.motions.end(),
                                    [](const MotionResult& m) { return m.status == Status::solved; });
  return out + fmt::format(": {} of {} motions solved", solved, construct.motions.size());
}

/// Small or full, told where the loads of a construct differ, or where a branch was left.
std::string kinematics_words(const ConstructResult& construct) {
  std::string full;
  std::string small;
  std::string branches;
  const auto take = [&](const std::string& kinematics, const std::string& load, int left) {
    if (kinematics.empty()) return;
    std::string& list = kinematics == "full" ? full : small;
    list += (list.empty() ? "" : ", ") + load;
    if (left > 0) branches += fmt::format("{}{} ({} passed)", branches.empty() ? "" : ", ", load, left);
  };
  for (const MotionResult& motion : construct.motions)
    take(motion.kinematics, std::string(models::title(motion.motion)), motion.solve.branches);
  for (const auto* forces : {&construct.shear, &construct.axial, &construct.heads})
    for (const study::ForceResult& force : *forces) take(force.kinematics, force.name, force.solve.branches);
  std::string out;
  if (!full.empty() && !small.empty()) out = "full: " + full + "; small: " + small;
  if (!branches.empty()) out += (out.empty() ? "" : "; ") + ("unstable equilibria on the way: " + branches);
  return out;
}

std::string construct_block(std::size_t number, const ConstructResult& construct, const models::Bench& bench, bool colour) {
  const std::string status = status_words(construct);
  const std::string title = titled(number, construct);
  std::string out = line('-');
  out += padded(title, kWidth - columns(status) - 1) + " " + coloured(construct.status, status, colour) + "\n";
  const std::string fit = fit_paragraph(construct);
  if (!fit.empty()) out += paragraph("fit", fit);
  if (!construct.motions.empty()) out += motions_block(construct, bench);
  out += forces_block("shear", construct.shear);
  out += forces_block("axial", construct.axial);
  out += forces_block("at heads", construct.heads);
  out += combined_block(construct);
  out += hybrid_block(construct);
  out += assembly_block(construct);
  out += friction_block(construct);
  out += softest_block(construct);
  out += carries_block(construct);
  if (const std::string kinematics = kinematics_words(construct); !kinematics.empty())
    out += paragraph("kinematics", escaped(kinematics));
  if (construct.status != Status::solved || construct.reason.find("floats") != std::string::npos)
    out += paragraph("why", escaped(construct.reason));
  // What buckles at rest is not loaded at all: nothing was solved under a load.
  if (construct.solve.load_fraction == 0.0 && construct.solve.iterations == 0) return out;
  out += paragraph(
      "solve",
      fmt::format(
          "load fraction {}, up to {} iterations, residual {:.0e}, regularisation {:.1e} of the work, mesh error {:.0e}",
          figure(construct.solve.load_fraction, 2), construct.solve.iterations, construct.solve.residual,
          construct.solve.regularisation_work_share, construct.solve.discretisation_error));
  return out;
}

bool any_status(const study::Assessment& assessment, Status status) {
  for (const ConstructResult& construct : assessment.constructs) {
    if (construct.status == status) return true;
    for (const MotionResult& motion : construct.motions)
      if (motion.status == status) return true;
  }
  return false;
}

bool full_load(const std::string& kinematics, const ConstructResult& construct) {
  return (kinematics.empty() ? construct.kinematics : kinematics) == "full";
}
bool any_full(const study::Assessment& assessment) {
  return std::any_of(assessment.constructs.begin(), assessment.constructs.end(), [](const ConstructResult& c) {
    return c.kinematics == "full" ||
           std::any_of(c.motions.begin(), c.motions.end(), [](const MotionResult& m) { return m.kinematics == "full"; });
  });
}
/// Whether some load is approximate in small kinematics (full: false), or in full ones.
bool any_approximate(const study::Assessment& assessment, bool full) {
  for (const ConstructResult& c : assessment.constructs) {
    if (c.motions.empty() && c.shear.empty() && c.axial.empty() && c.heads.empty() && c.status == Status::approximate &&
        (c.kinematics == "full") == full)
      return true;
    for (const MotionResult& m : c.motions)
      if (m.status == Status::approximate && full_load(m.kinematics, c) == full) return true;
    for (const auto* forces : {&c.shear, &c.axial, &c.heads})
      for (const study::ForceResult& f : *forces)
        if (f.status == Status::approximate && full_load(f.kinematics, c) == full) return true;
  }
  return false;
}

std::string header(const study::Assessment& assessment, const TableOptions& options) {
  const models::Bench& bench = assessment.bench;
  std::string out = escaped(options.program) + "   " + escaped(assessment.case_name) + "\n";
  std::string held = fmt::format("{} held", models::name(bench.bottom));
  if (bench.top)
    held = fmt::format(
        "{} loaded, {}; {} N m in each motion, counted from the middle of the +-0.1 N m response (forces: +-2 N)",
        models::name(*bench.top), held, figure(models::to_Nm(bench.moment_Nmm), 2));
  out += paragraph("bench", held);
  const std::string loads = bench_words(bench, any_full(assessment) ? BenchRun::full : BenchRun::small);
  if (!loads.empty()) out += paragraph("loads", escaped(loads));
  out += paragraph("kinematics",
                   any_full(assessment)
                       ? "full: finite rotations, true lengths of ligaments and wires, friction that stores its slip"
                       : "small: right where rotations stay small; what does not is marked approximate");
  out += paragraph("seats", fmt::format("foundation factor {:.3g} on half-space theory, the most uncertain input of all "
                                        "(plausible 0.03 to 1): try both ends before trusting an order",
                                        assessment.foundation_factor));
  out += paragraph("anatomy", "measured sizes decide what fits; shapes and seats are the generic adult's");
  for (const models::ParameterChange& change : assessment.changes)
    out += paragraph("set", fmt::format("{} = {}, by the case", escaped(change.id), escaped(change.text)));
  return out;
}

std::string legend(const study::Assessment& assessment) {
  std::string out = fmt::format("  *    below bench resolution ({} deg, {} mm)\n", figure(study::kRotationResolution_deg, 1),
                                figure(study::kTravelResolution_mm, 1));
  const bool small = any_approximate(assessment, false);
  if (small)
    out +=
        "  ( )  approximate: a small-displacement value, no range of motion and no share of intact;\n"
        "       not compared with others\n";
  if (any_approximate(assessment, true))
    out += fmt::format("  ( )  {}: see why; no share of intact; not compared with others\n",
                       small ? "or a value in full kinematics that is approximate all the same" : "approximate");
  const auto shares = [](const ConstructResult& c) { return any_share(c, kShares[0]) || any_share(c, kShares[1]); };
  if (std::any_of(assessment.constructs.begin(), assessment.constructs.end(), shares))
    out += "  share  of the neck's rotation without metal in the same motion; none where either is not solved\n";
  const auto beyond = [](const auto& result) { return result.beyond_physical_end; };
  if (std::any_of(assessment.constructs.begin(), assessment.constructs.end(), [&beyond](const ConstructResult& c) {
        return std::any_of(c.motions.begin(), c.motions.end(), beyond) ||
               std::any_of(c.shear.begin(), c.shear.end(), beyond) || std::any_of(c.axial.begin(), c.axial.end(), beyond);
      }))
    out += "  beyond  small displacement left a joint's physical end: no figure (full kinematics will tell)\n";
  if (std::any_of(assessment.constructs.begin(), assessment.constructs.end(), unfit))
    out += "  !    an anchor of this construct does not fit this anatomy, or an artery is in its way: see fit\n";
  if (any_status(assessment, Status::mechanism) || any_status(assessment, Status::no_answer))
    out += "  -    mechanism or no answer: see why; in a share: one of the two rotations is not solved\n";
  return out;
}

}  // namespace

std::string table(const study::Assessment& assessment, const TableOptions& options) {
  std::string out = header(assessment, options);
  std::size_t number = 0;
  for (const ConstructResult& construct : assessment.constructs)
    out += construct_block(is_neck(construct) ? 0 : ++number, construct, assessment.bench, options.colour);
  const bool moments = std::any_of(assessment.constructs.begin(), assessment.constructs.end(),
                                   [](const auto& c) { return !c.motions.empty(); });
  if (moments && assessment.constructs.size() > 1) out += comparison(assessment, options.colour);
  out += sequence_block(assessment);
  out += line('=') + legend(assessment) + "\n" + wrap(kCaution, kWidth, 0) + "\n";
  return out;
}

}  // namespace opisthion::report
