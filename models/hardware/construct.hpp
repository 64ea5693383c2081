// SPDX-License-Identifier: MIT
#pragma once
#include <optional>
#include <string>
#include <vector>

#include "models/hardware/anchor.hpp"
#include "models/hardware/graft.hpp"
#include "models/hardware/rod.hpp"
#include "models/hardware/tie.hpp"

namespace opisthion::models {

/// In which order metal is fastened. Rods locked first and wires tightened then leaves the rods bent by the tightening.
enum class AssemblyOrder { tighten_then_lock, lock_then_tighten };

struct Construct {
  std::string name{};
  AssemblyOrder order = AssemblyOrder::tighten_then_lock;
  std::vector<Anchor> anchors{};
  std::vector<Plate> plates{};
  std::vector<Rod> rods{};
  std::vector<CrossLink> cross_links{};
  std::vector<Tie> ties{};
  std::vector<Graft> grafts{};
  std::vector<Spacer> spacers{};
  const Anchor* find_anchor(std::string_view anchor_name) const;
  const Plate* find_plate(std::string_view plate_name) const;
  const Rod* find_rod(std::string_view rod_name) const;
  friend bool operator==(const Construct&, const Construct&) = default;
};

}  // namespace opisthion::models
