// SPDX-License-Identifier: MIT
#pragma once

namespace opisthion::program {

/// What the shell sees.
enum class Exit : int {
  solved = 0,      ///< every construct solved or approximate
  unanswered = 1,  ///< some construct is a mechanism or has no answer
  usage = 2,
  case_file = 3,
  io = 4,
  bug = 70,
};

}  // namespace opisthion::program
