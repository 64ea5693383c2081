// SPDX-License-Identifier: MIT
#pragma once
// A file per subcommand. Each reads its own options, prints its result and returns the exit code; IoError passes through.
#include <optional>
#include <string>
#include <vector>

#include "solver/program/exit_code.hpp"

namespace opisthion::program {

inline constexpr const char* kProgram = "opisthion";
extern const char* const kVersion;  ///< "0.1.0"

struct CheckCommand {
  std::string path{};
  bool quiet = false;
};
Exit run(const CheckCommand& command);

struct AssessCommand {
  std::string path{};
  std::vector<std::string> motions{};
  std::string moment{};  ///< "1.5 N m"; empty: the bench's
  std::vector<std::string> constructs{};
  std::string kinematics{};  ///< "auto", "small", "full"; empty: auto
  bool json = false;
  std::string out{};  ///< HDF5 file; empty: none
  std::string export_folder{};
  bool quiet = false;
  int threads = 0;  ///< 0: as many as the machine has
};
Exit run(const AssessCommand& command);

struct CurvesCommand {
  std::string path{};
  std::vector<std::string> motions{};
  std::string moment{};  ///< as in AssessCommand
  std::vector<std::string> constructs{};
  int steps = 0;  ///< from zero to the maximum, each way; 0: the bench's
  bool json = false;
  std::string csv{};  ///< CSV file; empty: none
  std::string out{};  ///< HDF5 file; empty: none
  bool quiet = false;
  int threads = 0;  ///< 0: as many as the machine has
};
Exit run(const CurvesCommand& command);

struct LibraryCommand {
  std::string word{};  ///< empty: a summary
};
Exit run(const LibraryCommand& command);

}  // namespace opisthion::program
