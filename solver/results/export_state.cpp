// SPDX-License-Identifier: MIT
#include "solver/results/export_state.hpp"

#include <array>
#include <nlohmann/json.hpp>
#include <variant>

#include "solver/core/full/workspace.hpp"
#include "solver/results/write_file.hpp"

namespace opisthion::results {
namespace {

namespace full = core::full;
using Json = nlohmann::ordered_json;

constexpr int kStateVersion = 1;

std::size_t at_index(int i) {
  return static_cast<std::size_t>(i);
}

Json vector_json(const Eigen::Ref<const Eigen::VectorXd>& v) {
  Json out = Json::array();
  for (const double value : v) out.push_back(value);
  return out;
}

Json matrix_json(const Eigen::Ref<const Eigen::MatrixXd>& m) {
  Json out = Json::array();
  for (Eigen::Index row = 0; row < m.rows(); ++row) out.push_back(vector_json(Eigen::VectorXd(m.row(row).transpose())));
  return out;
}

Json point_json(const mesh::Attachment& at) {
  return {{"body", at.body.value}, {"point_mm", vector_json(at.point_mm)}};
}

Json law_json(const mesh::ScalarLaw& law) {
  if (const auto* toe = std::get_if<mesh::ToeLinear>(&law))
    return {{"shape", "toe_linear"}, {"slack", toe->slack}, {"toe", toe->toe}, {"stiffness", toe->stiffness}};
  const auto& polygon = std::get<mesh::Polygon>(law);
  Json at = Json::array();
  Json value = Json::array();
  for (std::size_t i = 0; i < at_index(polygon.count); ++i) {
    at.push_back(polygon.at[i]);
    value.push_back(polygon.value[i]);
  }
  return {{"shape", "polygon"},
          {"at", at},
          {"value", value},
          {"slope_below", polygon.slope_below},
          {"slope_above", polygon.slope_above}};
}

Json poses_json(const full::Poses& poses) {
  Json out = Json::array();
  for (const full::Pose& pose : poses)
    out.push_back({{"position_mm", vector_json(pose.position_mm)}, {"rotation", matrix_json(pose.rotation)}});
  return out;
}

Json bodies_json(const FullState& what) {
  Json out = Json::array();
  const std::vector<mesh::Body>& bodies = what.model.system.bodies;
  for (std::size_t i = 0; i < bodies.size(); ++i) {
    const full::Pose& pose = what.state.poses[i];
    out.push_back({{"kind", bodies[i].kind == mesh::BodyKind::bone ? "bone" : "metal"},
                   {"held", bodies[i].fixed},
                   {"first_dof", what.model.first_dof[i]},
                   {"reference_mm", vector_json(bodies[i].position_mm)},
                   {"position_mm", vector_json(pose.position_mm)},
                   {"rotation", matrix_json(pose.rotation)}});
  }
  return out;
}

/// Geometry of every law in the order of Model::laws: strands, pads, rings' two faces, slips.
std::vector<Json> geometries_json(const mesh::System& system) {
  std::vector<Json> out;
  for (const mesh::Strand& strand : system.strands) {
    Json path = Json::array();
    for (const mesh::Attachment& at : strand.path) path.push_back(point_json(at));
    out.push_back({{"kind", "strand"}, {"path", path}});
  }
  for (const mesh::Pad& pad : system.pads)
    out.push_back({{"kind", "pad"},
                   {"a", point_json(pad.a)},
                   {"b", pad.b.value},
                   {"vertex_mm", vector_json(pad.vertex_mm)},
                   {"global_from_surface", matrix_json(pad.global_from_surface)},
                   {"curvature_sagittal_per_mm", pad.curvature_sagittal_per_mm},
                   {"curvature_coronal_per_mm", pad.curvature_coronal_per_mm}});
  for (const mesh::Ring& ring : system.rings) {
    Json face{{"kind", "ring_arch"},
              {"dens", ring.dens.value},
              {"ring", ring.ring.value},
              {"axis_point_mm", vector_json(ring.axis_point_mm)},
              {"anterior", vector_json(ring.anterior)}};
    out.push_back(face);
    if (!ring.has_ligament) continue;
    face["kind"] = "ring_ligament";
    face["gain"] = ring.ligament_gain;
    out.push_back(std::move(face));
  }
  for (const mesh::Slip& slip : system.slips)
    out.push_back({{"kind", slip.turning ? "turn" : "slip"},
                   {"a", point_json(slip.a)},
                   {"b", slip.b.value},
                   {"direction", vector_json(slip.direction)}});
  return out;
}

Json laws_json(const FullState& what) {
  const full::Model& model = what.model;
  std::vector<Json> all = geometries_json(model.system);
  for (std::size_t i = 0; i < all.size(); ++i) {
    const full::LawElement& element = model.laws[i];
    const double e = full::elongation(model, static_cast<int>(i), what.state.poses);
    const core::Response here = core::respond(element.law, e);
    all[i]["item"] = element.item.value;
    all[i]["tighten_N"] = element.tighten_N;
    all[i]["law"] = law_json(element.law);
    all[i]["elongation"] = e;
    all[i]["force"] = here.force;
    all[i]["stiffness"] = here.stiffness;
    all[i]["energy_Nmm"] = here.energy;
  }
  for (std::size_t i = 0; i < model.frictions.size(); ++i) {
    const full::FrictionElement& friction = model.frictions[i];
    Json& law = all[at_index(friction.law)];
    Json normal = Json::array();
    for (const full::FrictionElement::Feed& feed : friction.normal)
      normal.push_back({{"law", feed.law}, {"weight", feed.weight}});
    law["law"] = {{"shape", "friction"}, {"stiffness", friction.stiffness},   {"cap_per_N", friction.cap_per_N},
                  {"normal", normal},    {"stored_slip", what.state.slip[i]}, {"cap", what.state.cap[i]}};
    if (!model.assembled.poses.empty()) {
      law["law"]["slip_at_assembly"] = model.assembled.slip[i];
      law["law"]["cap_at_assembly"] = model.assembled.cap[i];
    }
    const core::Response here =
        full::friction_response(friction, what.state.slip[i], what.state.cap[i], law["elongation"].get<double>());
    law["force"] = here.force;
    law["stiffness"] = here.stiffness;
    law["energy_Nmm"] = here.energy;
  }
  return Json(all);
}

Json gauge_json(const full::GaugeElement& element, const char* what, const full::Poses& poses) {
  Json ports = Json::array();
  for (const full::GaugePort& port : element.ports)
    ports.push_back({{"body", port.body.value},
                     {"arm_mm", vector_json(port.arm_mm)},
                     {"position_weight", port.position_weight},
                     {"rotation_weight_mm2", port.rotation_weight_mm2},
                     {"reference_mm", vector_json(port.reference_mm)},
                     {"reference_rotation", matrix_json(port.reference_rotation)}});
  Json out{{"what", what}, {"item", element.item.value}, {"ports", ports}};
  if (element.by_laws) {
    Json laws = Json::array();
    for (const mesh::ScalarLaw& law : element.laws) laws.push_back(law_json(law));
    out["axes"] = matrix_json(element.axes);
    out["laws"] = laws;
  } else {
    out["stiffness"] = matrix_json(element.stiffness);
    if (element.bowing.there()) out["bows"] = true;  // a free beam: what it is made of is under mesh
  }
  if (element.force0.size() > 0) out["force0"] = vector_json(element.force0);
  full::GaugeWork work;
  full::Answer answer;
  full::evaluate(element, poses, full::Order::value, work, answer);
  out["energy_Nmm"] = answer.energy_Nmm;
  return out;
}

/// What it holds at assembly is not scaled.
Json tie_json(full::NeighbourTie tie, const full::Poses& poses, double factor) {
  tie.stiffness_N_per_mm *= factor;
  tie.stiffness_Nmm_per_rad *= factor;
  return {{"a", tie.a.value},
          {"b", tie.b.value},
          {"arm_a_mm", vector_json(tie.arm_a_mm)},
          {"arm_b_mm", vector_json(tie.arm_b_mm)},
          {"reference", matrix_json(tie.reference)},
          {"stiffness_N_per_mm", tie.stiffness_N_per_mm},
          {"stiffness_Nmm_per_rad", tie.stiffness_Nmm_per_rad},
          {"force_N", vector_json(tie.force_N)},
          {"moment_Nmm", vector_json(tie.moment_Nmm)},
          {"energy_Nmm", full::energy_Nmm(tie, full::stretch(tie, poses))}};
}

Json ids_json(const std::vector<mesh::BodyId>& ids) {
  Json out = Json::array();
  for (const mesh::BodyId id : ids) out.push_back(id.value);
  return out;
}

/// What linear parts were made of, in the reference pose.
Json mesh_json(const mesh::System& system, std::span<const mesh::Component> components) {
  Json beams = Json::array();
  for (const mesh::Beam& beam : system.beams) {
    const mesh::Section& s = beam.section;
    beams.push_back({{"a", beam.a.value},
                     {"b", beam.b.value},
                     {"bone", beam.bone.value},
                     {"global_from_beam", matrix_json(beam.global_from_beam)},
                     {"length_mm", beam.length_mm},
                     {"EA_N", s.axial_N},
                     {"GJ_Nmm2", s.torsional_Nmm2},
                     {"EIy_Nmm2", s.bending_y_Nmm2},
                     {"EIz_Nmm2", s.bending_z_Nmm2},
                     {"kGAy_N", s.shear_y_N},
                     {"kGAz_N", s.shear_z_N},
                     {"k_lateral_MPa", beam.foundation.lateral_MPa},
                     {"k_axial_MPa", beam.foundation.axial_MPa},
                     {"k_torsional_N", beam.foundation.torsional_N}});
  }
  Json cushions = Json::array();
  for (const mesh::Cushion& cushion : system.cushions)
    cushions.push_back({{"a", cushion.a.value},
                        {"b", cushion.b.value},
                        {"point_mm", vector_json(cushion.point_mm)},
                        {"global_from_cushion", matrix_json(cushion.global_from_cushion)},
                        {"stiffness", matrix_json(cushion.stiffness)}});
  Json axis_cushions = Json::array();
  for (const mesh::AxisCushion& cushion : system.axis_cushions) {
    Json laws = Json::array();
    for (const mesh::ScalarLaw& law : cushion.laws) laws.push_back(law_json(law));
    axis_cushions.push_back({{"a", cushion.a.value},
                             {"b", cushion.b.value},
                             {"point_mm", vector_json(cushion.point_mm)},
                             {"global_from_cushion", matrix_json(cushion.global_from_cushion)},
                             {"laws", laws}});
  }
  Json neighbours = Json::array();
  for (const mesh::NeighbourPair& pair : system.neighbours) neighbours.push_back({pair.upper.value, pair.lower.value});
  Json parts = Json::array();
  for (const mesh::Component& component : components)
    parts.push_back({{"beams", component.beams},
                     {"cushions", component.cushions},
                     {"interior", ids_json(component.interior)},
                     {"ports", ids_json(component.ports)},
                     {"locked_last", component.locked_last}});
  return {{"beams", beams},
          {"cushions", cushions},
          {"axis_cushions", axis_cushions},
          {"neighbours", neighbours},
          {"components", parts}};
}

const char* kind_text(full::MomentKind kind) {
  switch (kind) {
    case full::MomentKind::conservative:
      return "conservative";
    case full::MomentKind::fixed_axis:
      return "fixed_axis";
    case full::MomentKind::following:
      return "following";
  }
  return "";
}

/// `branch`: index of the first moment's branch; moved past them.
void add_loads(const full::Loads& loads, double factor, const full::State& state, std::size_t& branch, Json& out) {
  for (const full::PointForce& force : loads.forces)
    out.push_back({{"kind", "force"},
                   {"factor", factor},
                   {"body", force.body.value},
                   {"arm_mm", vector_json(force.arm_mm)},
                   {"force_N", vector_json(force.force_N)}});
  for (const full::Moment& moment : loads.moments) {
    const full::Vector3 near = branch < state.branch.size() ? state.branch[branch] : full::Vector3(full::Vector3::Zero());
    ++branch;
    out.push_back({{"kind", kind_text(moment.kind)},
                   {"factor", factor},
                   {"body", moment.body.value},
                   {"moment_Nmm", vector_json(moment.moment_Nmm)},
                   {"zero_rotation", matrix_json(moment.zero_rotation)},
                   {"branch", vector_json(near)}});
  }
}

Json solver_json(const FullState& what) {
  const full::WorkspacePtr work = full::make_workspace(what.model);
  Eigen::VectorXd residual;
  Eigen::MatrixXd tangent;
  full::residual_at(what.model, what.load, what.factor, what.regularisation, what.state, *work, residual);
  full::tangent_at(what.model, what.load, what.factor, what.regularisation, what.state, *work, tangent);
  const full::PartEnergy parts = full::energy_by_part(what.model, what.state, *work);
  Eigen::VectorXd scale(what.model.dofs);
  for (int i = 0; i < what.model.dofs; ++i) scale[i] = what.model.dof_scale[at_index(i)];
  return {{"potential_Nmm", full::energy_at(what.model, what.load, what.factor, what.regularisation, what.state, *work)},
          {"residual", vector_json(residual)},
          {"dof_scale", vector_json(scale)},
          {"tangent", matrix_json(tangent)},
          {"law_stored_Nmm", parts.law_Nmm},
          {"linear_stored_Nmm", parts.linear_Nmm},
          {"regularisation_stored_Nmm", parts.regularisation_Nmm}};
}

}  // namespace

std::string full_state_text(const FullState& what) {
  const full::Poses& poses = what.state.poses;
  Json linear = Json::array();
  for (std::size_t i = 0; i < what.model.linear.size(); ++i) {
    const bool metal = i < at_index(what.model.components);
    linear.push_back(gauge_json(what.model.linear[i], metal ? "condensed metal" : "element", poses));
  }
  Json ties = Json::array();
  for (const full::NeighbourTie& tie : what.model.regularisation) ties.push_back(tie_json(tie, poses, what.regularisation));
  Json loads = Json::array();
  std::size_t branch = 0;
  add_loads(what.load.constant, 1.0, what.state, branch, loads);
  add_loads(what.load.growing, what.factor, what.state, branch, loads);
  const Json out{{"format", "opisthion full state"},
                 {"format_version", kStateVersion},
                 {"name", what.name},
                 {"converged", what.converged},
                 {"regularisation", what.regularisation},
                 {"units", "N, mm, N mm, rad"},
                 {"bodies", bodies_json(what)},
                 {"assembled", poses_json(what.model.assembled.poses)},
                 {"laws", laws_json(what)},
                 {"mesh", mesh_json(what.model.system, what.components)},
                 {"gauge_elements", linear},
                 {"neighbour_ties", ties},
                 {"loads", loads},
                 {"solver", solver_json(what)}};
  return out.dump(1, '\t') + "\n";
}

void export_full_state(const std::string& path, const FullState& what) {
  write_file(path, full_state_text(what), Durability::quick);
}

}  // namespace opisthion::results
