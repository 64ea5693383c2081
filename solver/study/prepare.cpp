// SPDX-License-Identifier: MIT
#include "solver/study/prepare.hpp"

namespace opisthion::study {

tl::expected<Prepared, Unready> prepare(const models::Case& the_case, const models::Construct& construct,
                                        const models::ParameterTable& parameters, int rod_elements_per_span) {
  auto built = mesh::build(the_case, construct, parameters, {.rod_elements_per_span = rod_elements_per_span});
  if (!built) {
    Unready unready{.status = Status::no_answer, .reason = "cannot be built"};
    for (const mesh::BuildComplaint& complaint : built.error())
      unready.reason += "; " + complaint.item + ": " + complaint.text;
    return tl::unexpected(unready);
  }
  Prepared out;
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
  out.model = core::reduce(out.mesh.system, out.components);
  return out;
}

std::vector<mesh::Vector6> body_motions(const Prepared& prepared, const Eigen::VectorXd& q) {
  const auto& model = prepared.model;
  std::vector<mesh::Vector6> motions(prepared.mesh.system.bodies.size(), mesh::Vector6::Zero());
  for (std::size_t i = 0; i < motions.size(); ++i)
    if (model.first_dof[i] >= 0) motions[i] = q.segment<6>(model.first_dof[i]);
  for (const core::CondensedComponent& component : prepared.components) {
    if (component.interior.empty()) continue;
    Eigen::VectorXd ports(6 * static_cast<Eigen::Index>(component.ports.size()));
    for (std::size_t i = 0; i < component.ports.size(); ++i)
      ports.segment<6>(6 * static_cast<Eigen::Index>(i)) = motions[static_cast<std::size_t>(component.ports[i].value)];
    Eigen::VectorXd interior = component.recovery * ports;
    if (component.interior0.size() == interior.size()) interior += component.interior0;
    for (std::size_t i = 0; i < component.interior.size(); ++i)
      motions[static_cast<std::size_t>(component.interior[i].value)] = interior.segment<6>(6 * static_cast<Eigen::Index>(i));
  }
  return motions;
}

}  // namespace opisthion::study
