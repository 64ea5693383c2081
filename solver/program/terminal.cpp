// SPDX-License-Identifier: MIT
#include "solver/program/terminal.hpp"

#include <cerrno>
#include <cstdlib>
#include <cstring>
#include <string>

#include <fcntl.h>
#include <unistd.h>

#include "solver/report/caution.hpp"
#include "solver/report/cells.hpp"
#include "solver/report/columns.hpp"
#include "solver/results/io_error.hpp"

namespace opisthion::program {
namespace {

bool write_all(int descriptor, std::string_view text) {
  while (!text.empty()) {
    const ssize_t wrote = ::write(descriptor, text.data(), text.size());
    if (wrote < 0 && errno == EINTR) continue;
    if (wrote < 0) return false;
    text.remove_prefix(static_cast<std::size_t>(wrote));
  }
  return true;
}

}  // namespace

void print_result(std::string_view text) {
  if (!write_all(STDOUT_FILENO, text))
    throw results::IoError(std::string("standard output: cannot write: ") + std::strerror(errno));
}

std::string ending() {
  return "\n" + report::wrap(report::kCaution, report::kWidth, 0) + "\n";
}

void require_stdout() {
  if (::fcntl(STDOUT_FILENO, F_GETFD) < 0) throw results::IoError("standard output is closed");
}

void say(std::string_view text) {
  static_cast<void>(write_all(STDERR_FILENO, text));
}

bool stdout_is_terminal() {
  return ::isatty(STDOUT_FILENO) == 1;
}
bool stderr_is_terminal() {
  return ::isatty(STDERR_FILENO) == 1;
}

bool colour_wanted(bool is_terminal) {
  const char* no_colour = std::getenv("NO_COLOR");
  const char* terminal = std::getenv("TERM");
  return is_terminal && (no_colour == nullptr || *no_colour == '\0') &&
         (terminal == nullptr || std::string_view(terminal) != "dumb");
}

}  // namespace opisthion::program
