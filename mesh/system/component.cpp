// SPDX-License-Identifier: MIT
#include "mesh/system/component.hpp"

#include <algorithm>
#include <numeric>

namespace opisthion::mesh {
namespace {

std::size_t at_index(int i) {
  return static_cast<std::size_t>(i);
}

/// Union-find whose representative is the lowest body.
class Groups {
 public:
  explicit Groups(std::size_t size) : parent_(size) { std::iota(parent_.begin(), parent_.end(), 0); }
  int find(int i) {
    while (parent_[at_index(i)] != i) {
      parent_[at_index(i)] = parent_[at_index(parent_[at_index(i)])];
      i = parent_[at_index(i)];
    }
    return i;
  }
  void join(int a, int b) {
    a = find(a);
    b = find(b);
    parent_[at_index(std::max(a, b))] = std::min(a, b);
  }

 private:
  std::vector<int> parent_;
};

}  // namespace

std::vector<Component> find_components(const System& system) {
  const auto metal = [&](BodyId id) { return body(system, id).kind == BodyKind::metal; };
  const int bodies = static_cast<int>(system.bodies.size());
  Groups groups(system.bodies.size());
  for (const Beam& beam : system.beams)
    if (metal(beam.a) && metal(beam.b)) groups.join(beam.a.value, beam.b.value);
  for (const Cushion& cushion : system.cushions)
    if (metal(cushion.a) && metal(cushion.b)) groups.join(cushion.a.value, cushion.b.value);

  std::vector<int> component_of(system.bodies.size(), -1);
  std::vector<Component> components;
  for (int i = 0; i < bodies; ++i) {
    if (!metal({i})) continue;
    int& index = component_of[at_index(groups.find(i))];
    if (index < 0) {
      index = static_cast<int>(components.size());
      components.emplace_back();
    }
    const Body& b = body(system, {i});
    Component& component = components[at_index(index)];
    (b.port || b.fixed ? component.ports : component.interior).push_back({i});
  }

  const auto owner = [&](BodyId a, BodyId b) -> Component* {
    const BodyId id = metal(a) ? a : b;
    return metal(id) ? &components[at_index(component_of[at_index(groups.find(id.value))])] : nullptr;
  };
  for (int i = 0; i < static_cast<int>(system.beams.size()); ++i) {
    const Beam& beam = system.beams[at_index(i)];
    Component* component = owner(beam.a, beam.b);
    if (component == nullptr) continue;
    component->beams.push_back(i);
    for (const BodyId id : {beam.a, beam.b, beam.bone})
      if (id.valid() && !metal(id)) component->ports.push_back(id);
  }
  for (int i = 0; i < static_cast<int>(system.cushions.size()); ++i) {
    const Cushion& cushion = system.cushions[at_index(i)];
    Component* component = owner(cushion.a, cushion.b);
    if (component == nullptr) continue;
    component->cushions.push_back(i);
    for (const BodyId id : {cushion.a, cushion.b})
      if (!metal(id)) component->ports.push_back(id);
  }
  for (Component& component : components) {
    std::sort(component.ports.begin(), component.ports.end());
    component.ports.erase(std::unique(component.ports.begin(), component.ports.end()), component.ports.end());
  }
  return components;
}

}  // namespace opisthion::mesh
