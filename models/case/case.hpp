// SPDX-License-Identifier: MIT
#pragma once
#include <string>
#include <vector>

#include "models/case/bench.hpp"
#include "models/hardware/construct.hpp"
#include "models/neck/neck.hpp"

namespace opisthion::models {

/// A library number that this case sets otherwise, e.g. interface.foundation_factor.
struct ParameterChange {
  std::string id{};
  double value = 0.0;  ///< internal unit (N, mm, MPa, N mm, rad)
  std::string text{};  ///< as written, with its unit
  friend bool operator==(const ParameterChange&, const ParameterChange&) = default;
};

/// A neck, a bench, and the constructs to compare.
struct Case {
  std::string name{};
  std::string about{};
  Neck neck{};
  Bench bench{};
  std::vector<ParameterChange> changes{};
  std::vector<Construct> constructs{};
  friend bool operator==(const Case&, const Case&) = default;
};

}  // namespace opisthion::models
