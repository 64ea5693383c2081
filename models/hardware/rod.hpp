// SPDX-License-Identifier: MIT
#pragma once
// Longitudinal and transverse metal.
#include <optional>
#include <string>
#include <vector>

#include "models/neck/level.hpp"

namespace opisthion::models {

enum class Metal { titanium_alloy, cobalt_chrome, stainless_steel };

/// How a rod got its shape. Bending it over a pin in theatre notches it; a loop comes bent from the maker.
enum class Bending { contoured, pre_bent, bench_bent };

/// One stop on a rod's way: an anchor's head, the end of a plate's arm, or a connector to another rod. Exactly one is set.
struct Through {
  std::string anchor{};
  std::string plate{};          ///< its arm on the rod's side (midline plate), or its lower end (paramedian plate)
  std::string rod{};            ///< a side connector to this rod ...
  std::optional<JointId> at{};  ///< ... at this joint
  friend bool operator==(const Through&, const Through&) = default;
};

/// A round rod, laid through its stops in the order given: from above to below; a loop goes down one side and up the other,
/// or up one side, over the top and down the other.
struct Rod {
  std::string name{};
  Metal metal = Metal::titanium_alloy;
  std::optional<double> diameter_mm{};  ///< library default when left out
  std::vector<Through> through{};
  Bending bending = Bending::contoured;
  bool closed = false;                        ///< its last stop is joined to its first: a closed loop
  std::optional<double> lower_diameter_mm{};  ///< a tapered rod: this below `taper_at`
  std::optional<JointId> taper_at{};
  friend bool operator==(const Rod&, const Rod&) = default;
};

/// midline: on the keel, two arms that rods lock into. paramedian: one side of the occiput, its lower end takes a rod.
/// lateral_mass: along one side of several levels, bent across its holes; a screw can toggle in its hole.
enum class PlateKind { midline, paramedian, lateral_mass };

struct Plate {
  std::string name{};
  PlateKind kind = PlateKind::midline;
  Metal metal = Metal::titanium_alloy;
  std::vector<std::string> through{};  ///< anchor names, from above to below
  std::optional<double> width_mm{};    ///< library default for this kind when left out
  std::optional<double> thickness_mm{};
  friend bool operator==(const Plate&, const Plate&) = default;
};

/// A bar between two rods, fixed to both, where they pass a joint.
struct CrossLink {
  std::string name{};
  std::string from{};  ///< rod
  std::string to{};    ///< rod
  JointId at{};
  std::optional<double> diameter_mm{};
  friend bool operator==(const CrossLink&, const CrossLink&) = default;
};

}  // namespace opisthion::models
