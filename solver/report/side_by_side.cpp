// SPDX-License-Identifier: MIT
#include "solver/report/side_by_side.hpp"

#include <algorithm>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "solver/report/cells.hpp"
#include "solver/report/columns.hpp"
#include "solver/report/fit_text.hpp"
#include "solver/report/rows.hpp"
#include "solver/study/compare.hpp"
#include "solver/study/figure.hpp"
#include "solver/study/sequence.hpp"

namespace opisthion::report {
namespace {

using study::ConstructResult;
using study::figure;
using study::MotionResult;
using study::Status;

constexpr std::size_t kCompareName = 42;
constexpr std::size_t kCompareColumn = 9;

const MotionResult* find(const ConstructResult& construct, models::Motion motion) {
  for (const MotionResult& result : construct.motions)
    if (result.motion == motion) return &result;
  return nullptr;
}

std::string with_sign(double value_deg) {
  const std::string text = degrees(value_deg);
  return value_deg > 0.0 && text.find_first_of("123456789") != std::string::npos ? "+" + text : text;
}

/// Largest sets of constructs that a bench could not tell apart in a motion: runs of neighbouring values. Each set in the
/// case's order, so that nothing reads as a ranking.
std::string alike(const study::Assessment& assessment, models::Motion motion) {
  std::vector<std::pair<double, std::size_t>> values;
  std::size_t number = 0;
  for (const ConstructResult& construct : assessment.constructs) {
    if (is_neck(construct)) continue;
    ++number;
    const MotionResult* result = find(construct, motion);
    if (result != nullptr && result->status == Status::solved) values.emplace_back(result->rotation_deg, number);
  }
  std::sort(values.begin(), values.end());
  std::vector<std::vector<std::size_t>> sets;
  std::size_t told = 0;  // one past the last value of the last set
  for (std::size_t first = 0; first < values.size(); ++first) {
    std::size_t last = first;
    while (last + 1 < values.size() && study::below_resolution_deg(values[last + 1].first - values[first].first)) ++last;
    if (last == first || last + 1 <= told) continue;
    told = last + 1;
    std::vector<std::size_t> set;
    for (std::size_t i = first; i <= last; ++i) set.push_back(values[i].second);
    std::sort(set.begin(), set.end());
    sets.push_back(set);
  }
  std::sort(sets.begin(), sets.end());
  std::string out;
  for (const auto& set : sets) out += fmt::format("{}{{{}}}", out.empty() ? "" : "  ", fmt::join(set, " "));
  return out;
}

}  // namespace

std::string comparison(const study::Assessment& assessment, bool colour) {
  std::string out = line('=');
  out += "side by side: rotation of the potted top on the potted bottom, deg\n";
  out += heads(kCompareName + 2, kCompareColumn);
  std::size_t number = 0;
  for (const ConstructResult& construct : assessment.constructs) {
    if (!is_neck(construct)) ++number;
    out += (unfit(construct) ? "! " : "  ") + padded(titled(number, construct), kCompareName);
    std::string cells;
    for (const models::Motion motion : models::kMotions) {
      const MotionResult* result = find(construct, motion);
      std::string cell;
      if (result != nullptr)
        cell = result->beyond_physical_end ? "beyond " : as_status(result->status, degrees(result->rotation_deg));
      cells += right(cell, kCompareColumn);
    }
    while (!cells.empty() && cells.back() == ' ') cells.pop_back();
    if (construct.motions.empty())
      cells = " " + coloured(construct.status, std::string(study::name(construct.status)), colour);
    out += cells + "\n";
    for (const Share& share : kShares) {
      if (!any_share(construct, share)) continue;
      std::string shares = "  " + padded(fmt::format("     {}, %", share.name), kCompareName);
      for (const models::Motion motion : models::kMotions) {
        const MotionResult* result = find(construct, motion);
        shares += right(result == nullptr ? "" : percent(result->*share.which), kCompareColumn);
      }
      while (shares.back() == ' ') shares.pop_back();
      out += shares + "\n";
    }
  }
  std::string pairs;
  for (const models::Motion motion : models::kMotions) {
    const std::string sets = alike(assessment, motion);
    if (!sets.empty()) pairs += "    " + padded(models::title(motion), 16) + sets + "\n";
  }
  if (!pairs.empty())
    out += fmt::format("\n  not distinguishable on a bench (every two within a set differ by less than {} deg):\n{}",
                       figure(study::kRotationResolution_deg, 1), pairs);
  return out;
}

std::string sequence_block(const study::Assessment& assessment) {
  std::string out;
  const auto add = [&out](const std::string& name, std::string cells) {
    while (!cells.empty() && cells.back() == ' ') cells.pop_back();
    out += "  " + padded(name, kCompareName) + cells + "\n";
  };
  for (const study::SequenceState& state : study::sequence_of(assessment)) {
    std::string rotations, changes;
    for (const models::Motion motion : models::kMotions) {
      const MotionResult* now = find(*state.row, motion);
      rotations += right(now == nullptr ? "" : as_status(now->status, degrees(now->rotation_deg)), kCompareColumn);
      const std::optional<double>& change = state.change_deg[static_cast<std::size_t>(motion)];
      changes += right(change ? with_sign(*change) : "- ", kCompareColumn);
    }
    add(escaped(state.row->name), rotations);
    if (!state.since.empty()) add("     change", changes);
  }
  if (out.empty()) return {};
  return line('=') +
         "one specimen, in the order of the test: rotation, and its change since the state before where both\n"
         "are solved, deg\n" +
         heads(kCompareName + 2, kCompareColumn) + out;
}

}  // namespace opisthion::report
