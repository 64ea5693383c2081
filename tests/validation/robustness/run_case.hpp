// SPDX-License-Identifier: MIT
#pragma once
// A construct through its six motions in full kinematics, and each mechanism held against a run with its motion prescribed.
#include <string>
#include <vector>

#include "models/case/case.hpp"
#include "models/library/parameter_table.hpp"
#include "solver/study/assessment.hpp"

namespace opisthion::tests {

/// Whether a run with the motion prescribed says the same as a mechanism does.
enum class Confirmed {
  not_asked,  ///< no mechanism
  yes,        ///< the factor that balances the load stays below 1 as far as the motion was followed
  no,         ///< it comes to 1 within anatomy
  not_found   ///< the prescribed run found no answer
};

struct LoadRun {
  std::string load{};
  study::Status status = study::Status::no_answer;
  std::string reason{};
  int iterations = 0;
  bool finite = true;  ///< every figure that is printed
  bool told = false;   ///< a mechanism's reason says how far the load came or which way it escapes
  Confirmed confirmed = Confirmed::not_asked;
  double largest_factor = 0.0;  ///< of the prescribed run, as long as every joint is within its physical end
};

struct CaseRun {
  bool assembled = false;
  study::Status assembly = study::Status::no_answer;  ///< where it was not
  std::string assembly_reason{};
  std::vector<LoadRun> loads{};
};

CaseRun run_case(const models::Case& the_case, const models::Construct& construct, const models::ParameterTable& parameters);

}  // namespace opisthion::tests
