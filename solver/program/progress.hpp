// SPDX-License-Identifier: MIT
#pragma once
#include <chrono>
#include <mutex>
#include <string>

namespace opisthion::program {

/// One line on stderr with the time left, for a person only: silent unless stderr is a terminal. Cleared at its end.
class Progress {
 public:
  Progress(std::string what, int total, bool quiet);
  Progress(const Progress&) = delete;
  Progress& operator=(const Progress&) = delete;
  ~Progress();
  /// One more piece is done; from any thread.
  void step();

 private:
  std::string what_;
  int total_;
  bool shown_;
  int done_ = 0;
  bool drawn_ = false;
  std::chrono::steady_clock::time_point began_ = std::chrono::steady_clock::now();
  std::mutex guard_{};
};

}  // namespace opisthion::program
