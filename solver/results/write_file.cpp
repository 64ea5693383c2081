// SPDX-License-Identifier: MIT
#include "solver/results/write_file.hpp"

#include <cerrno>
#include <cstdlib>
#include <cstring>
#include <filesystem>
#include <utility>

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include "solver/results/io_error.hpp"

namespace opisthion::results {
namespace {

[[noreturn]] void fail(const std::string& path, const std::string& what, int code) {
  throw IoError(path + ": " + what + ": " + std::strerror(code));
}

/// A file that vanishes unless it is kept.
class Temporary {
 public:
  Temporary(std::string path, int descriptor) : path_(std::move(path)), descriptor_(descriptor) {}
  Temporary(const Temporary&) = delete;
  Temporary& operator=(const Temporary&) = delete;
  ~Temporary() {
    if (descriptor_ >= 0) ::close(descriptor_);
    if (!path_.empty()) ::unlink(path_.c_str());
  }
  int descriptor() const { return descriptor_; }
  bool close() { return ::close(std::exchange(descriptor_, -1)) == 0; }
  bool rename_to(const std::string& target) {
    if (std::rename(path_.c_str(), target.c_str()) != 0) return false;
    path_.clear();
    return true;
  }

 private:
  std::string path_;
  int descriptor_;
};

}  // namespace

void write_file(const std::string& path, std::span<const char> bytes, Durability durability) {
  std::error_code code;
  std::filesystem::path target(path);
  if (std::filesystem::is_symlink(target, code)) {
    const auto real = std::filesystem::weakly_canonical(target, code);
    if (!code) target = real;
  }
  const auto status = std::filesystem::status(target, code);
  if (std::filesystem::exists(status) && !std::filesystem::is_regular_file(status))
    throw IoError(path + ": is not a regular file");
  const std::filesystem::path folder = target.has_parent_path() ? target.parent_path() : std::filesystem::path(".");
  if (target.filename().empty()) throw IoError(path + ": a file name is missing");

  std::string name = (folder / ("." + target.filename().string() + ".XXXXXX")).string();
  const int descriptor = ::mkstemp(name.data());
  if (descriptor < 0) fail(path, "cannot write here", errno);
  Temporary temporary(name, descriptor);
  // mkstemp makes a private file; a result is an ordinary one.
  const mode_t mask = ::umask(0);
  ::umask(mask);
  ::fchmod(descriptor, 0666 & ~mask);
  for (std::size_t done = 0; done < bytes.size();) {
    const ssize_t wrote = ::write(descriptor, bytes.data() + done, bytes.size() - done);
    if (wrote < 0) {
      if (errno == EINTR) continue;
      fail(path, "cannot write", errno);
    }
    done += static_cast<std::size_t>(wrote);
  }
  if (durability == Durability::synced && ::fsync(descriptor) != 0) fail(path, "cannot write", errno);
  if (!temporary.close()) fail(path, "cannot write", errno);
  if (!temporary.rename_to(target.string())) fail(path, "cannot give the result its name", errno);
  if (durability == Durability::synced) {
    // The new name itself is on the disk once its folder is; some file systems cannot sync a folder, which is no failure.
    const int directory = ::open(folder.c_str(), O_RDONLY | O_DIRECTORY);
    if (directory >= 0) {
      ::fsync(directory);
      ::close(directory);
    }
  }
}

}  // namespace opisthion::results
