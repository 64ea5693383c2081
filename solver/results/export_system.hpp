// SPDX-License-Identifier: MIT
#pragma once
// The uncondensed system as Matrix Market and CSV: enough for someone else to reassemble and solve it.
#include <string>

#include "models/case/case.hpp"
#include "models/library/parameter_table.hpp"
#include "solver/study/assess.hpp"

namespace opisthion::results {

/// One folder a construct under `folder` ("1_two_transarticular"), with the files that solver/results/README.md lists.
/// Units N, mm, rad; 17 significant digits; the tangent of a case and its offset satisfy
///   (stiffness_<case> + regularisation) displacement_<case> + offset_<case> = load_<case>.
/// A construct that cannot be built gets a folder with the reason in `unready.txt`. Throws IoError.
void export_system(const std::string& folder, const models::Case& the_case, const models::ParameterTable& parameters,
                   const study::AssessOptions& options);

/// "Two transarticular (old)" -> "two_transarticular_old".
std::string slug(const std::string& name);
/// "shear/C1/+" -> "shear_C1_plus".
std::string case_file_name(const std::string& load_case_id);

}  // namespace opisthion::results
