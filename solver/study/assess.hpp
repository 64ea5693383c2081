// SPDX-License-Identifier: MIT
#pragma once
// Bench motions -> measures: pure functions from case to result types. No threads of its own: the caller hands in a
// for_each.
#include <functional>
#include <string>
#include <vector>

#include "mesh/build/build.hpp"
#include "models/case/case.hpp"
#include "models/library/parameter_table.hpp"
#include "solver/study/assessment.hpp"

namespace opisthion::study {

/// Which kinematics: by itself full wherever small is only approximate.
enum class Kinematics { automatic, small, full };

struct AssessOptions {
  std::vector<models::Motion> only_motions{};  ///< empty: all motions and all forces
  std::vector<std::string> only_constructs{};  ///< empty: all
  int rod_elements_per_span = 8;
  Kinematics kinematics = Kinematics::automatic;
  bool necks = true;           ///< rows of the intact and the injured neck before the constructs (not in small kinematics)
  bool friction_range = true;  ///< constructs with friction again at its limits and with slack wires
};

/// Runs work(i) for every i in [0, count), in any order, possibly at once; each i writes only its own result.
using ForEach = std::function<void(int count, const std::function<void(int)>& work)>;

/// How many rows `assess` will fill: one piece of work each for the for_each (progress).
int row_count(const models::Case& the_case, const AssessOptions& options);
Assessment assess(const models::Case& the_case, const models::ParameterTable& parameters, const AssessOptions& options,
                  const ForEach& for_each);
ConstructResult assess_construct(const models::Case& the_case, const models::Construct& construct,
                                 const models::ParameterTable& parameters, const AssessOptions& options);

}  // namespace opisthion::study
