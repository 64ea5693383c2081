// SPDX-License-Identifier: MIT
#include <algorithm>
#include <map>
#include <set>

#include "mesh/build/hardware.hpp"

namespace opisthion::mesh {

namespace {

using Code = BuildComplaint::Code;

/// The bone that a worn hole is in, for every worn hole.
std::map<BodyId, BodyId> worn_holes(const Mesh& mesh) {
  std::map<BodyId, BodyId> holes;
  for (const AxisCushion& cushion : mesh.system.axis_cushions)
    if (mesh.origins[cushion.item].kind == OriginKind::worn_hole) holes[cushion.b] = cushion.a;
  return holes;
}

/// What a piece of metal holds by one-sided laws: wires tie it, hooks and plates press on it.
std::set<BodyId> held_by_laws(const System& system, const std::set<BodyId>& metal) {
  std::set<BodyId> bones;
  const auto touch = [&](std::initializer_list<BodyId> bodies) {
    if (std::none_of(bodies.begin(), bodies.end(), [&](BodyId b) { return metal.count(b) != 0; })) return;
    for (const BodyId id : bodies)
      if (body(system, id).kind == BodyKind::bone) bones.insert(id);
  };
  for (const Pad& pad : system.pads) touch({pad.a.body, pad.b});
  for (const Strand& strand : system.strands) {
    const bool ours =
        std::any_of(strand.path.begin(), strand.path.end(), [&](const auto& p) { return metal.count(p.body) != 0; });
    if (!ours) continue;
    for (const Attachment& point : strand.path)
      if (body(system, point.body).kind == BodyKind::bone) bones.insert(point.body);
  }
  return bones;
}

}  // namespace

std::vector<BuildComplaint> find_idle_metal(const Assembly& assembly, const Mesh& mesh, const models::Construct& construct,
                                            const std::vector<PlacedAnchor>& anchors) {
  std::vector<BuildComplaint> complaints;
  const bool one_bone = assembly.neck().upper == assembly.neck().lower;
  const std::map<BodyId, BodyId> holes = worn_holes(mesh);
  for (const Component& component : mesh.components) {
    std::set<BodyId> metal(component.interior.begin(), component.interior.end());
    std::set<BodyId> bones;
    for (const BodyId port : component.ports) (body(mesh.system, port).kind == BodyKind::metal ? metal : bones).insert(port);
    bones.merge(held_by_laws(mesh.system, metal));
    std::set<BodyId> whole;
    for (const BodyId bone : bones) {
      const auto hole = holes.find(bone);
      whole.insert(hole == holes.end() ? bone : hole->second);
    }
    bool loaded = false;
    std::string first;
    for (const PlacedAnchor& placed : anchors) {
      if (!placed.head.valid() || metal.count(placed.head) == 0) continue;
      if (first.empty()) first = placed.label;
      loaded = loaded || placed.loaded;
    }
    if (whole.size() >= 2 || loaded) continue;
    // A rod that wires alone hold has no head in it: it goes by its own name.
    if (first.empty()) first = mesh.origins[body(mesh.system, *metal.begin()).item].name;
    complaints.push_back({Code::nothing_held, first,
                          first + " and what is locked to it grip one bone only" +
                              (one_bone ? "" : ": they hold nothing to anything") + "."});
  }
  for (const PlacedAnchor& placed : anchors) {
    if (models::grip_of(placed.anchor->kind) != models::Grip::wire) continue;
    const bool ties_a_rod = std::any_of(construct.rods.begin(), construct.rods.end(), [&](const models::Rod& rod) {
      return std::any_of(rod.through.begin(), rod.through.end(),
                         [&](const models::Through& stop) { return stop.anchor == placed.anchor->name; });
    });
    if (!ties_a_rod) complaints.push_back({Code::nothing_held, placed.label, placed.label + " ties no rod."});
  }
  return complaints;
}

void mark_locked_last(Mesh& mesh, const models::Construct& construct, const models::Neck& neck) {
  const System& system = mesh.system;
  const auto tightened = [](const auto& part) { return part.tighten_N > 0.0; };
  const bool something = std::any_of(system.strands.begin(), system.strands.end(), tightened) ||
                         std::any_of(system.pads.begin(), system.pads.end(), tightened);
  if (construct.order != models::AssemblyOrder::tighten_then_lock || !something) return;
  // A slip that is reduced is held by the rods while wires are tightened: left alone it would slip back before they lock.
  if (std::any_of(neck.joints.begin(), neck.joints.end(), [](const auto& joint) { return joint.reduced_mm != 0.0; })) return;
  for (Component& component : mesh.components) {
    const bool locks = std::any_of(component.cushions.begin(), component.cushions.end(), [&](int i) {
      return mesh.origins[system.cushions[static_cast<std::size_t>(i)].item].kind == OriginKind::lock;
    });
    component.locked_last = locks && std::all_of(component.ports.begin(), component.ports.end(),
                                                 [&](BodyId port) { return body(system, port).kind == BodyKind::bone; });
  }
}

}  // namespace opisthion::mesh
