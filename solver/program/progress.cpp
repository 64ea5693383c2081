// SPDX-License-Identifier: MIT
#include "solver/program/progress.hpp"

#include <utility>

#include <fmt/format.h>

#include "solver/program/terminal.hpp"

namespace opisthion::program {

Progress::Progress(std::string what, int total, bool quiet)
    : what_(std::move(what)), total_(total), shown_(!quiet && stderr_is_terminal()) {}

Progress::~Progress() {
  if (drawn_) say("\r\x1b[K");
}

void Progress::step() {
  const std::lock_guard<std::mutex> lock(guard_);
  ++done_;
  const double passed_s = std::chrono::duration<double>(std::chrono::steady_clock::now() - began_).count();
  if (!shown_ || done_ >= total_ || passed_s < 0.2) return;  // what is over in a blink needs no bar
  const double left_s = passed_s / done_ * (total_ - done_);
  say(fmt::format("\r\x1b[K{} {} of {}, about {:.0f} s left", what_, done_, total_, left_s));
  drawn_ = true;
}

}  // namespace opisthion::program
