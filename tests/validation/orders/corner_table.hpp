// SPDX-License-Identifier: MIT
#pragma once
// Rotations of a case's constructs at every corner of what is uncertain: foundation factor 0.03 / 1, lock rotational
// stiffness 10 N m/rad / rigid, C1-C2 joint gap -0.1 / 0.5 mm.
#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <map>
#include <string>
#include <string_view>
#include <vector>

#include "solver/study/assess.hpp"
#include "tests/support/example.hpp"

namespace opisthion::tests {

struct Corner {
  double foundation_factor;
  double lock_Nmm_per_rad;
  double gap_mm;
};

inline std::vector<Corner> corners() {
  std::vector<Corner> all;
  for (const double factor : {0.03, 1.0})
    for (const double lock : {10e3, 1e9})  // 1e9 N mm/rad: some hundred times stiffer than any rod here, rigid in effect
      for (const double gap : {-0.1, 0.5}) all.push_back({factor, lock, gap});
  return all;
}

using RotationTable = std::map<std::string, std::map<models::Motion, double>>;

/// A case's constructs may be changed before they are assessed.
using Change = void (*)(models::Construct&);

/// Small-displacement rotation by construct and motion, whatever the status: an order of stiffness, not a range of motion.
/// A mechanism, and a figure withheld beyond a joint's physical end, count as infinitely soft.
inline RotationTable rotations_deg(std::string_view example_file, const Corner& corner, Change change = nullptr) {
  models::ParameterTable parameters = tests::library();
  REQUIRE(parameters.change("interface.foundation_factor", corner.foundation_factor));
  REQUIRE(parameters.change("lock.rotation_stiffness", corner.lock_Nmm_per_rad));
  REQUIRE(parameters.change("joint.C1-C2.lateral_gap", corner.gap_mm));
  const models::Case neck = tests::example(example_file);
  RotationTable table;
  for (models::Construct construct : neck.constructs) {
    if (change != nullptr) change(construct);
    const study::ConstructResult result = study::assess_construct(neck, construct, parameters, {});
    for (const study::MotionResult& m : result.motions) {
      INFO(construct.name << ", " << models::name(m.motion) << ": " << m.reason);
      REQUIRE(m.status != study::Status::no_answer);
      const bool soft = m.status == study::Status::mechanism || !std::isfinite(m.rotation_deg);
      table[construct.name][m.motion] = soft ? std::numeric_limits<double>::infinity() : m.rotation_deg;
    }
  }
  return table;
}

}  // namespace opisthion::tests
