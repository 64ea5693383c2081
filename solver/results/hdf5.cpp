// SPDX-License-Identifier: MIT
#include "solver/results/hdf5.hpp"

#include <algorithm>
#include <array>
#include <functional>
#include <limits>
#include <string_view>

#include "models/quantity/units.hpp"
#include "solver/results/h5.hpp"
#include "solver/results/h5_values.hpp"
#include "solver/results/write_file.hpp"
#include "solver/study/compare.hpp"
#include "solver/study/sequence.hpp"

namespace opisthion::results {
namespace {

using study::Status;
constexpr std::size_t kMotionCount = models::kMotions.size();
constexpr std::size_t kMostShares = 6;

double stiffness_or_none(double value) {
  return value == 0.0 ? kNone : value;
}

using MotionRow = std::array<const study::MotionResult*, kMotionCount>;  // null: not run

MotionRow by_motion(const study::ConstructResult& construct) {
  MotionRow row{};
  for (const study::MotionResult& result : construct.motions) row[static_cast<std::size_t>(result.motion)] = &result;
  return row;
}

/// In the main group stand the solved figures, in small_displacement or approximate_figures the approximate ones.
bool shown(const study::MotionResult* motion, Status status) {
  return motion != nullptr && motion->status == status;
}

Values per_motion(const MotionRow& row, const std::function<double(const study::MotionResult&)>& read, Status status) {
  Values out;
  for (const auto* motion : row) out.push_back(shown(motion, status) ? plain(read(*motion)) : kNone);
  return out;
}

std::vector<std::string> joints_of(const MotionRow& row) {
  std::vector<std::string> names;
  for (const auto* motion : row)
    if (motion != nullptr && !motion->joints.empty() && names.empty())
      for (const study::JointMotion& joint : motion->joints) names.push_back(joint.joint);
  return names;
}

using Triple = std::array<double, 3>;

void put_joint_triples(h5::MemoryFile& file, const std::string& path, const MotionRow& row, std::size_t joints,
                       Status status, const std::function<Triple(const study::JointMotion&)>& read, const h5::About& about) {
  Values out;
  for (const auto* motion : row)
    for (std::size_t j = 0; j < joints; ++j) {
      const bool given = shown(motion, status) && j < motion->joints.size() && !motion->joints[j].floats;
      const Triple triple = given ? read(motion->joints[j]) : Triple{kNone, kNone, kNone};
      for (const double value : triple) out.push_back(plain(value));
    }
  file.array(path, out, {kMotionCount, joints, 3}, about);
}

bool shares_among(const MotionRow& row) {
  return std::any_of(row.begin(), row.end(), [](const auto* motion) {
    return motion != nullptr && (motion->percent_of_intact || motion->percent_of_injured);
  });
}

/// joints: of the construct; row may leave motions out.
void put_motion_figures(h5::MemoryFile& file, const std::string& at, const MotionRow& row, std::size_t joints,
                        Status status) {
  const auto put = [&](const char* name, const char* unit, const char* what,
                       const std::function<double(const study::MotionResult&)>& read) {
    file.array(at + "/" + name, per_motion(row, read, status), {kMotionCount},
               {.unit = unit, .what = what, .axes = {"motion"}});
  };
  put("rotation_deg", "deg",
      "rotation of the potted top on the potted bottom about the load axis, from neutral, positive in the motion asked for",
      [](const auto& m) { return m.rotation_deg; });
  put("secant_stiffness_Nm_per_deg", "N m/deg", "moment over rotation at the maximum",
      [](const auto& m) { return stiffness_or_none(m.secant_stiffness_Nm_per_deg); });
  put("tangent_stiffness_Nm_per_deg", "N m/deg", "slope of moment over rotation at the maximum",
      [](const auto& m) { return stiffness_or_none(m.tangent_stiffness_Nm_per_deg); });
  put("lax_zone_deg", "deg", "rotation from neutral to 0.1 N m", [](const auto& m) { return m.lax_zone_deg; });
  if (status == Status::solved && shares_among(row)) {
    put("percent_of_intact", "%", "share of the rotation of the intact neck's",
        [](const auto& m) { return value_or_none(m.percent_of_intact); });
    put("percent_of_injured", "%", "share of the rotation of the injured neck's without metal",
        [](const auto& m) { return value_or_none(m.percent_of_injured); });
  }
  put("atlas_dens_interval_mm", "mm", "distance from the anterior arch of the atlas to the dens, at the maximum",
      [](const auto& m) { return value_or_none(m.measures.atlas_dens_interval_mm); });
  put("cord_room_mm", "mm", "least room for the spinal cord, at the maximum",
      [](const auto& m) { return value_or_none(m.measures.cord_room_mm); });
  put("c1_slip_mm", "mm", "slide of C1 on C2 from neutral, forward positive",
      [](const auto& m) { return value_or_none(m.measures.c1_slip_mm); });

  Values about_axis;
  for (const auto* motion : row)
    for (std::size_t j = 0; j < joints; ++j)
      about_axis.push_back(shown(motion, status) && j < motion->joints.size() && !motion->joints[j].floats
                               ? plain(motion->joints[j].rotation_deg)
                               : kNone);
  file.array(
      at + "/joint_rotation_deg", about_axis, {kMotionCount, joints},
      {.unit = "deg", .what = "rotation of each joint about the load axis, from neutral", .axes = {"motion", "joint"}});
  put_joint_triples(
      file, at + "/joint_rotations_deg", row, joints, status, [](const auto& j) { return j.rotations_deg; },
      {.unit = "deg",
       .what = "rotations of each joint in the lower body's axes, Cardan sequence flexion (y), bending (x), rotation (z)",
       .axes = {"motion", "joint", "flexion bending rotation"}});
  put_joint_triples(file, at + "/joint_rotation_vector_deg", row, joints, status,
                    [](const auto& j) { return j.rotation_vector_deg; },
                    {.unit = "deg", .what = "rotation vector of each joint", .axes = {"motion", "joint", "x y z"}});
  put_joint_triples(file, at + "/joint_translation_mm", row, joints, status, [](const auto& j) { return j.translation_mm; },
                    {.unit = "mm",
                     .what = "translation of the upper body's reference point, from neutral",
                     .axes = {"motion", "joint", "x y z"}});
}

/// Tensions of every wire at every load: a row a load, wires by the names of the first load that has them.
void put_wires(h5::MemoryFile& file, const std::string& at, const std::vector<const std::vector<study::WireTension>*>& loads,
               const std::vector<std::string>& slipping, const char* axis) {
  std::vector<std::string> names;
  for (const auto* wires : loads)
    if (wires != nullptr && names.empty())
      for (const study::WireTension& wire : *wires) names.push_back(wire.name);
  Values least, largest;
  for (const auto* wires : loads)
    for (std::size_t i = 0; i < names.size(); ++i) {
      const bool given = wires != nullptr && i < wires->size();
      least.push_back(given ? plain((*wires)[i].least_N) : kNone);
      largest.push_back(given ? plain((*wires)[i].largest_N) : kNone);
    }
  file.words(at + "/wire", names, {names.size()},
             {.unit = "text", .what = "wires, in the order of the wire axis", .axes = {"wire"}});
  file.array(at + "/wire_least_N", least, {loads.size(), names.size()},
             {.unit = "N", .what = "least tension of the wire's strands at the maximum", .axes = {axis, "wire"}});
  file.array(at + "/wire_largest_N", largest, {loads.size(), names.size()},
             {.unit = "N", .what = "largest tension of the wire's strands at the maximum", .axes = {axis, "wire"}});
  file.words(at + "/slipping", slipping, {loads.size()},
             {.unit = "text", .what = "what slides at the maximum: friction at its cap, a line each", .axes = {axis}});
}

constexpr const char* kSolveColumns =
    "load_fraction iterations residual regularisation_work_share strand_energy_share discretisation_error";

void push_solve(Values& out, const study::SolveRecord& solve) {
  for (const double value : {solve.load_fraction, static_cast<double>(solve.iterations), solve.residual,
                             solve.regularisation_work_share, solve.strand_energy_share, solve.discretisation_error})
    out.push_back(plain(value));
}

/// Only where a motion says what it was solved in.
void put_kinematics(h5::MemoryFile& file, const std::string& at, const MotionRow& row) {
  if (std::none_of(row.begin(), row.end(),
                   [](const auto* motion) { return motion != nullptr && !motion->kinematics.empty(); }))
    return;
  std::vector<std::string> kinematics;
  Values branches;
  for (const auto* motion : row) {
    kinematics.push_back(motion != nullptr ? motion->kinematics : "");
    branches.push_back(motion != nullptr ? motion->solve.branches : kNone);
  }
  file.words(at + "/motion_kinematics", kinematics, {kMotionCount},
             {.unit = "text", .what = "small or full", .axes = {"motion"}});
  file.array(at + "/branches", branches, {kMotionCount},
             {.unit = "1", .what = "times that an unstable equilibrium was left along its mode", .axes = {"motion"}});
}

/// Figures of the loads with this status.
void put_combined_figures(h5::MemoryFile& file, const std::string& at, const std::vector<study::CombinedResult>& loads,
                          const std::vector<std::string>& joints, Status status) {
  Values turns, about_axes, slides;
  std::array<Values, 3> measures;
  const auto push = [](Values& out, const Triple& triple, bool given) {
    for (const double value : triple) out.push_back(given ? plain(value) : kNone);
  };
  for (const study::CombinedResult& load : loads) {
    const bool given = load.status == status;
    push(turns, load.rotations_deg, given);
    const std::array<std::optional<double>, 3> read{load.measures.atlas_dens_interval_mm, load.measures.cord_room_mm,
                                                    load.measures.c1_slip_mm};
    for (std::size_t i = 0; i < read.size(); ++i) measures[i].push_back(given ? plain(value_or_none(read[i])) : kNone);
    for (std::size_t j = 0; j < joints.size(); ++j) {
      const bool told = given && j < load.joints.size() && !load.joints[j].floats;
      push(about_axes, told ? load.joints[j].rotations_deg : Triple{}, told);
      push(slides, told ? load.joints[j].translation_mm : Triple{}, told);
    }
  }
  file.array(at + "/rotations_deg", turns, {loads.size(), 3},
             {.unit = "deg",
              .what = "rotations of the potted top on the potted bottom from neutral, Cardan sequence",
              .axes = {"load", "flexion bending rotation"}});
  constexpr std::array<const char*, 3> kMeasures{"atlas_dens_interval_mm", "cord_room_mm", "c1_slip_mm"};
  for (std::size_t i = 0; i < kMeasures.size(); ++i)
    file.array(at + "/" + kMeasures[i], measures[i], {loads.size()},
               {.unit = "mm", .what = "as of the motions", .axes = {"load"}});
  file.array(at + "/joint_rotations_deg", about_axes, {loads.size(), joints.size(), 3},
             {.unit = "deg", .what = "as of the motions", .axes = {"load", "joint", "flexion bending rotation"}});
  file.array(at + "/joint_translation_mm", slides, {loads.size(), joints.size(), 3},
             {.unit = "mm", .what = "as of the motions", .axes = {"load", "joint", "x y z"}});
}

/// Moments about several axes at once: full kinematics alone.
void put_combined(h5::MemoryFile& file, const std::string& at, const study::ConstructResult& construct) {
  const std::vector<study::CombinedResult>& loads = construct.combined;
  if (loads.empty()) return;
  file.group(at, "moments about several axes at once, in full kinematics");
  std::vector<std::string> id, name, status, reason, joints;
  Values moment, solve;
  for (const study::CombinedResult& load : loads) {
    id.push_back(load.id);
    name.push_back(load.name);
    status.emplace_back(study::name(load.status));
    reason.push_back(load.reason);
    moment.push_back(plain(load.moment_Nm));
    push_solve(solve, load.solve);
    if (joints.empty())
      for (const study::JointMotion& joint : load.joints) joints.push_back(joint.joint);
  }
  const std::vector<hsize_t> shape{loads.size()};
  const auto words = [&](const char* which, const std::vector<std::string>& values, const char* what) {
    file.words(at + "/" + which, values, shape, {.unit = "text", .what = what, .axes = {"load"}});
  };
  words("id", id, "load");
  words("name", name, "load in words");
  words("status", status, "solved, approximate, mechanism, no answer");
  words("reason", reason, "why the status is not solved");
  file.words(at + "/joint", joints, {joints.size()},
             {.unit = "text", .what = "joints, in the order of the joint axis here", .axes = {"joint"}});
  file.array(at + "/moment_Nm", moment, shape, {.unit = "N m", .what = "length of the moment", .axes = {"load"}});
  put_combined_figures(file, at, loads, joints, Status::solved);
  file.array(at + "/solve", solve, {loads.size(), 6}, {.unit = "1", .what = kSolveColumns, .axes = {"load", "column"}});
  if (std::none_of(loads.begin(), loads.end(), [](const auto& load) { return load.status == Status::approximate; })) return;
  file.group(at + "/approximate_figures", "figures of approximate loads: see reason");
  put_combined_figures(file, at + "/approximate_figures", loads, joints, Status::approximate);
}

/// Figures of the motions whose turn has this status.
void put_hybrid_figures(h5::MemoryFile& file, const std::string& at, const MotionRow& row,
                        const std::vector<std::string>& joints, Status status) {
  Values reached, moment, turns;
  for (const auto* motion : row) {
    const bool given = motion != nullptr && motion->hybrid && motion->hybrid->status == status;
    reached.push_back(given ? plain(motion->hybrid->reached_deg) : kNone);
    moment.push_back(given ? plain(motion->hybrid->moment_Nm) : kNone);
    for (const std::string& name : joints) {
      double turn = kNone;
      if (given)
        for (const study::HybridJoint& joint : motion->hybrid->joints)
          if (joint.joint == name) turn = plain(joint.rotation_deg);
      turns.push_back(turn);
    }
  }
  file.array(at + "/rotation_deg", reached, {kMotionCount},
             {.unit = "deg", .what = "rotation that was reached", .axes = {"motion"}});
  file.array(at + "/moment_Nm", moment, {kMotionCount}, {.unit = "N m", .what = "moment that it takes", .axes = {"motion"}});
  file.array(at + "/joints_deg", turns, {kMotionCount, joints.size()},
             {.unit = "deg", .what = "what each joint does of it, about the load axis", .axes = {"motion", "joint"}});
}

/// Turned as far as the intact neck turned, on the motions' own axes: full kinematics alone.
void put_hybrid(h5::MemoryFile& file, const std::string& at, const MotionRow& row, const std::vector<std::string>& joints) {
  if (std::none_of(row.begin(), row.end(), [](const auto* motion) { return motion != nullptr && motion->hybrid; })) return;
  std::vector<std::string> status, reason;
  Values target;
  bool approximate = false;
  for (const auto* motion : row) {
    const study::HybridMotion* hybrid = motion != nullptr && motion->hybrid ? &*motion->hybrid : nullptr;
    status.emplace_back(hybrid != nullptr ? study::name(hybrid->status) : "not run");
    reason.push_back(hybrid != nullptr ? hybrid->reason : "");
    target.push_back(hybrid != nullptr ? plain(hybrid->target_deg) : kNone);
    approximate = approximate || (hybrid != nullptr && hybrid->status == Status::approximate);
  }
  file.group(at, "the hybrid protocol: turned as far as the intact neck turned");
  const auto words = [&](const char* which, const std::vector<std::string>& values, const char* what) {
    file.words(at + "/" + which, values, {kMotionCount}, {.unit = "text", .what = what, .axes = {"motion"}});
  };
  words("status", status, "solved, approximate, no answer; not run");
  words("reason", reason, "why the status is not solved");
  file.array(at + "/target_deg", target, {kMotionCount},
             {.unit = "deg", .what = "rotation of the intact neck under the bench's moment", .axes = {"motion"}});
  put_hybrid_figures(file, at, row, joints, Status::solved);
  if (!approximate) return;
  file.group(at + "/approximate_figures", "figures of approximate motions: see reason");
  put_hybrid_figures(file, at + "/approximate_figures", row, joints, Status::approximate);
}

/// Rotation over the limits of friction, with wires fresh and slack.
void put_friction(h5::MemoryFile& file, const std::string& at, const study::ConstructResult& construct) {
  if (!construct.friction) return;
  constexpr std::size_t kStates = study::kWireStates.size();
  constexpr std::size_t kLevels = study::kFrictionLevels.size();
  Values rotation(kMotionCount * kStates * kLevels, kNone);
  Values apart(rotation.size(), kNone);
  bool approximate = false;
  std::vector<std::string> status(rotation.size(), "not run");
  for (const study::FrictionMotion& motion : construct.friction->motions)
    for (std::size_t state = 0; state < kStates; ++state)
      for (std::size_t level = 0; level < kLevels; ++level) {
        const study::FrictionCell& cell = motion.cells[state][level];
        if (!cell.run) continue;
        const std::size_t place = (static_cast<std::size_t>(motion.motion) * kStates + state) * kLevels + level;
        status[place] = study::name(cell.status);
        if (cell.status == Status::solved) rotation[place] = plain(cell.rotation_deg);
        if (cell.status != Status::approximate) continue;
        apart[place] = plain(cell.rotation_deg);
        approximate = true;
      }
  const std::vector<hsize_t> shape{kMotionCount, kStates, kLevels};
  const std::vector<std::string> axes{"motion", "fresh slack", "frictionless nominal stuck"};
  file.group(at + "/friction_range", "rotation over the limits of friction, with wires fresh and slack");
  file.array(at + "/friction_range/rotation_deg", rotation, shape,
             {.unit = "deg", .what = "rotation about the load axis, where solved", .axes = axes});
  file.words(at + "/friction_range/status", status, shape,
             {.unit = "text", .what = "solved, approximate, mechanism, no answer; not run", .axes = axes});
  if (!approximate) return;
  file.group(at + "/friction_range/approximate_figures", "figures of approximate motions in full kinematics");
  file.array(at + "/friction_range/approximate_figures/rotation_deg", apart, shape,
             {.unit = "deg", .what = "rotation about the load axis, where approximate", .axes = axes});
}

void put_motions(h5::MemoryFile& file, const std::string& at, const study::ConstructResult& construct) {
  const MotionRow row = by_motion(construct);
  std::vector<std::string> status, reason, items;
  Values moment, solve, shares;
  for (const auto* motion : row) {
    status.emplace_back(motion != nullptr ? study::name(motion->status) : "not run");
    reason.push_back(motion != nullptr ? motion->reason : "");
    moment.push_back(motion != nullptr ? motion->moment_Nm : kNone);
    if (motion != nullptr)
      push_solve(solve, motion->solve);
    else
      solve.insert(solve.end(), 6, kNone);
    for (std::size_t k = 0; k < kMostShares; ++k) {
      const bool there = motion != nullptr && k < motion->energy.size();
      items.push_back(there ? motion->energy[k].item : "");
      shares.push_back(there ? motion->energy[k].share : kNone);
    }
  }
  const std::vector<std::string> joints = joints_of(row);
  file.words(at + "/joint", joints, {joints.size()},
             {.unit = "text", .what = "joints, in the order of the joint axis", .axes = {"joint"}});
  file.words(at + "/status", status, {kMotionCount},
             {.unit = "text", .what = "solved, approximate, mechanism, no answer; not run", .axes = {"motion"}});
  file.words(at + "/reason", reason, {kMotionCount},
             {.unit = "text", .what = "why the status is not solved", .axes = {"motion"}});
  file.array(at + "/moment_Nm", moment, {kMotionCount},
             {.unit = "N m", .what = "moment applied to the potted top", .axes = {"motion"}});
  put_motion_figures(file, at, row, joints.size(), Status::solved);
  file.array(at + "/solve", solve, {kMotionCount, 6}, {.unit = "1", .what = kSolveColumns, .axes = {"motion", "column"}});
  put_kinematics(file, at, row);
  file.words(
      at + "/energy_item", items, {kMotionCount, kMostShares},
      {.unit = "text", .what = "items that hold most of the strain energy, largest first", .axes = {"motion", "rank"}});
  file.array(at + "/energy_share", shares, {kMotionCount, kMostShares},
             {.unit = "1", .what = "their shares", .axes = {"motion", "rank"}});
  std::vector<const std::vector<study::WireTension>*> wires;
  std::vector<std::string> slipping;
  for (const auto* motion : row) {
    wires.push_back(motion != nullptr ? &motion->wires : nullptr);
    slipping.push_back(motion != nullptr ? joined(motion->slipping) : "");
  }
  put_wires(file, at, wires, slipping, "motion");
  put_hybrid(file, at + "/hybrid", row, joints);
  MotionRow small = row;
  MotionRow full = row;
  for (std::size_t i = 0; i < row.size(); ++i)
    if (row[i] != nullptr) (construct.in_full(row[i]->kinematics) ? small : full)[i] = nullptr;
  const bool any_small = std::any_of(small.begin(), small.end(), [](const auto* motion) { return motion != nullptr; });
  if (any_small || construct.kinematics != "full") {
    file.group(at + "/small_displacement", "figures of approximate motions: small-displacement values, no range of motion");
    put_motion_figures(file, at + "/small_displacement", small, joints.size(), Status::approximate);
  }
  if (std::none_of(full.begin(), full.end(), [](const auto* motion) { return shown(motion, Status::approximate); })) return;
  file.group(at + "/approximate_figures", "figures of approximate motions in full kinematics: see reason");
  put_motion_figures(file, at + "/approximate_figures", full, joints.size(), Status::approximate);
}

void put_force_figures(h5::MemoryFile& file, const std::string& at, const std::vector<study::ForceResult>& forces,
                       const std::function<bool(const study::ForceResult&)>& here) {
  const auto put = [&](const char* name, const char* unit, const char* what,
                       const std::function<double(const study::ForceResult&)>& read) {
    Values out;
    for (const study::ForceResult& force : forces) out.push_back(here(force) ? plain(read(force)) : kNone);
    file.array(at + "/" + name, out, {forces.size()}, {.unit = unit, .what = what, .axes = {"load"}});
  };
  put("travel_mm", "mm", "travel along the load's line, from neutral, signed like the force",
      [](const auto& f) { return f.travel_mm; });
  put("stiffness_N_per_mm", "N/mm", "force over travel",
      [](const auto& f) { return stiffness_or_none(f.stiffness_N_per_mm); });
  put("lax_zone_mm", "mm", "travel from neutral to 2 N", [](const auto& f) { return f.lax_zone_mm; });
  put("atlas_dens_interval_mm", "mm", "distance from the anterior arch of the atlas to the dens",
      [](const auto& f) { return value_or_none(f.measures.atlas_dens_interval_mm); });
  put("cord_room_mm", "mm", "least room for the spinal cord",
      [](const auto& f) { return value_or_none(f.measures.cord_room_mm); });
  put("c1_slip_mm", "mm", "slide of C1 on C2 from neutral, forward positive",
      [](const auto& f) { return value_or_none(f.measures.c1_slip_mm); });
}

void put_forces(h5::MemoryFile& file, const std::string& at, const study::ConstructResult& construct,
                const std::vector<study::ForceResult>& forces, const char* what) {
  file.group(at, what);
  std::vector<std::string> id, name, line, status, reason;
  Values force_N, solve;
  for (const study::ForceResult& force : forces) {
    id.push_back(force.id);
    name.push_back(force.name);
    line.push_back(force.line);
    status.emplace_back(study::name(force.status));
    reason.push_back(force.reason);
    force_N.push_back(force.force_N);
    push_solve(solve, force.solve);
  }
  const std::vector<hsize_t> shape{forces.size()};
  file.words(at + "/id", id, shape, {.unit = "text", .what = "load", .axes = {"load"}});
  file.words(at + "/name", name, shape, {.unit = "text", .what = "load in words", .axes = {"load"}});
  file.words(at + "/line", line, shape, {.unit = "text", .what = "line of action", .axes = {"load"}});
  file.words(at + "/status", status, shape,
             {.unit = "text", .what = "solved, approximate, mechanism, no answer", .axes = {"load"}});
  file.words(at + "/reason", reason, shape, {.unit = "text", .what = "why the status is not solved", .axes = {"load"}});
  file.array(at + "/force_N", force_N, shape, {.unit = "N", .what = "force, signed along its line", .axes = {"load"}});
  put_force_figures(file, at, forces, [](const auto& force) { return force.status == Status::solved; });
  file.array(at + "/solve", solve, {forces.size(), 6}, {.unit = "1", .what = kSolveColumns, .axes = {"load", "column"}});
  std::vector<const std::vector<study::WireTension>*> wires;
  std::vector<std::string> slipping;
  for (const study::ForceResult& force : forces) {
    wires.push_back(&force.wires);
    slipping.push_back(joined(force.slipping));
  }
  put_wires(file, at, wires, slipping, "load");
  const auto approximate_in = [&construct](const study::ForceResult& force, bool full) {
    return force.status == Status::approximate && construct.in_full(force.kinematics) == full;
  };
  const bool any_small =
      std::any_of(forces.begin(), forces.end(), [&](const auto& force) { return !construct.in_full(force.kinematics); });
  if (any_small || construct.kinematics != "full") {
    file.group(at + "/small_displacement", "figures of approximate loads: small-displacement values");
    put_force_figures(file, at + "/small_displacement", forces,
                      [&](const auto& force) { return approximate_in(force, false); });
  }
  const auto apart = [&](const auto& force) { return approximate_in(force, true); };
  if (std::none_of(forces.begin(), forces.end(), apart)) return;
  file.group(at + "/approximate_figures", "figures of approximate loads in full kinematics: see reason");
  put_force_figures(file, at + "/approximate_figures", forces, apart);
}

void put_softest(h5::MemoryFile& file, const std::string& at, const study::ConstructResult& construct) {
  std::vector<std::string> what, unit, free_what, free_kind, free_unit;
  Values stiffness, travel;
  for (const study::SoftMotion& soft : construct.softest) {
    what.push_back(soft.what);
    unit.push_back(soft.unit);
    stiffness.push_back(soft.stiffness);
  }
  for (const study::FreeMotion& free : construct.free) {
    free_what.push_back(free.what);
    free_kind.emplace_back(free.lax ? "lax" : "floating");
    free_unit.push_back(free.unit);
    travel.push_back(free.lax ? free.travel : kNone);
  }
  file.group(at + "/softest", "softest motions about neutral, softest first");
  file.words(at + "/softest/what", what, {what.size()}, {.unit = "text", .what = "motion in words", .axes = {"rank"}});
  file.array(at + "/softest/stiffness", stiffness, {stiffness.size()},
             {.unit = "see softest/unit", .what = "stiffness of the motion", .axes = {"rank"}});
  file.words(at + "/softest/unit", unit, {unit.size()},
             {.unit = "text", .what = "unit of each stiffness", .axes = {"rank"}});
  file.group(at + "/free", "motions free at neutral: lax ones stiffen after some travel, floating ones do not");
  file.words(at + "/free/what", free_what, {free_what.size()},
             {.unit = "text", .what = "motion in words", .axes = {"rank"}});
  file.words(at + "/free/kind", free_kind, {free_kind.size()},
             {.unit = "text", .what = "lax or floating", .axes = {"rank"}});
  file.array(at + "/free/travel", travel, {travel.size()},
             {.unit = "see free/unit", .what = "travel until it stiffens, one way", .axes = {"rank"}});
  file.words(at + "/free/unit", free_unit, {free_unit.size()},
             {.unit = "text", .what = "unit of each travel", .axes = {"rank"}});
}

void put_construct(h5::MemoryFile& file, const std::string& at, const study::ConstructResult& construct) {
  const bool metal = construct.row == study::RowKind::construct;
  file.group(at, metal ? "one construct" : "the neck without metal");
  if (!metal) file.attribute(at, "row", std::string(study::name(construct.row)));
  file.attribute(at, "name", construct.name);
  file.attribute(at, "kinematics", construct.kinematics);
  file.attribute(at, "status", std::string(study::name(construct.status)));
  file.attribute(at, "reason", construct.reason);
  file.attribute(at, "foundation_factor", construct.foundation_factor);
  std::string fit;
  for (const study::AnchorFit& anchor : construct.fit)
    fit += (fit.empty() ? "" : "\n") + anchor.anchor + ": " +
           (anchor.text.starts_with(anchor.verdict) ? "" : anchor.verdict + ": ") + anchor.text;
  file.attribute(at, "fit", fit);
  file.attribute(at, "notes", joined(construct.notes));
  std::vector<std::string> tightened;
  Values asked, at_rest;
  for (const study::TightenedItem& item : construct.assembly) {
    tightened.push_back(item.name);
    asked.push_back(plain(item.asked_N));
    at_rest.push_back(plain(item.at_rest_N));
  }
  file.group(at + "/assembly", "what is tightened at assembly");
  file.words(at + "/assembly/name", tightened, {tightened.size()},
             {.unit = "text", .what = "tightened parts", .axes = {"part"}});
  file.array(at + "/assembly/asked_N", asked, {asked.size()},
             {.unit = "N", .what = "force that it is tightened to", .axes = {"part"}});
  file.array(at + "/assembly/at_rest_N", at_rest, {at_rest.size()},
             {.unit = "N", .what = "force left at rest, everything locked", .axes = {"part"}});
  std::vector<std::string> joints;
  Values turned, moved;
  for (const study::JointMotion& joint : construct.rest) {
    joints.push_back(joint.joint);
    for (const double turn : joint.rotations_deg) turned.push_back(plain(turn));
    for (const double slide : joint.translation_mm) moved.push_back(plain(slide));
  }
  file.words(at + "/assembly/joint", joints, {joints.size()},
             {.unit = "text", .what = "joints, where assembly moved something", .axes = {"joint"}});
  file.array(at + "/assembly/rotations_deg", turned, {joints.size(), 3},
             {.unit = "deg",
              .what = "what assembly did to each joint, from the pose as built",
              .axes = {"joint", "flexion bending rotation"}});
  file.array(at + "/assembly/translation_mm", moved, {joints.size(), 3},
             {.unit = "mm", .what = "the same of its upper body's named point", .axes = {"joint", "x y z"}});
  const Values rest{value_or_none(construct.at_rest.atlas_dens_interval_mm), value_or_none(construct.at_rest.cord_room_mm),
                    value_or_none(construct.at_rest.c1_slip_mm)};
  file.array(at + "/at_rest_mm", rest, {3},
             {.unit = "mm", .what = "measures at neutral", .axes = {"atlas_dens_interval cord_room c1_slip"}});
  put_motions(file, at, construct);
  put_forces(file, at + "/shear", construct, construct.shear, "anteroposterior shear");
  put_forces(file, at + "/axial", construct, construct.axial, "axial load along a stated line");
  put_forces(file, at + "/heads", construct, construct.heads, "a rig's force at an anchor's head");
  put_combined(file, at + "/combined", construct);
  put_friction(file, at, construct);
  put_softest(file, at, construct);
}

void put_comparison(h5::MemoryFile& file, const study::Assessment& assessment) {
  std::vector<std::string> motion, a, b;
  Values difference;
  for (const study::Indistinct& pair : assessment.indistinct) {
    motion.emplace_back(models::name(pair.motion));
    a.push_back(pair.a);
    b.push_back(pair.b);
    difference.push_back(pair.difference_deg);
  }
  file.group("/not_distinguishable", "pairs of constructs whose rotations differ by less than a bench can see");
  file.attribute("/not_distinguishable", "resolution_deg", study::kRotationResolution_deg);
  const std::vector<hsize_t> shape{motion.size()};
  file.words("/not_distinguishable/motion", motion, shape, {.unit = "text", .what = "motion", .axes = {"pair"}});
  file.words("/not_distinguishable/a", a, shape, {.unit = "text", .what = "one construct", .axes = {"pair"}});
  file.words("/not_distinguishable/b", b, shape, {.unit = "text", .what = "the other", .axes = {"pair"}});
  file.array("/not_distinguishable/difference_deg", difference, shape,
             {.unit = "deg", .what = "their difference", .axes = {"pair"}});
}

/// One specimen in the order of its test: what each state changes against the one before.
void put_sequence(h5::MemoryFile& file, const study::Assessment& assessment) {
  const std::vector<study::SequenceState> states = study::sequence_of(assessment);
  if (states.empty()) return;
  std::vector<std::string> rows, since;
  Values changes;
  for (const study::SequenceState& state : states) {
    rows.push_back(state.row->name);
    since.push_back(state.since);
    for (const std::optional<double>& change : state.change_deg) changes.push_back(plain(value_or_none(change)));
  }
  file.group("/sequence", "one specimen tested in several states, in the order of the test");
  file.words("/sequence/row", rows, {states.size()}, {.unit = "text", .what = "name of the row", .axes = {"state"}});
  file.words("/sequence/since", since, {states.size()},
             {.unit = "text", .what = "name of the row before; empty: the first", .axes = {"state"}});
  file.array("/sequence/change_deg", changes, {states.size(), kMotionCount},
             {.unit = "deg",
              .what = "rotation about the load axis less that of the row before, where both are solved",
              .axes = {"state", "motion"}});
}

/// What the file's figures were solved in: "small", "full", or "mixed" (each group says which).
std::string kinematics_of(const study::Assessment& assessment) {
  std::string out;
  const auto take = [&out](const std::string& one) {
    if (one.empty() || one == out) return;
    out = out.empty() ? one : "mixed";
  };
  for (const study::ConstructResult& row : assessment.constructs) {
    take(row.kinematics);
    for (const study::MotionResult& motion : row.motions) take(motion.kinematics);
  }
  return out.empty() ? "small" : out;
}

}  // namespace

void write_hdf5(const std::string& path, const study::Assessment& assessment, const Stamp& stamp) {
  h5::MemoryFile file;
  file.attribute("/", "format", kFormat);
  file.attribute("/", "format_version", kFormatVersion);
  file.attribute("/", "program", stamp.program);
  file.attribute("/", "version", stamp.version);
  file.attribute("/", "caution", stamp.caution);
  file.attribute("/", "case", assessment.case_name);
  file.attribute("/", "case_xml", stamp.case_xml);
  file.attribute("/", "kinematics", kinematics_of(assessment));
  file.attribute("/", "cardan_sequence", std::string(models::kCardanSequence));
  file.attribute("/", "axes", std::string("x anterior, y left, z superior"));
  file.attribute("/", "bench_top", std::string(assessment.bench.top ? models::name(*assessment.bench.top) : ""));
  file.attribute("/", "bench_bottom", std::string(models::name(assessment.bench.bottom)));
  file.attribute("/", "moment_Nm", models::to_Nm(assessment.bench.moment_Nmm));
  file.attribute("/", "foundation_factor", assessment.foundation_factor);
  std::vector<std::string> motions;
  for (const models::Motion motion : models::kMotions) motions.emplace_back(models::name(motion));
  file.words("/motion", motions, {motions.size()},
             {.unit = "text", .what = "motions, in the order of every motion axis", .axes = {"motion"}});
  const std::vector<std::string> sources(assessment.parameters_read.begin(), assessment.parameters_read.end());
  file.words("/sources_used", sources, {sources.size()},
             {.unit = "text", .what = "library numbers that were read", .axes = {"number"}});
  file.group("/constructs", "one group a construct, in the case's order");
  std::size_t constructs = 0;
  std::size_t necks = 0;
  for (const study::ConstructResult& row : assessment.constructs) {
    if (row.row == study::RowKind::construct) {
      put_construct(file, "/constructs/" + std::to_string(constructs++), row);
      continue;
    }
    if (necks == 0) file.group("/necks", "the neck without metal: as it was, and as it is hurt");
    put_construct(file, "/necks/" + std::to_string(necks++), row);
  }
  put_comparison(file, assessment);
  put_sequence(file, assessment);
  write_file(path, file.bytes(), Durability::synced);
}

bool looks_like_hdf5(std::string_view first_bytes) {
  return first_bytes.starts_with("\x89HDF\r\n\x1a\n");
}

std::string read_case_text(const std::string& path) {
  return h5::read_text_attribute(path, "case_xml");
}

}  // namespace opisthion::results
