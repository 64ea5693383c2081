// SPDX-License-Identifier: MIT
#include "solver/results/json.hpp"

#include <algorithm>

#include "solver/results/json_parts.hpp"
#include "solver/study/compare.hpp"
#include "solver/study/sequence.hpp"

namespace opisthion::results {
namespace {

using study::Status;

Json joints_json(const std::vector<study::JointMotion>& joints, bool shown) {
  Json out = Json::object();
  for (const study::JointMotion& joint : joints) {
    const bool given = shown && !joint.floats;
    out[joint.joint] = {{"rotation_deg", given ? number(joint.rotation_deg) : Json(nullptr)},
                        {"rotations_deg", numbers(joint.rotations_deg, given)},
                        {"rotation_vector_deg", numbers(joint.rotation_vector_deg, given)},
                        {"translation_mm", numbers(joint.translation_mm, given)},
                        {"translation_point", joint.translation_point},
                        {"floats", joint.floats}};
  }
  return out;
}

Json wires_json(const std::vector<study::WireTension>& wires) {
  Json out = Json::array();
  for (const study::WireTension& wire : wires)
    out.push_back({{"name", wire.name}, {"least_N", number(wire.least_N)}, {"largest_N", number(wire.largest_N)}});
  return out;
}

void put_motion_figures(Json& out, const study::MotionResult& motion, bool shown) {
  out["rotation_deg"] = shown ? number(motion.rotation_deg) : Json(nullptr);
  out["secant_stiffness_Nm_per_deg"] = shown ? stiffness(motion.secant_stiffness_Nm_per_deg) : Json(nullptr);
  out["tangent_stiffness_Nm_per_deg"] = shown ? stiffness(motion.tangent_stiffness_Nm_per_deg) : Json(nullptr);
  out["lax_zone_deg"] = shown ? number(motion.lax_zone_deg) : Json(nullptr);
  out["joints"] = joints_json(motion.joints, shown);
  out["measures"] = measures_json(motion.measures, shown);
}

/// Figures of an approximate load stand under a key that says what they are.
const char* apart_key(bool full) {
  return full ? "approximate_figures" : "small_displacement";
}

/// Full kinematics alone.
Json hybrid_json(const study::HybridMotion& hybrid) {
  const auto put = [&hybrid](Json& out, bool shown) {
    out["rotation_deg"] = shown ? number(hybrid.reached_deg) : Json(nullptr);
    out["moment_Nm"] = shown ? number(hybrid.moment_Nm) : Json(nullptr);
    Json joints = Json::object();
    for (const study::HybridJoint& joint : hybrid.joints)
      joints[joint.joint] = shown ? number(joint.rotation_deg) : Json(nullptr);
    out["joints_deg"] = std::move(joints);
  };
  Json out{{"status", study::name(hybrid.status)}, {"reason", hybrid.reason}, {"target_deg", number(hybrid.target_deg)}};
  put(out, hybrid.status == Status::solved);
  if (hybrid.status == Status::approximate) {
    Json apart = Json::object();
    put(apart, true);
    out[apart_key(true)] = std::move(apart);
  }
  return out;
}

Json motion_json(const study::MotionResult& motion, const study::ConstructResult& construct, bool shares) {
  const bool full = construct.in_full(motion.kinematics);
  Json out{{"moment_Nm", number(motion.moment_Nm)}, {"status", study::name(motion.status)}, {"reason", motion.reason}};
  if (!motion.kinematics.empty()) out["kinematics"] = motion.kinematics;
  put_motion_figures(out, motion, motion.status == Status::solved);
  if (shares) {
    out["percent_of_intact"] = number(motion.percent_of_intact);
    out["percent_of_injured"] = number(motion.percent_of_injured);
  }
  if (motion.hybrid) out["hybrid"] = hybrid_json(*motion.hybrid);
  out["beyond_physical_end"] = motion.beyond_physical_end;
  if (motion.status == Status::approximate) {
    Json apart = Json::object();
    put_motion_figures(apart, motion, true);
    out[apart_key(full)] = std::move(apart);
  }
  Json energy = Json::array();
  for (const study::EnergyShare& share : motion.energy)
    energy.push_back({{"item", share.item}, {"share", number(share.share)}});
  out["energy"] = std::move(energy);
  out["slipping"] = motion.slipping;
  out["wires"] = wires_json(motion.wires);
  out["solve"] = solve_json(motion.solve, full);
  return out;
}

void put_force_figures(Json& out, const study::ForceResult& force, bool shown) {
  out["travel_mm"] = shown ? number(force.travel_mm) : Json(nullptr);
  out["stiffness_N_per_mm"] = shown ? stiffness(force.stiffness_N_per_mm) : Json(nullptr);
  out["lax_zone_mm"] = shown ? number(force.lax_zone_mm) : Json(nullptr);
  out["measures"] = measures_json(force.measures, shown);
}

Json forces_json(const std::vector<study::ForceResult>& forces, const study::ConstructResult& construct) {
  Json list = Json::array();
  for (const study::ForceResult& force : forces) {
    const bool full = construct.in_full(force.kinematics);
    Json out{{"id", force.id},
             {"name", force.name},
             {"force_N", number(force.force_N)},
             {"line", force.line},
             {"status", study::name(force.status)},
             {"reason", force.reason}};
    if (!force.kinematics.empty()) out["kinematics"] = force.kinematics;
    put_force_figures(out, force, force.status == Status::solved);
    out["beyond_physical_end"] = force.beyond_physical_end;
    if (force.status == Status::approximate) {
      Json apart = Json::object();
      put_force_figures(apart, force, true);
      out[apart_key(full)] = std::move(apart);
    }
    out["slipping"] = force.slipping;
    out["wires"] = wires_json(force.wires);
    out["solve"] = solve_json(force.solve, full);
    list.push_back(std::move(out));
  }
  return list;
}

Json fit_json(const std::vector<study::AnchorFit>& fits) {
  Json list = Json::array();
  for (const study::AnchorFit& fit : fits)
    list.push_back({{"anchor", fit.anchor},
                    {"kind", fit.kind},
                    {"verdict", fit.verdict},
                    {"artery_in_the_way", fit.artery_in_the_way},
                    {"text", fit.text}});
  return list;
}

/// What assembly did to each joint, from the pose as built.
Json rest_json(const std::vector<study::JointMotion>& joints) {
  Json out = Json::object();
  for (const study::JointMotion& joint : joints) {
    Json turns = Json::array();
    Json slides = Json::array();
    for (const double turn : joint.rotations_deg) turns.push_back(number(turn));
    for (const double slide : joint.translation_mm) slides.push_back(number(slide));
    out[joint.joint] = {{"rotations_deg", turns}, {"translation_mm", slides}};
  }
  return out;
}

/// States of one specimen in the order of the test: what each changes against the one before, null unless both are solved.
Json sequence_json(const study::Assessment& assessment) {
  Json list = Json::array();
  for (const study::SequenceState& state : study::sequence_of(assessment)) {
    Json changes = Json::object();
    for (const study::MotionResult& motion : state.row->motions)
      changes[std::string(models::name(motion.motion))] = number(state.change_deg[static_cast<std::size_t>(motion.motion)]);
    list.push_back({{"row", state.row->name},
                    {"since", state.since.empty() ? Json(nullptr) : Json(state.since)},
                    {"change_deg", std::move(changes)}});
  }
  return list;
}

/// Moments about several axes at once: full kinematics alone.
Json combined_json(const std::vector<study::CombinedResult>& loads) {
  Json list = Json::array();
  const auto put = [](Json& out, const study::CombinedResult& load, bool shown) {
    out["rotations_deg"] = numbers(load.rotations_deg, shown);
    out["joints"] = joints_json(load.joints, shown);
    out["measures"] = measures_json(load.measures, shown);
  };
  for (const study::CombinedResult& load : loads) {
    Json out{{"id", load.id},
             {"name", load.name},
             {"moment_Nm", number(load.moment_Nm)},
             {"status", study::name(load.status)},
             {"reason", load.reason}};
    put(out, load, load.status == Status::solved);
    if (load.status == Status::approximate) {
      Json apart = Json::object();
      put(apart, load, true);
      out[apart_key(true)] = std::move(apart);
    }
    out["solve"] = solve_json(load.solve, true);
    list.push_back(std::move(out));
  }
  return list;
}

/// Rotation about each load axis over the limits of friction, with wires fresh and slack; null where not solved. What was
/// not run is not there. Full kinematics alone.
Json friction_json(const study::FrictionRange& range) {
  Json out = Json::object();
  for (const study::FrictionMotion& motion : range.motions) {
    Json states = Json::object();
    for (const study::WireState state : study::kWireStates) {
      Json levels = Json::object();
      for (const study::FrictionLevel level : study::kFrictionLevels) {
        const study::FrictionCell& cell = motion.cells[static_cast<std::size_t>(state)][static_cast<std::size_t>(level)];
        if (!cell.run) continue;
        const bool solved = cell.status == Status::solved;
        Json out_cell{{"status", study::name(cell.status)},
                      {"rotation_deg", solved ? number(cell.rotation_deg) : Json(nullptr)}};
        if (cell.status == Status::approximate) out_cell[apart_key(true)] = {{"rotation_deg", number(cell.rotation_deg)}};
        levels[std::string(study::name(level))] = std::move(out_cell);
      }
      if (!levels.empty()) states[std::string(study::name(state))] = std::move(levels);
    }
    out[std::string(models::name(motion.motion))] = std::move(states);
  }
  return out;
}

Json construct_json(const study::ConstructResult& construct, bool shares) {
  Json out = Json::object();
  if (construct.row != study::RowKind::construct) out["row"] = study::name(construct.row);
  out["name"] = construct.name;
  out["kinematics"] = construct.kinematics;
  out["status"] = study::name(construct.status);
  out["reason"] = construct.reason;
  out["foundation_factor"] = number(construct.foundation_factor);
  out["fit"] = fit_json(construct.fit);
  out["assembly"] = assembly_json(construct.assembly);
  out["notes"] = construct.notes;
  out["at_rest"] = measures_json(construct.at_rest, true);
  out["moved_by_assembly"] = rest_json(construct.rest);
  Json motions = Json::object();
  for (const study::MotionResult& motion : construct.motions)
    motions[std::string(models::name(motion.motion))] = motion_json(motion, construct, shares);
  out["motions"] = std::move(motions);
  out["shear"] = forces_json(construct.shear, construct);
  out["axial"] = forces_json(construct.axial, construct);
  out["heads"] = forces_json(construct.heads, construct);
  if (!construct.combined.empty()) out["combined"] = combined_json(construct.combined);
  if (construct.friction) out["friction_range"] = friction_json(*construct.friction);
  Json softest = Json::array();
  for (const study::SoftMotion& soft : construct.softest)
    softest.push_back({{"what", soft.what}, {"stiffness", number(soft.stiffness)}, {"unit", soft.unit}});
  out["softest"] = std::move(softest);
  Json free = Json::array();
  for (const study::FreeMotion& motion : construct.free)
    free.push_back({{"what", motion.what},
                    {"kind", motion.lax ? "lax" : "floating"},
                    {"travel", motion.lax ? number(motion.travel) : Json(nullptr)},
                    {"unit", motion.unit}});
  out["free"] = std::move(free);
  out["solve"] = solve_json(construct.solve, construct.kinematics == "full");
  return out;
}

}  // namespace

std::string to_json(const study::Assessment& assessment, const Stamp& stamp) {
  Json out{{"schema", kJsonSchema},
           {"program", stamp.program + " " + stamp.version},
           {"case", assessment.case_name},
           {"caution", stamp.caution},
           {"bench", bench_json(assessment.bench)},
           {"foundation_factor", number(assessment.foundation_factor)}};
  out["set_by_the_case"] = changes_json(assessment.changes);
  Json necks = Json::array();
  Json constructs = Json::array();
  const bool shares = std::any_of(assessment.constructs.begin(), assessment.constructs.end(),
                                  [](const auto& row) { return row.row != study::RowKind::construct; });
  for (const study::ConstructResult& row : assessment.constructs)
    (row.row == study::RowKind::construct ? constructs : necks).push_back(construct_json(row, shares));
  if (shares) out["necks"] = std::move(necks);
  out["constructs"] = std::move(constructs);
  if (!assessment.bench.sequence.empty()) out["sequence"] = sequence_json(assessment);
  Json pairs = Json::array();
  for (const study::Indistinct& pair : assessment.indistinct)
    pairs.push_back({{"motion", models::name(pair.motion)},
                     {"a", pair.a},
                     {"b", pair.b},
                     {"difference_deg", number(pair.difference_deg)}});
  out["comparison"] = {{"resolution_deg", study::kRotationResolution_deg},
                       {"resolution_mm", study::kTravelResolution_mm},
                       {"not_distinguishable", std::move(pairs)}};
  out["sources_used"] = Json(assessment.parameters_read);
  return document_text(out);
}

}  // namespace opisthion::results
