// SPDX-License-Identifier: MIT
#include "solver/study/full/full_grips.hpp"

#include <map>

#include "solver/core/beam.hpp"
#include "solver/core/response.hpp"
#include "solver/study/energy.hpp"
#include "solver/study/grip_forces.hpp"

namespace opisthion::study {
namespace {

namespace full = core::full;

double force_of(const Specimen& specimen, std::size_t law, const full::State& state) {
  return core::respond_without_energy(specimen.model.laws[law].law,
                                      full::elongation(specimen.model, static_cast<int>(law), state.poses))
      .force;
}

/// Energies of the beams and locks inside condensed metal, from what its ports do in its own frame.
void add_metal(const Specimen& specimen, std::size_t c, const full::State& state,
               std::map<std::string, double>& energy_Nmm) {
  const mesh::System& system = specimen.mesh.system;
  const core::CondensedComponent& part = specimen.components[c];
  const full::GaugeElement& element = specimen.model.linear[c];
  const auto ports = static_cast<Eigen::Index>(part.ports.size());
  full::GaugeWork work;
  Eigen::VectorXd before = Eigen::VectorXd::Zero(6 * ports);
  if (!specimen.model.assembled.poses.empty()) {
    full::deformation(element, specimen.model.assembled.poses, work);
    before = work.d;
  }
  full::deformation(element, state.poses, work);
  Eigen::VectorXd at_bodies(6 * ports);
  for (Eigen::Index i = 0; i < ports; ++i)
    at_bodies.segment<6>(6 * i) = core::rigid_arm(-element.ports[static_cast<std::size_t>(i)].arm_mm) *
                                  (work.d.segment<6>(6 * i) - before.segment<6>(6 * i));
  const Eigen::VectorXd interior = part.recovery * at_bodies;
  std::map<int, mesh::Vector6> motion;
  for (Eigen::Index i = 0; i < ports; ++i)
    motion[part.ports[static_cast<std::size_t>(i)].value] = at_bodies.segment<6>(6 * i);
  for (std::size_t i = 0; i < part.interior.size(); ++i)
    motion[part.interior[i].value] = interior.segment<6>(6 * static_cast<Eigen::Index>(i));
  const auto add = [&](mesh::ItemId item, const Eigen::MatrixXd& stiffness, const Eigen::VectorXd& u) {
    if (item.value >= 0) energy_Nmm[specimen.mesh.origins[item].name] += 0.5 * u.dot(stiffness * u);
  };
  for (const int i : specimen.mesh.components[c].beams) {
    const mesh::Beam& beam = system.beams[static_cast<std::size_t>(i)];
    const Eigen::MatrixXd stiffness = core::beam_stiffness_global(system, beam);
    Eigen::VectorXd u(stiffness.rows());
    u.segment<6>(0) = motion[beam.a.value];
    u.segment<6>(6) = motion[beam.b.value];
    if (u.size() == 18) u.segment<6>(12) = motion[beam.bone.value];
    add(beam.item, stiffness, u);
  }
  for (const int i : specimen.mesh.components[c].cushions) {
    const mesh::Cushion& cushion = system.cushions[static_cast<std::size_t>(i)];
    Eigen::VectorXd u(12);
    u << motion[cushion.a.value], motion[cushion.b.value];
    add(cushion.item, core::cushion_stiffness_global(system, cushion), u);
  }
}

}  // namespace

std::vector<WireTension> wire_tensions(const Specimen& specimen, const full::State& state) {
  std::vector<double> strand_N;
  for (std::size_t i = 0; i < specimen.mesh.system.strands.size(); ++i)
    strand_N.push_back(force_of(specimen, i, state));  // strands come first among the laws
  return named_tensions(specimen.mesh, strand_N);
}

std::vector<std::string> slipping(const Specimen& specimen, const full::State& state) {
  return named_slips(specimen.mesh, full::sliding(specimen.model, state));
}

std::vector<TightenedItem> tightened_items(const Specimen& specimen, const full::State& state) {
  std::vector<TightenedForce> forces;
  for (std::size_t i = 0; i < specimen.model.laws.size(); ++i) {
    const full::LawElement& law = specimen.model.laws[i];
    if (law.tighten_N > 0.0)
      forces.push_back({.item = law.item, .asked_N = law.tighten_N, .at_rest_N = force_of(specimen, i, state)});
  }
  return named_tightened(specimen.mesh, forces);
}

std::vector<EnergyShare> energy_by_item(const Specimen& specimen, const full::State& state, std::size_t most) {
  std::map<std::string, double> energy_Nmm;
  const auto add = [&](mesh::ItemId item, double energy) {
    if (item.value >= 0) energy_Nmm[specimen.mesh.origins[item].name] += energy;
  };
  const full::WorkspacePtr work = full::make_workspace(specimen.model);
  const full::PartEnergy parts = full::energy_by_part(specimen.model, state, *work);
  for (std::size_t i = 0; i < parts.law_Nmm.size(); ++i) add(specimen.model.laws[i].item, parts.law_Nmm[i]);
  for (std::size_t i = 0; i < parts.linear_Nmm.size(); ++i) {
    if (static_cast<int>(i) < specimen.model.components)
      add_metal(specimen, i, state, energy_Nmm);
    else
      add(specimen.model.linear[i].item, parts.linear_Nmm[i]);
  }
  return shares_of(energy_Nmm, most);
}

}  // namespace opisthion::study
