// SPDX-License-Identifier: MIT
#include "solver/study/grip_forces.hpp"

#include <algorithm>

#include "solver/core/friction.hpp"

namespace opisthion::study {
namespace {

double force_of(const core::Functional& functional, const Eigen::VectorXd& q) {
  return core::respond_without_energy(functional.law, functional.at(q)).force;
}

template <typename T>
T* named(std::vector<T>& list, const std::string& name) {
  const auto found = std::find_if(list.begin(), list.end(), [&name](const T& one) { return one.name == name; });
  return found != list.end() ? &*found : nullptr;
}

}  // namespace

std::vector<WireTension> named_tensions(const mesh::Mesh& mesh, const std::vector<double>& strand_N) {
  std::vector<WireTension> out;
  for (std::size_t i = 0; i < mesh.system.strands.size(); ++i) {
    const mesh::ItemId item = mesh.system.strands[i].item;
    if (item.value < 0) continue;
    const mesh::Origin& origin = mesh.origins[item];
    if (origin.kind != mesh::OriginKind::wire && origin.kind != mesh::OriginKind::clamp) continue;
    if (WireTension* same = named(out, origin.name)) {
      same->least_N = std::min(same->least_N, strand_N[i]);
      same->largest_N = std::max(same->largest_N, strand_N[i]);
    } else {
      out.push_back({.name = origin.name, .least_N = strand_N[i], .largest_N = strand_N[i]});
    }
  }
  return out;
}

std::vector<std::string> named_slips(const mesh::Mesh& mesh, const std::vector<int>& sliding) {
  std::vector<std::string> out;
  for (const int i : sliding) {
    const mesh::ItemId item = mesh.system.slips[static_cast<std::size_t>(i)].item;
    const std::string name = item.value < 0 ? "friction" : mesh.origins[item].name;
    if (std::find(out.begin(), out.end(), name) == out.end()) out.push_back(name);
  }
  return out;
}

std::vector<TightenedItem> named_tightened(const mesh::Mesh& mesh, const std::vector<TightenedForce>& forces) {
  std::vector<TightenedItem> out;
  for (const TightenedForce& force : forces) {
    const std::string name = force.item.value < 0 ? "tightened part" : mesh.origins[force.item].name;
    if (TightenedItem* same = named(out, name)) {
      same->asked_N = std::max(same->asked_N, force.asked_N);
      same->at_rest_N = std::min(same->at_rest_N, force.at_rest_N);
    } else {
      out.push_back({.name = name, .asked_N = force.asked_N, .at_rest_N = force.at_rest_N});
    }
  }
  return out;
}

std::vector<WireTension> wire_tensions(const mesh::Mesh& mesh, const core::ReducedModel& model, const Eigen::VectorXd& q) {
  std::vector<double> strand_N;
  for (std::size_t i = 0; i < mesh.system.strands.size(); ++i)
    strand_N.push_back(force_of(model.functionals[i], q));  // strand i is functional i
  return named_tensions(mesh, strand_N);
}

std::vector<std::string> slipping(const mesh::Mesh& mesh, const core::ReducedModel& model, const Eigen::VectorXd& q) {
  return named_slips(mesh, core::sliding(model, q));
}

std::vector<TightenedItem> tightened_items(const mesh::Mesh& mesh, const core::ReducedModel& model,
                                           const Eigen::VectorXd& q) {
  std::vector<TightenedForce> forces;
  for (const core::Tightened& tightened : model.tightened) {
    const core::Functional& functional = model.functionals[static_cast<std::size_t>(tightened.functional)];
    forces.push_back({.item = functional.item, .asked_N = tightened.force_N, .at_rest_N = force_of(functional, q)});
  }
  return named_tightened(mesh, forces);
}

}  // namespace opisthion::study
