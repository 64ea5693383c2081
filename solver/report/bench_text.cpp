// SPDX-License-Identifier: MIT
#include "solver/report/bench_text.hpp"

#include <fmt/format.h>

#include "models/case/axial_line.hpp"
#include "solver/study/figure.hpp"

namespace opisthion::report {
namespace {

using study::figure;

std::string top_force(const char* name, const models::TopForce& force) {
  std::string out = fmt::format("{} {} N at the {}", name, figure(force.force_N, 0), models::title(force.line));
  if (force.forward_mm != 0.0) out += fmt::format(", {} mm forward", figure(force.forward_mm, 1));
  if (force.above_mm != 0.0) out += fmt::format(", {} mm above", figure(force.above_mm, 1));
  return out;
}

}  // namespace

std::string bench_words(const models::Bench& bench) {
  std::string out;
  const auto add = [&out](const std::string& text) { out += (out.empty() ? "" : "; ") + text; };
  if (bench.moment_kind == models::MomentKind::fixed_axis) add("moments about axes fixed in the room");
  if (bench.moment_kind == models::MomentKind::head_following) add("moments about axes that turn with the loaded level");
  if (bench.follower) add(fmt::format("follower load {} N", figure(bench.follower->force_N, 0)));
  if (bench.dead_weight) add(top_force("dead weight", *bench.dead_weight));
  if (bench.traction) add(top_force("traction", *bench.traction));
  if (bench.cycles > 1) add(fmt::format("{} cycles of loading and unloading", bench.cycles));
  if (bench.hybrid) add("hybrid: constructs turned as far as the intact neck, too");
  if (!bench.sequence.empty()) {
    std::string states;
    for (const std::string& state : bench.sequence) states += (states.empty() ? "" : ", then ") + state;
    add("one specimen: " + states);
  }
  return out;
}

}  // namespace opisthion::report
