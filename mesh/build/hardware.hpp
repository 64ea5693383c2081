// SPDX-License-Identifier: MIT
#pragma once
// A construct's metal and graft, in the order in which they are laid out and built.
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "mesh/build/assembly.hpp"
#include "mesh/build/lamina.hpp"
#include "models/hardware/trajectory.hpp"

namespace opisthion::mesh {

/// An anchor of the construct, where it is put and as it was built.
struct PlacedAnchor {
  const models::Anchor* anchor = nullptr;
  models::Trajectory path{};  ///< wires and hooks have a lock point only: on the back of the bone, in the hook's rod groove
  BonePatch patch{};          ///< wires and hooks: the bone under them
  std::string label{};        ///< "C2 left pars screw 'name'"
  BodyId head{};              ///< end of the shank at the lock point, or the hook; invalid for a wire
  bool loaded = false;        ///< the bench pushes its head
};

/// "C2 left pars screw 'name'", "C1 left sublaminar wire 'name'", "C0 keel screw 'name'"
std::string label_of(const models::Anchor& anchor);

/// The bone that this neck is made of.
struct BoneModuli {
  double cortex_MPa = 0.0;
  double cancellous_MPa = 0.0;
  double poisson = 0.0;
};
BoneModuli bone_moduli(const models::Bone& bone, const models::ParameterReader& number);
/// "normal", "osteopenic", "osteoporotic": by density where it is known.
std::string_view bone_word(const models::Bone& bone, const models::ParameterReader& number);
/// Contact stiffness of a small piece of metal or graft on cortical bone, by bone quality [N/mm].
double bearing_stiffness(const Assembly& assembly);

/// Series of two springs.
constexpr double in_series(double a, double b) {
  return a * b / (a + b);
}

/// "titanium_alloy"
std::string_view metal_word(models::Metal metal);

/// "12.3"
std::string one_decimal(double value);

/// A number that the library holds as a diameter, thickness ..., or what the case says.
double given_or(const std::optional<double>& given, const Assembly& assembly, const std::string& id);

/// Where every anchor goes: no bodies yet.
std::vector<PlacedAnchor> place_anchors(const Assembly& assembly, const models::Construct& construct);
const PlacedAnchor& find_placed(const std::vector<PlacedAnchor>& anchors, std::string_view name);

/// Screws: from the head a free shank to the entry, then one beam on its bed per layer of bone. Hooks: a body on the edge of
/// its lamina. Wires get their parts with the rod that they tie.
std::vector<PlacedAnchor> add_anchors(Assembly& assembly, const models::Construct& construct);

/// Metal that ties fewer than two bones together and that no load pushes. Components must have been found.
std::vector<BuildComplaint> find_idle_metal(const Assembly& assembly, const Mesh& mesh, const models::Construct& construct,
                                            const std::vector<PlacedAnchor>& anchors);

/// Marks the components whose rods are locked after everything is tightened: stress-free in the assembled pose. Only metal
/// that nothing but bone and linear parts touch can be (a wired rod is bent by its wires whatever the order).
/// None where a slip was reduced: rods hold the reduction, so they are locked first.
void mark_locked_last(Mesh& mesh, const models::Construct& construct, const models::Neck& neck);

}  // namespace opisthion::mesh
