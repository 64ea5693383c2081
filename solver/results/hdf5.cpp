// SPDX-License-Identifier: MIT
#include "solver/results/hdf5.hpp"

#include <array>
#include <functional>
#include <limits>
#include <string_view>

#include "models/quantity/units.hpp"
#include "solver/results/h5.hpp"
#include "solver/results/write_file.hpp"

namespace opisthion::results {
namespace {

using study::Status;
using Values = std::vector<double>;
constexpr double kNone = std::numeric_limits<double>::quiet_NaN();
constexpr std::size_t kMotionCount = models::kMotions.size();
constexpr std::size_t kMostShares = 6;

double value_or_none(const std::optional<double>& value) {
  return value ? *value : kNone;
}
double stiffness_or_none(double value) {
  return value == 0.0 ? kNone : value;
}
/// Equal states give equal bytes: no negative zero.
double plain(double value) {
  return value == 0.0 ? 0.0 : value;
}

using MotionRow = std::array<const study::MotionResult*, kMotionCount>;  // null: not run

MotionRow by_motion(const study::ConstructResult& construct) {
  MotionRow row{};
  for (const study::MotionResult& result : construct.motions) row[static_cast<std::size_t>(result.motion)] = &result;
  return row;
}

/// In the main group stand the solved figures, in small_displacement the approximate ones.
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

void put_motion_figures(h5::MemoryFile& file, const std::string& at, const MotionRow& row, Status status) {
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
  put("atlas_dens_interval_mm", "mm", "distance from the anterior arch of the atlas to the dens, at the maximum",
      [](const auto& m) { return value_or_none(m.measures.atlas_dens_interval_mm); });
  put("cord_room_mm", "mm", "least room for the spinal cord, at the maximum",
      [](const auto& m) { return value_or_none(m.measures.cord_room_mm); });
  put("c1_slip_mm", "mm", "slide of C1 on C2 from neutral, forward positive",
      [](const auto& m) { return value_or_none(m.measures.c1_slip_mm); });

  const std::size_t joints = joints_of(row).size();
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

std::string joined(const std::vector<std::string>& lines) {
  std::string out;
  for (const std::string& line : lines) out += (out.empty() ? "" : "\n") + line;
  return out;
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
  put_motion_figures(file, at, row, Status::solved);
  file.array(at + "/solve", solve, {kMotionCount, 6}, {.unit = "1", .what = kSolveColumns, .axes = {"motion", "column"}});
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
  file.group(at + "/small_displacement", "figures of approximate motions: small-displacement values, no range of motion");
  put_motion_figures(file, at + "/small_displacement", row, Status::approximate);
}

void put_force_figures(h5::MemoryFile& file, const std::string& at, const std::vector<study::ForceResult>& forces,
                       Status status) {
  const auto put = [&](const char* name, const char* unit, const char* what,
                       const std::function<double(const study::ForceResult&)>& read) {
    Values out;
    for (const study::ForceResult& force : forces) out.push_back(force.status == status ? plain(read(force)) : kNone);
    file.array(at + "/" + name, out, {forces.size()}, {.unit = unit, .what = what, .axes = {"load"}});
  };
  put("travel_mm", "mm", "travel along the load's line, from neutral, signed like the force",
      [](const auto& f) { return f.travel_mm; });
  put("stiffness_N_per_mm", "N/mm", "force over travel",
      [](const auto& f) { return stiffness_or_none(f.stiffness_N_per_mm); });
  put("atlas_dens_interval_mm", "mm", "distance from the anterior arch of the atlas to the dens",
      [](const auto& f) { return value_or_none(f.measures.atlas_dens_interval_mm); });
  put("cord_room_mm", "mm", "least room for the spinal cord",
      [](const auto& f) { return value_or_none(f.measures.cord_room_mm); });
  put("c1_slip_mm", "mm", "slide of C1 on C2 from neutral, forward positive",
      [](const auto& f) { return value_or_none(f.measures.c1_slip_mm); });
}

void put_forces(h5::MemoryFile& file, const std::string& at, const std::vector<study::ForceResult>& forces,
                const char* what) {
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
  put_force_figures(file, at, forces, Status::solved);
  file.array(at + "/solve", solve, {forces.size(), 6}, {.unit = "1", .what = kSolveColumns, .axes = {"load", "column"}});
  std::vector<const std::vector<study::WireTension>*> wires;
  std::vector<std::string> slipping;
  for (const study::ForceResult& force : forces) {
    wires.push_back(&force.wires);
    slipping.push_back(joined(force.slipping));
  }
  put_wires(file, at, wires, slipping, "load");
  file.group(at + "/small_displacement", "figures of approximate loads: small-displacement values");
  put_force_figures(file, at + "/small_displacement", forces, Status::approximate);
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
  file.group(at, "one construct");
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
  put_forces(file, at + "/shear", construct.shear, "anteroposterior shear");
  put_forces(file, at + "/axial", construct.axial, "axial load along a stated line");
  put_forces(file, at + "/heads", construct.heads, "a rig's force at an anchor's head");
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
  file.attribute("/", "kinematics", std::string("small"));
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
  for (std::size_t i = 0; i < assessment.constructs.size(); ++i)
    put_construct(file, "/constructs/" + std::to_string(i), assessment.constructs[i]);
  put_comparison(file, assessment);
  write_file(path, file.bytes(), Durability::synced);
}

bool looks_like_hdf5(std::string_view first_bytes) {
  return first_bytes.starts_with("\x89HDF\r\n\x1a\n");
}

std::string read_case_text(const std::string& path) {
  return h5::read_text_attribute(path, "case_xml");
}

}  // namespace opisthion::results
