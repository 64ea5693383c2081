// SPDX-License-Identifier: MIT
#include "solver/study/energy.hpp"

#include <algorithm>
#include <cmath>
#include <map>

#include "solver/core/beam.hpp"
#include "solver/core/response.hpp"

namespace opisthion::study {
namespace {

double quadratic(const Eigen::MatrixXd& stiffness, const Eigen::VectorXd& u) {
  return 0.5 * u.dot(stiffness * u);
}

}  // namespace

std::vector<EnergyShare> shares_of(const std::map<std::string, double>& energy_Nmm, std::size_t most) {
  double total = 0.0;
  for (const auto& [item, energy] : energy_Nmm) total += energy;
  std::vector<EnergyShare> shares;
  if (!(total > 0.0)) return shares;
  // Shares that are equal up to rounding (left and right of a symmetric construct) keep the order of their names, and
  // shares that are rounding are no shares: neither may differ from machine to machine.
  constexpr double kSteps = 1e6;
  const auto step = [](const EnergyShare& a) { return std::llround(a.share * kSteps); };
  for (const auto& [item, energy] : energy_Nmm) shares.push_back({.item = item, .share = energy / total});
  std::erase_if(shares, [&step](const EnergyShare& a) { return step(a) <= 0; });
  std::stable_sort(shares.begin(), shares.end(),
                   [&step](const EnergyShare& a, const EnergyShare& b) { return step(a) > step(b); });
  if (shares.size() > most) shares.resize(most);
  return shares;
}

std::vector<EnergyShare> energy_by_item(const Prepared& prepared, const core::ReducedModel& model, const Eigen::VectorXd& q,
                                        std::size_t most) {
  const mesh::System& system = prepared.mesh.system;
  std::vector<mesh::Vector6> motions = body_motions(prepared, q);
  const Eigen::VectorXd& assembled = prepared.model.assembled;
  if (assembled.size() > 0) {
    const std::vector<mesh::Vector6> before = body_motions(prepared, assembled);
    for (std::size_t i = 0; i < motions.size(); ++i) motions[i] -= before[i];
  }
  const auto of = [&motions](mesh::BodyId id) -> const mesh::Vector6& {
    return motions[static_cast<std::size_t>(id.value)];
  };
  std::map<std::string, double> energy_Nmm;
  const auto add = [&](mesh::ItemId item, double energy) {
    if (item.value >= 0) energy_Nmm[prepared.mesh.origins[item].name] += energy;
  };
  for (const mesh::Beam& beam : system.beams) {
    const Eigen::MatrixXd stiffness = core::beam_stiffness_global(system, beam);
    Eigen::VectorXd u(stiffness.rows());
    u.segment<6>(0) = of(beam.a);
    u.segment<6>(6) = of(beam.b);
    if (u.size() == 18) u.segment<6>(12) = of(beam.bone);
    add(beam.item, quadratic(stiffness, u));
  }
  for (const mesh::Cushion& cushion : system.cushions) {
    Eigen::VectorXd u(12);
    u << of(cushion.a), of(cushion.b);
    add(cushion.item, quadratic(core::cushion_stiffness_global(system, cushion), u));
  }
  for (const core::Functional& functional : model.functionals) {
    const double e = functional.at(q);
    double energy = core::respond(functional.law, e).energy;
    if (assembled.size() > 0) {  // what the load stored, not what assembly had
      const double start = functional.at(assembled);
      const core::Response before = core::respond(functional.law, start);
      energy -= before.energy + before.force * (e - start);
    }
    add(functional.item, energy);
  }

  return shares_of(energy_Nmm, most);
}

}  // namespace opisthion::study
