// SPDX-License-Identifier: MIT
#pragma once
#include <string>

namespace opisthion::study {

/// A number for a sentence, with a fixed count of decimals; "-0.0" reads "0.0".
std::string figure(double value, int decimals);

}  // namespace opisthion::study
