// SPDX-License-Identifier: MIT
#pragma once
// The C API of HDF5 behind one owning handle and a few verbs. A file is built in memory and becomes bytes: what can fail on
// a disk happens in write_file, never half-way through HDF5's own bookkeeping. No time stamps: equal input, equal bytes.
#include <span>
#include <string>
#include <vector>

#include <hdf5.h>

namespace opisthion::results::h5 {

/// Owns one id; the closer belongs to the type of the id, so it travels with it.
class Id {
 public:
  Id(hid_t id, herr_t (*close)(hid_t), const std::string& what);
  Id(Id&& other) noexcept;
  Id(const Id&) = delete;
  Id& operator=(Id&&) = delete;
  Id& operator=(const Id&) = delete;
  ~Id();
  hid_t get() const { return id_; }

 private:
  hid_t id_;
  herr_t (*close_)(hid_t);
};

/// What a dataset says of itself.
struct About {
  std::string unit{};               ///< "deg", "1" for a bare number, "text"
  std::string what{};               ///< one sentence
  std::vector<std::string> axes{};  ///< a label per dimension
};

class MemoryFile {
 public:
  MemoryFile();
  void group(const std::string& path, const std::string& what);
  void attribute(const std::string& object, const std::string& name, const std::string& value);
  void attribute(const std::string& object, const std::string& name, double value);
  /// Row-major; shape must hold exactly the values. NaN stands for "no value".
  void array(const std::string& path, std::span<const double> values, const std::vector<hsize_t>& shape, const About& about);
  void words(const std::string& path, const std::vector<std::string>& values, const std::vector<hsize_t>& shape,
             const About& about);
  std::vector<char> bytes();

 private:
  void describe(const Id& dataset, const std::string& path, const About& about);
  Id file_;
};

/// A text attribute of the root of a file on disk. Throws IoError when the file cannot be read or has none.
std::string read_text_attribute(const std::string& file, const std::string& name);

}  // namespace opisthion::results::h5
