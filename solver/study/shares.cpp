// SPDX-License-Identifier: MIT
#include "solver/study/shares.hpp"

#include <cmath>

#include "solver/study/compare.hpp"

namespace opisthion::study {
namespace {

const ConstructResult* find(const std::vector<ConstructResult>& rows, RowKind kind) {
  for (const ConstructResult& row : rows)
    if (row.row == kind) return &row;
  return nullptr;
}

std::optional<double> percent_of(const MotionResult& motion, const ConstructResult* reference) {
  if (reference == nullptr) return std::nullopt;
  for (const MotionResult& other : reference->motions)
    if (other.motion == motion.motion) return percent_of(motion, other);
  return std::nullopt;
}

}  // namespace

std::string_view name(RowKind row) {
  switch (row) {
    case RowKind::intact:
      return "intact";
    case RowKind::injured:
      return "injured";
    case RowKind::construct:
      return "construct";
  }
  return "";
}

std::string_view name(FrictionLevel level) {
  switch (level) {
    case FrictionLevel::frictionless:
      return "frictionless";
    case FrictionLevel::nominal:
      return "nominal";
    case FrictionLevel::stuck:
      return "stuck";
  }
  return "";
}

std::string_view name(WireState state) {
  return state == WireState::fresh ? "fresh" : "slack";
}

std::optional<double> percent_of(const MotionResult& motion, const MotionResult& reference) {
  if (motion.status != Status::solved || reference.status != Status::solved) return std::nullopt;
  if (!std::isfinite(motion.rotation_deg) || !std::isfinite(reference.rotation_deg)) return std::nullopt;
  if (below_resolution_deg(reference.rotation_deg)) return std::nullopt;
  return 100.0 * motion.rotation_deg / reference.rotation_deg;
}

void share_out(std::vector<ConstructResult>& rows) {
  const ConstructResult* intact = find(rows, RowKind::intact);
  const ConstructResult* injured = find(rows, RowKind::injured);
  for (ConstructResult& row : rows)
    for (MotionResult& motion : row.motions) {
      motion.percent_of_intact = row.row == RowKind::intact ? std::nullopt : percent_of(motion, intact);
      motion.percent_of_injured = row.row == RowKind::construct ? percent_of(motion, injured) : std::nullopt;
    }
}

}  // namespace opisthion::study
