// SPDX-License-Identifier: MIT
#include "solver/report/fit_text.hpp"

#include <algorithm>

#include "solver/report/finding_text.hpp"

namespace opisthion::report {

std::string fit_paragraph(const study::ConstructResult& construct) {
  std::string out;
  for (const study::AnchorFit& fit : construct.fit)
    if (fit.verdict != "fits" || fit.artery_in_the_way || fit.artery_not_checked)
      out += (out.empty() ? "" : ". ") + escaped_for_terminal(fit.anchor) + ": " + fit.text;
  return out;
}

bool unfit(const study::ConstructResult& construct) {
  return std::any_of(construct.fit.begin(), construct.fit.end(),
                     [](const study::AnchorFit& fit) { return study::does_not_fit(fit) || fit.artery_in_the_way; });
}

}  // namespace opisthion::report
