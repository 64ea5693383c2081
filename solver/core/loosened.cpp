// SPDX-License-Identifier: MIT
#include "solver/core/loosened.hpp"

#include "solver/core/at_index.hpp"
#include "solver/core/blocks.hpp"

namespace opisthion::core {
namespace {

using mesh::BodyId;
using mesh::Component;
using mesh::System;

/// Bodies of metal that a law touches: they move while wires are tightened even if their rod is not locked yet.
std::vector<bool> touched_by_laws(const System& system) {
  std::vector<bool> touched(system.bodies.size(), false);
  const auto touch = [&touched](BodyId id) { touched[at_index(id.value)] = true; };
  for (const mesh::Strand& strand : system.strands)
    for (const mesh::Attachment& at : strand.path) touch(at.body);
  for (const mesh::Pad& pad : system.pads) touch(pad.a.body), touch(pad.b);
  for (const mesh::Ring& ring : system.rings) touch(ring.dens), touch(ring.ring);
  for (const mesh::AxisCushion& cushion : system.axis_cushions) touch(cushion.a), touch(cushion.b);
  for (const mesh::Slip& slip : system.slips) touch(slip.a.body), touch(slip.b);
  return touched;
}

}  // namespace

System loosened(const System& system, std::span<const Component> components) {
  System loose = system;
  const std::vector<bool> touched = touched_by_laws(system);
  std::vector<bool> no_beam(system.beams.size(), false);
  std::vector<bool> no_cushion(system.cushions.size(), false);
  std::vector<bool> alone(system.bodies.size(), false);
  for (const Component& component : components) {
    if (!component.locked_last) continue;
    for (const int i : component.beams) no_beam[at_index(i)] = true;
    for (const int i : component.cushions) no_cushion[at_index(i)] = true;
    for (const std::vector<BodyId>* bodies : {&component.interior, &component.ports})
      for (const BodyId id : *bodies)
        if (is_metal(system, id)) {
          if (!touched[at_index(id.value)]) loose.bodies[at_index(id.value)].fixed = true;
          alone[at_index(id.value)] = touched[at_index(id.value)];
        }
  }
  for (const mesh::NeighbourPair& pair : system.neighbours)
    alone[at_index(pair.upper.value)] = alone[at_index(pair.lower.value)] = false;
  // What hangs on laws alone needs a neighbour for as long as it does.
  const auto tie = [&](BodyId a, BodyId b) {
    for (const auto& [metal, other] : {std::pair{a, b}, std::pair{b, a}})
      if (alone[at_index(metal.value)] && metal != other) {
        loose.neighbours.push_back({metal, other});
        alone[at_index(metal.value)] = false;
      }
  };
  for (const mesh::Pad& pad : system.pads) tie(pad.a.body, pad.b);
  for (const mesh::Slip& slip : system.slips) tie(slip.a.body, slip.b);
  for (const mesh::Strand& strand : system.strands)
    for (std::size_t i = 0; i + 1 < strand.path.size(); ++i) tie(strand.path[i].body, strand.path[i + 1].body);
  for (std::size_t i = 0; i < system.bodies.size(); ++i) loose.bodies[i].fixed = loose.bodies[i].fixed || alone[i];
  loose.beams.clear();
  for (std::size_t i = 0; i < no_beam.size(); ++i)
    if (!no_beam[i]) loose.beams.push_back(system.beams[i]);
  loose.cushions.clear();
  for (std::size_t i = 0; i < no_cushion.size(); ++i)
    if (!no_cushion[i]) loose.cushions.push_back(system.cushions[i]);
  return loose;
}

mesh::ScalarLaw constant_force(double force) {
  mesh::Polygon law;
  law.count = 1;
  law.value[0] = force;
  return law;
}

bool grips_at_once(const System& system, std::size_t slip) {
  return !system.slips[slip].driven_in && !is_metal(system, system.slips[slip].a.body) &&
         !is_metal(system, system.slips[slip].b);
}

}  // namespace opisthion::core
