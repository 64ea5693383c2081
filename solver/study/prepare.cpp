// SPDX-License-Identifier: MIT
#include "solver/study/prepare.hpp"

#include "solver/study/figure.hpp"
#include "solver/study/naming.hpp"

namespace opisthion::study {
namespace {

Unready not_assembled(const Prepared& prepared) {
  const core::Assembly& assembly = prepared.assembly;
  if (assembly.status == core::AssemblyStatus::runs_away) {
    std::string reason = "tightening pulls a part away and nothing stops it";
    if (assembly.escape.size() > 0)
      reason += ": " + describe(largest_relative_motion(prepared.mesh, prepared.model, assembly.escape), Sense::one_way);
    return {.status = Status::mechanism, .reason = reason};
  }
  return {.status = Status::no_answer,
          .reason = "tightening finds no equilibrium: " + std::to_string(assembly.outcome.iterations) +
                    (assembly.outcome.caps_settled ? " iterations" : " iterations, friction does not settle")};
}

}  // namespace

tl::expected<Built, Unready> build_parts(const models::Case& the_case, const models::Construct& construct,
                                         const models::ParameterTable& parameters, int rod_elements_per_span) {
  auto built = mesh::build(the_case, construct, parameters, {.rod_elements_per_span = rod_elements_per_span});
  if (!built) {
    Unready unready{.status = Status::no_answer, .reason = "cannot be built"};
    for (const mesh::BuildComplaint& complaint : built.error())
      unready.reason += "; " + complaint.item + ": " + complaint.text;
    return tl::unexpected(unready);
  }
  Built out;
  out.mesh = std::move(*built);
  for (const mesh::Component& component : out.mesh.components) {
    core::CondenseOutcome outcome = core::condense(out.mesh.system, component);
    if (!outcome.regular) {
      const std::string what =
          outcome.loose.valid() ? out.mesh.origins[mesh::body(out.mesh.system, outcome.loose).item].name : "metal";
      return tl::unexpected(
          Unready{.status = Status::mechanism, .reason = "nothing holds " + what + ": it can move without any force"});
    }
    out.components.push_back(std::move(outcome.component));
  }
  return out;
}

tl::expected<Prepared, Unready> prepare(const models::Case& the_case, const models::Construct& construct,
                                        const models::ParameterTable& parameters, int rod_elements_per_span) {
  auto built = build_parts(the_case, construct, parameters, rod_elements_per_span);
  if (!built) return tl::unexpected(built.error());
  Prepared out;
  out.mesh = std::move(built->mesh);
  out.components = std::move(built->components);
  out.assembly = core::assemble(out.mesh.system, out.mesh.components, out.components);
  out.model = std::move(out.assembly.model);
  out.assembly.model = {};
  if (!out.assembly) return tl::unexpected(not_assembled(out));
  return out;
}

std::vector<mesh::Vector6> body_motions(const Prepared& prepared, const Eigen::VectorXd& q) {
  const auto& model = prepared.model;
  std::vector<mesh::Vector6> motions(prepared.mesh.system.bodies.size(), mesh::Vector6::Zero());
  for (std::size_t i = 0; i < motions.size(); ++i)
    if (model.first_dof[i] >= 0) motions[i] = q.segment<6>(model.first_dof[i]);
  for (std::size_t c = 0; c < prepared.components.size(); ++c) {
    const core::CondensedComponent& component = prepared.components[c];
    if (component.interior.empty()) continue;
    const bool since_lock = prepared.mesh.components[c].locked_last && model.assembled.size() > 0;
    Eigen::VectorXd ports(6 * static_cast<Eigen::Index>(component.ports.size()));
    for (std::size_t i = 0; i < component.ports.size(); ++i) {
      const auto port = static_cast<std::size_t>(component.ports[i].value);
      auto own = ports.segment<6>(6 * static_cast<Eigen::Index>(i));
      own = motions[port];
      if (since_lock && model.first_dof[port] >= 0) own -= model.assembled.segment<6>(model.first_dof[port]);
    }
    Eigen::VectorXd interior = component.recovery * ports;
    if (component.interior0.size() == interior.size()) interior += component.interior0;
    for (std::size_t i = 0; i < component.interior.size(); ++i)
      motions[static_cast<std::size_t>(component.interior[i].value)] = interior.segment<6>(6 * static_cast<Eigen::Index>(i));
  }
  return motions;
}

}  // namespace opisthion::study
