// SPDX-License-Identifier: MIT
#pragma once
#include <cstddef>
#include <map>
#include <set>
#include <string>
#include <string_view>

namespace opisthion::models {

/// Bytes of a file.
struct Place {
  std::size_t offset = 0;
  std::size_t length = 0;
};

/// Where each item of a case stands in its file, by path: "construct[0]/anchor[2]", its attributes
/// "construct[0]/anchor[2]@level". Empty for a case that was made in memory: then every place is the start of the file.
class Places {
 public:
  void set(const std::string& path, Place place) { places_[path] = place; }
  /// An item that could not be read: rules that lean on it keep quiet, for its own finding says enough.
  void distrust(const std::string& path) { unread_.insert(path); }
  bool trusted(std::string_view path) const { return unread_.find(path) == unread_.end(); }
  /// The place of the attribute, or of its element where the attribute was left out.
  Place at(std::string_view path) const {
    auto found = places_.find(path);
    if (found == places_.end()) found = places_.find(path.substr(0, path.find('@')));
    return found == places_.end() ? Place{} : found->second;
  }

 private:
  std::map<std::string, Place, std::less<>> places_{};
  std::set<std::string, std::less<>> unread_{};
};

}  // namespace opisthion::models
