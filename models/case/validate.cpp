// SPDX-License-Identifier: MIT
#include "models/case/validate.hpp"

#include "models/case/rules.hpp"

namespace opisthion::models {

std::vector<Finding> validate(const Case& the_case, const ParameterTable& parameters, const Places& places) {
  Rules rules(the_case, parameters, places);
  check_neck(rules);
  check_instabilities(rules);
  check_bench(rules);
  check_settings(rules);
  check_constructs(rules);
  return rules.findings.sorted();
}

}  // namespace opisthion::models
