// SPDX-License-Identifier: MIT
#include "solver/results/export_system.hpp"

#include <algorithm>
#include <cctype>
#include <cstdio>
#include <filesystem>
#include <variant>

#include "solver/core/assemble.hpp"
#include "solver/core/equilibrium.hpp"
#include "solver/core/friction.hpp"
#include "solver/core/modes.hpp"
#include "solver/core/response.hpp"
#include "solver/results/io_error.hpp"
#include "solver/results/write_file.hpp"

namespace opisthion::results {
namespace {

constexpr std::size_t kLongestSlug = 60;

std::string every_digit(double value) {
  char text[40];
  std::snprintf(text, sizeof text, "%.17g", value == 0.0 ? 0.0 : value);
  return text;
}

void put(const std::filesystem::path& path, const std::string& text) {
  write_file(path.string(), text, Durability::quick);
}

/// Quoted where a comma, a quote or a line break would break the row (RFC 4180).
std::string csv_text(const std::string& text) {
  if (text.find_first_of(",\"\r\n") == std::string::npos) return text;
  std::string out = "\"";
  for (const char c : text) out += c == '"' ? "\"\"" : std::string(1, c);
  return out + "\"";
}

std::string symmetric_matrix(const Eigen::MatrixXd& m) {
  std::string rows;
  std::size_t count = 0;
  for (Eigen::Index column = 0; column < m.cols(); ++column)
    for (Eigen::Index row = column; row < m.rows(); ++row)
      if (m(row, column) != 0.0) {
        rows += std::to_string(row + 1) + " " + std::to_string(column + 1) + " " + every_digit(m(row, column)) + "\n";
        ++count;
      }
  return "%%MatrixMarket matrix coordinate real symmetric\n" + std::to_string(m.rows()) + " " + std::to_string(m.cols()) +
         " " + std::to_string(count) + "\n" + rows;
}

std::string column_vector(const Eigen::VectorXd& v) {
  std::string out = "%%MatrixMarket matrix array real general\n" + std::to_string(v.size()) + " 1\n";
  for (const double value : v) out += every_digit(value) + "\n";
  return out;
}

std::string matrix3(const mesh::Matrix3& m) {
  std::string out;
  for (int row = 0; row < 3; ++row)
    for (int column = 0; column < 3; ++column) out += "," + every_digit(m(row, column));
  return out;
}

std::string matrix3_names() {
  return ",r11,r12,r13,r21,r22,r23,r31,r32,r33";
}

std::string item_of(const mesh::Mesh& mesh, mesh::ItemId id) {
  return id.value >= 0 ? csv_text(mesh.origins[id].name) : "";
}

std::string nodes_csv(const mesh::Mesh& mesh, const core::ReducedModel& model) {
  std::string out = "body,kind,item,x_mm,y_mm,z_mm,fixed,first_dof\n";
  for (std::size_t i = 0; i < mesh.system.bodies.size(); ++i) {
    const mesh::Body& body = mesh.system.bodies[i];
    out += std::to_string(i) + (body.kind == mesh::BodyKind::bone ? ",bone," : ",metal,") + item_of(mesh, body.item);
    for (int k = 0; k < 3; ++k) out += "," + every_digit(body.position_mm[k]);
    out += std::string(body.fixed ? ",1," : ",0,") + std::to_string(model.first_dof[i]) + "\n";
  }
  return out;
}

std::string elements_csv(const mesh::Mesh& mesh) {
  std::string out =
      "element,kind,item,a,b,bone,length_mm,EA_N,GJ_Nmm2,EIy_Nmm2,EIz_Nmm2,kGAy_N,kGAz_N,k_lateral_MPa,k_axial_MPa,k_"
      "torsional_N" +
      matrix3_names() + "\n";
  for (std::size_t i = 0; i < mesh.system.beams.size(); ++i) {
    const mesh::Beam& beam = mesh.system.beams[i];
    out += std::to_string(i) + (beam.bone.valid() ? ",seat," : ",beam,") + item_of(mesh, beam.item) + "," +
           std::to_string(beam.a.value) + "," + std::to_string(beam.b.value) + "," + std::to_string(beam.bone.value);
    const mesh::Section& s = beam.section;
    for (const double value :
         {beam.length_mm, s.axial_N, s.torsional_Nmm2, s.bending_y_Nmm2, s.bending_z_Nmm2, s.shear_y_N, s.shear_z_N,
          beam.foundation.lateral_MPa, beam.foundation.axial_MPa, beam.foundation.torsional_N})
      out += "," + every_digit(value);
    out += matrix3(beam.global_from_beam) + "\n";
  }
  return out;
}

std::string cushions_csv(const mesh::Mesh& mesh) {
  std::string out = "cushion,item,a,b,px_mm,py_mm,pz_mm" + matrix3_names();
  for (int row = 1; row <= 6; ++row)
    for (int column = 1; column <= 6; ++column) out += ",k" + std::to_string(row) + std::to_string(column);
  out += "\n";
  for (std::size_t i = 0; i < mesh.system.cushions.size(); ++i) {
    const mesh::Cushion& cushion = mesh.system.cushions[i];
    out += std::to_string(i) + "," + item_of(mesh, cushion.item) + "," + std::to_string(cushion.a.value) + "," +
           std::to_string(cushion.b.value);
    for (int k = 0; k < 3; ++k) out += "," + every_digit(cushion.point_mm[k]);
    out += matrix3(cushion.global_from_cushion);
    for (int row = 0; row < 6; ++row)
      for (int column = 0; column < 6; ++column) out += "," + every_digit(cushion.stiffness(row, column));
    out += "\n";
  }
  return out;
}

/// One loaded state of the uncondensed model.
struct State {
  std::string name{};
  Eigen::VectorXd q{};
  std::vector<core::Functional> functionals{};  ///< with the caps of friction in this state
};

std::string law_columns(const mesh::ScalarLaw& law) {
  std::string out;
  if (const auto* toe = std::get_if<mesh::ToeLinear>(&law)) {
    out = ",toe_linear," + every_digit(toe->slack) + "," + every_digit(toe->toe) + "," + every_digit(toe->stiffness) + ",0";
    for (int i = 0; i < 2 * mesh::Polygon::kMost + 2; ++i) out += ",0";
    return out;
  }
  const auto& polygon = std::get<mesh::Polygon>(law);
  out = ",polygon,0,0,0," + std::to_string(polygon.count);
  for (const double value : polygon.at) out += "," + every_digit(value);
  for (const double value : polygon.value) out += "," + every_digit(value);
  return out + "," + every_digit(polygon.slope_below) + "," + every_digit(polygon.slope_above);
}

/// Friction's law hangs on the state: spring and anchor here, the cap beside the state's figures.
std::string friction_columns(const core::Friction& friction) {
  std::string out = ",friction," + every_digit(friction.anchor) + ",0," + every_digit(friction.stiffness) + ",0";
  for (int i = 0; i < 2 * mesh::Polygon::kMost + 2; ++i) out += ",0";
  return out;
}
const core::Friction* friction_of(const core::ReducedModel& model, std::size_t functional) {
  for (const core::Friction& friction : model.frictions)
    if (static_cast<std::size_t>(friction.functional) == functional) return &friction;
  return nullptr;
}
double cap_of(const mesh::ScalarLaw& law) {
  const auto* polygon = std::get_if<mesh::Polygon>(&law);
  return polygon != nullptr ? polygon->value[1] : 0.0;
}

std::string laws_csv(const mesh::Mesh& mesh, const core::ReducedModel& model, const std::vector<State>& states) {
  std::string out = "functional,item,strand,blocks";
  for (int block = 1; block <= core::Functional::kMostBlocks; ++block) {
    out += ",first_dof_" + std::to_string(block);
    for (int k = 1; k <= 6; ++k) out += ",row_" + std::to_string(block) + "_" + std::to_string(k);
  }
  out += ",kind,slack,toe,stiffness,count";
  for (const char* column : {",at_", ",value_"})
    for (int i = 1; i <= mesh::Polygon::kMost; ++i) out += column + std::to_string(i);
  out += ",slope_below,slope_above";
  for (const State& state : states) {
    out += ",e_" + state.name + ",force_" + state.name + ",tangent_" + state.name;
    if (!model.frictions.empty()) out += ",cap_" + state.name;
  }
  out += "\n";
  for (std::size_t i = 0; i < model.functionals.size(); ++i) {
    const core::Functional& functional = model.functionals[i];
    out += std::to_string(i) + "," + item_of(mesh, functional.item) + (functional.strand ? ",1," : ",0,") +
           std::to_string(functional.blocks);
    for (int block = 0; block < core::Functional::kMostBlocks; ++block) {
      const bool used = block < functional.blocks;
      const auto at = static_cast<std::size_t>(block);
      out += "," + std::to_string(used ? functional.first_dof[at] : -1);
      for (int k = 0; k < 6; ++k) out += "," + every_digit(used ? functional.row[at][k] : 0.0);
    }
    const core::Friction* friction = friction_of(model, i);
    out += friction != nullptr ? friction_columns(*friction) : law_columns(functional.law);
    for (const State& state : states) {
      const mesh::ScalarLaw& law = state.functionals[i].law;
      const double e = functional.at(state.q);
      const core::Response response = core::respond(law, e);
      out += "," + every_digit(e) + "," + every_digit(response.force) + "," + every_digit(response.stiffness);
      if (!model.frictions.empty()) out += "," + every_digit(friction != nullptr ? cap_of(law) : 0.0);
    }
    out += "\n";
  }
  return out;
}

bool wanted(const mesh::LoadCase& load_case, const study::AssessOptions& options) {
  if (options.only_motions.empty()) return true;
  const auto motion = load_case.kind == mesh::LoadKind::motion ? models::motion_from_name(load_case.id) : std::nullopt;
  return motion &&
         std::find(options.only_motions.begin(), options.only_motions.end(), *motion) != options.only_motions.end();
}

void export_construct(const std::filesystem::path& folder, const mesh::Mesh& mesh, const study::AssessOptions& options) {
  core::Assembly assembly = core::assemble_whole(mesh.system, mesh.components);
  core::ReducedModel& model = assembly.model;
  if (!assembly) {
    put(folder / "unready.txt", "tightening finds no equilibrium\n");
    return;
  }
  const bool prestressed = assembly.prestress.size() > 0;
  put(folder / "stiffness.mtx",
      symmetric_matrix(prestressed ? Eigen::MatrixXd(model.stiffness - assembly.prestress) : model.stiffness));
  if (model.assembled.size() > 0) {
    if (prestressed) put(folder / "prestress.mtx", symmetric_matrix(assembly.prestress));
    put(folder / "assembled.mtx", column_vector(model.assembled));
    put(folder / "force0.mtx", column_vector(model.force0 - model.regularisation * model.assembled));
  }
  put(folder / "regularisation.mtx", symmetric_matrix(model.regularisation));
  put(folder / "nodes.csv", nodes_csv(mesh, model));
  put(folder / "elements.csv", elements_csv(mesh));
  put(folder / "cushions.csv", cushions_csv(mesh));

  core::EquilibriumWorkspace work;
  std::vector<State> states;
  std::string eigenvalues = "case,value\n";
  for (const mesh::LoadCase& load_case : mesh.program.cases) {
    if (!wanted(load_case, options)) continue;
    const Eigen::VectorXd load = core::load_vector(mesh.system, model, load_case.loads);
    State state{.name = case_file_name(load_case.id), .q = assembly.q, .functionals = {}};
    const core::EquilibriumOutcome outcome = core::solve_with_friction(model, load, {}, work, state.q);
    if (!outcome) continue;  // the assessment says "no answer" for it; there is no state to export
    Eigen::MatrixXd tangent, regularised;
    core::tangent_at(model, state.q, 0.0, tangent);
    core::tangent_at(model, state.q, 1.0, regularised);
    Eigen::VectorXd internal;
    core::residual_at(model, state.q, Eigen::VectorXd::Zero(model.dofs), 1.0, internal);
    const Eigen::VectorXd offset = internal - (tangent + model.regularisation) * state.q;
    put(folder / ("load_" + state.name + ".mtx"), column_vector(load));
    put(folder / ("displacement_" + state.name + ".mtx"), column_vector(state.q));
    put(folder / ("stiffness_" + state.name + ".mtx"), symmetric_matrix(tangent));
    put(folder / ("offset_" + state.name + ".mtx"), column_vector(offset));
    const core::Modes modes = core::softest_modes(regularised, model.dof_scale, 1);
    if (modes.converged && !modes.softest.empty())
      eigenvalues += state.name + "," + every_digit(modes.softest.front().stiffness_N_per_mm) + "\n";
    state.functionals = model.functionals;
    states.push_back(std::move(state));
  }
  put(folder / "smallest_eigenvalue.csv", eigenvalues);
  put(folder / "laws.csv", laws_csv(mesh, model, states));
}

void make_folder(const std::filesystem::path& folder) {
  std::error_code code;
  std::filesystem::create_directories(folder, code);
  if (code) throw IoError(folder.string() + ": cannot make the folder: " + code.message());
}

}  // namespace

std::string slug(const std::string& name) {
  std::string out;
  for (const char c : name) {
    const auto byte = static_cast<unsigned char>(c);
    const bool keeps = byte < 0x80 && std::isalnum(byte) != 0;
    if (keeps)
      out += static_cast<char>(std::tolower(byte));
    else if (!out.empty() && out.back() != '_')
      out += '_';
    if (out.size() >= kLongestSlug) break;
  }
  while (!out.empty() && out.back() == '_') out.pop_back();
  return out.empty() ? "construct" : out;
}

std::string case_file_name(const std::string& load_case_id) {
  std::string out;
  for (const char c : load_case_id) {
    const auto byte = static_cast<unsigned char>(c);
    if (c == '+')
      out += "plus";
    else if (c == '-')
      out += "minus";
    else
      out += byte < 0x80 && std::isalnum(byte) != 0 ? c : '_';
  }
  return out;
}

void export_system(const std::string& folder, const models::Case& the_case, const models::ParameterTable& parameters,
                   const study::AssessOptions& options) {
  const std::filesystem::path top(folder);
  make_folder(top);
  int count = 0;
  for (const models::Construct& construct : the_case.constructs) {
    ++count;
    if (!options.only_constructs.empty() && std::find(options.only_constructs.begin(), options.only_constructs.end(),
                                                      construct.name) == options.only_constructs.end())
      continue;
    const std::filesystem::path own = top / (std::to_string(count) + "_" + slug(construct.name));
    make_folder(own);
    const auto mesh = mesh::build(the_case, construct, parameters, {.rod_elements_per_span = options.rod_elements_per_span});
    if (mesh) {
      export_construct(own, *mesh, options);
      continue;
    }
    std::string reason;
    for (const mesh::BuildComplaint& complaint : mesh.error()) reason += complaint.item + ": " + complaint.text + "\n";
    put(own / "unready.txt", reason);
  }
}

}  // namespace opisthion::results
