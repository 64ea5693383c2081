// SPDX-License-Identifier: MIT
#pragma once
#include <string>

namespace opisthion::study {

/// [rad, mm] A change below is rounding, and would differ from machine to machine.
inline constexpr double kRounding = 1e-12;

/// A number for a sentence, with a fixed count of decimals; "-0.0" reads "0.0".
std::string figure(double value, int decimals);
/// One whose size alone matters: "1.2e-07".
std::string small_number(double value);

}  // namespace opisthion::study
