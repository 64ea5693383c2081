// SPDX-License-Identifier: MIT
#pragma once
#include <algorithm>
#include <utility>
#include <vector>

#include "models/xml/finding.hpp"

namespace opisthion::models {

/// Collects findings, at most kMost of them: a file of 4 MB could hold half a million, and nobody reads on after 200.
class Findings {
 public:
  static constexpr std::size_t kMost = 200;

  bool full() const { return all_.size() >= kMost; }
  void add(Finding finding) {
    if (!full()) all_.push_back(std::move(finding));
  }
  void add(std::vector<Finding> findings) {
    for (Finding& f : findings) add(std::move(f));
  }
  bool has_error() const { return models::has_error(all_); }

  /// By position in the file; equals stay in the order they were found. Says so when it is full.
  std::vector<Finding> sorted() const {
    std::vector<Finding> out = all_;
    std::stable_sort(out.begin(), out.end(), [](const Finding& a, const Finding& b) { return a.offset < b.offset; });
    if (full()) {
      Finding more;
      more.code = FindingCode::too_large;
      more.severity = Severity::note;
      more.offset = out.back().offset;
      more.where = "file";
      more.expected = "at most " + std::to_string(kMost) + " findings; the rest is left out";
      more.found = "as many or more";
      out.push_back(std::move(more));
    }
    return out;
  }

 private:
  std::vector<Finding> all_{};
};

}  // namespace opisthion::models
