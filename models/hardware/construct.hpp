// SPDX-License-Identifier: MIT
#pragma once
#include <optional>
#include <string>
#include <vector>

#include "models/hardware/anchor.hpp"

namespace opisthion::models {

enum class Metal { titanium_alloy, cobalt_chrome, stainless_steel };

/// A round rod, laid through the heads of its anchors in the order given (from above to below).
struct Rod {
  std::string name{};
  Metal metal = Metal::titanium_alloy;
  std::optional<double> diameter_mm{};  ///< library default when left out
  std::vector<std::string> through{};   ///< anchor names
  friend bool operator==(const Rod&, const Rod&) = default;
};

struct Construct {
  std::string name{};
  std::vector<Anchor> anchors{};
  std::vector<Rod> rods{};
  const Anchor* find_anchor(std::string_view anchor_name) const;
  friend bool operator==(const Construct&, const Construct&) = default;
};

}  // namespace opisthion::models
