// SPDX-License-Identifier: MIT
#include "solver/results/json.hpp"

#include <cmath>
#include <nlohmann/json.hpp>

#include "models/quantity/units.hpp"

namespace opisthion::results {
namespace {

using Json = nlohmann::ordered_json;
using study::Status;

/// JSON has no NaN: what is not finite is null. Negative zero reads 0, so that equal states print equal text.
Json number(double value) {
  if (!std::isfinite(value)) return nullptr;
  return value == 0.0 ? 0.0 : value;
}

Json number(const std::optional<double>& value) {
  return value ? number(*value) : Json(nullptr);
}

Json numbers(const std::array<double, 3>& values, bool shown) {
  Json out = Json::array();
  for (const double value : values) out.push_back(shown ? number(value) : Json(nullptr));
  return out;
}

/// A stiffness is given only where something moved: force over nothing is no number.
Json stiffness(double value) {
  return value == 0.0 ? Json(nullptr) : number(value);
}

Json measures_json(const study::Measures& measures, bool shown) {
  const auto one = [shown](const std::optional<double>& value) { return shown ? number(value) : Json(nullptr); };
  return {{"atlas_dens_interval_mm", one(measures.atlas_dens_interval_mm)},
          {"cord_room_mm", one(measures.cord_room_mm)},
          {"c1_slip_mm", one(measures.c1_slip_mm)}};
}

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

Json solve_json(const study::SolveRecord& solve) {
  return {{"load_fraction", number(solve.load_fraction)},
          {"iterations", solve.iterations},
          {"residual", number(solve.residual)},
          {"regularisation_work_share", number(solve.regularisation_work_share)},
          {"strand_energy_share", number(solve.strand_energy_share)},
          {"discretisation_error", number(solve.discretisation_error)}};
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

Json motion_json(const study::MotionResult& motion) {
  Json out{{"moment_Nm", number(motion.moment_Nm)}, {"status", study::name(motion.status)}, {"reason", motion.reason}};
  put_motion_figures(out, motion, motion.status == Status::solved);
  out["beyond_physical_end"] = motion.beyond_physical_end;
  if (motion.status == Status::approximate) {
    Json small = Json::object();
    put_motion_figures(small, motion, true);
    out["small_displacement"] = std::move(small);
  }
  Json energy = Json::array();
  for (const study::EnergyShare& share : motion.energy)
    energy.push_back({{"item", share.item}, {"share", number(share.share)}});
  out["energy"] = std::move(energy);
  out["slipping"] = motion.slipping;
  out["wires"] = wires_json(motion.wires);
  out["solve"] = solve_json(motion.solve);
  return out;
}

void put_force_figures(Json& out, const study::ForceResult& force, bool shown) {
  out["travel_mm"] = shown ? number(force.travel_mm) : Json(nullptr);
  out["stiffness_N_per_mm"] = shown ? stiffness(force.stiffness_N_per_mm) : Json(nullptr);
  out["lax_zone_mm"] = shown ? number(force.lax_zone_mm) : Json(nullptr);
  out["measures"] = measures_json(force.measures, shown);
}

Json forces_json(const std::vector<study::ForceResult>& forces) {
  Json list = Json::array();
  for (const study::ForceResult& force : forces) {
    Json out{{"id", force.id},
             {"name", force.name},
             {"force_N", number(force.force_N)},
             {"line", force.line},
             {"status", study::name(force.status)},
             {"reason", force.reason}};
    put_force_figures(out, force, force.status == Status::solved);
    out["beyond_physical_end"] = force.beyond_physical_end;
    if (force.status == Status::approximate) {
      Json small = Json::object();
      put_force_figures(small, force, true);
      out["small_displacement"] = std::move(small);
    }
    out["slipping"] = force.slipping;
    out["wires"] = wires_json(force.wires);
    out["solve"] = solve_json(force.solve);
    list.push_back(std::move(out));
  }
  return list;
}

std::string_view words(models::AxialLine line) {
  switch (line) {
    case models::AxialLine::lateral_masses:
      return "lateral masses";
    case models::AxialLine::dens:
      return "dens";
    case models::AxialLine::condyles:
      return "condyles";
    case models::AxialLine::body:
      return "body";
  }
  return "";
}

Json bench_json(const models::Bench& bench) {
  Json out{{"top", bench.top ? Json(models::name(*bench.top)) : Json(nullptr)},
           {"bottom", models::name(bench.bottom)},
           {"moment_Nm", number(models::to_Nm(bench.moment_Nmm))},
           {"neutral", "middle of the response to +-0.1 N m about each motion's axis, to +-2 N along each force's line"},
           {"cardan_sequence", models::kCardanSequence},
           {"axes", "x anterior, y left, z superior"}};
  Json shear = Json::array();
  for (const models::ShearLoad& load : bench.shear)
    shear.push_back({{"level", models::name(load.level)}, {"force_N", number(load.force_N)}});
  Json axial = Json::array();
  for (const models::AxialLoad& load : bench.axial)
    axial.push_back({{"level", models::name(load.level)}, {"force_N", number(load.force_N)}, {"line", words(load.line)}});
  Json heads = Json::array();
  for (const models::HeadLoad& load : bench.heads)
    heads.push_back({{"name", load.name},
                     {"anchor", load.anchor},
                     {"force_N", number(load.force_N)},
                     {"direction", {load.direction.x(), load.direction.y(), load.direction.z()}}});
  out["shear"] = std::move(shear);
  out["axial"] = std::move(axial);
  out["heads"] = std::move(heads);
  return out;
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

Json assembly_json(const std::vector<study::TightenedItem>& items) {
  Json out = Json::array();
  for (const study::TightenedItem& item : items)
    out.push_back({{"name", item.name}, {"asked_N", number(item.asked_N)}, {"at_rest_N", number(item.at_rest_N)}});
  return out;
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

Json construct_json(const study::ConstructResult& construct) {
  Json out{{"name", construct.name},
           {"kinematics", construct.kinematics},
           {"status", study::name(construct.status)},
           {"reason", construct.reason},
           {"foundation_factor", number(construct.foundation_factor)},
           {"fit", fit_json(construct.fit)},
           {"assembly", assembly_json(construct.assembly)},
           {"notes", construct.notes},
           {"at_rest", measures_json(construct.at_rest, true)},
           {"moved_by_assembly", rest_json(construct.rest)}};
  Json motions = Json::object();
  for (const study::MotionResult& motion : construct.motions)
    motions[std::string(models::name(motion.motion))] = motion_json(motion);
  out["motions"] = std::move(motions);
  out["shear"] = forces_json(construct.shear);
  out["axial"] = forces_json(construct.axial);
  out["heads"] = forces_json(construct.heads);
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
  out["solve"] = solve_json(construct.solve);
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
  Json changes = Json::array();
  for (const models::ParameterChange& change : assessment.changes)
    changes.push_back({{"number", change.id}, {"value", change.text}});
  out["set_by_the_case"] = std::move(changes);
  Json constructs = Json::array();
  for (const study::ConstructResult& construct : assessment.constructs) constructs.push_back(construct_json(construct));
  out["constructs"] = std::move(constructs);
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
  return out.dump(2, ' ', false, nlohmann::json::error_handler_t::replace) + "\n";
}

}  // namespace opisthion::results
