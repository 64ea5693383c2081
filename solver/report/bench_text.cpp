// SPDX-License-Identifier: MIT
#include "solver/report/bench_text.hpp"

#include <cmath>
#include <string_view>
#include <vector>

#include <fmt/format.h>

#include "models/case/axial_line.hpp"
#include "solver/study/figure.hpp"

namespace opisthion::report {
namespace {

using study::figure;

/// "dead weight 40 N on C0, 20.0 mm forward of the condyles and 40.0 mm above them"
std::string top_force(const char* name, const models::Bench& bench, const models::TopForce& force) {
  std::string out = fmt::format("{} {} N", name, figure(force.force_N, 0));
  if (bench.top) out += fmt::format(" on {}", models::name(*bench.top));
  const bool plural = force.line == models::AxialLine::condyles || force.line == models::AxialLine::lateral_masses;
  const std::string_view part = models::title(force.line);
  const auto offset = [](double size_mm, const char* plus, const char* minus) {
    return fmt::format("{} mm {}", figure(std::abs(size_mm), 1), size_mm > 0.0 ? plus : minus);
  };
  if (force.forward_mm == 0.0 && force.above_mm == 0.0) return out + fmt::format(" at the {}", part);
  if (force.forward_mm != 0.0) out += fmt::format(", {} the {}", offset(force.forward_mm, "forward of", "behind"), part);
  if (force.above_mm != 0.0)
    out += force.forward_mm == 0.0
               ? fmt::format(", {} the {}", offset(force.above_mm, "above", "below"), part)
               : fmt::format(" and {} {}", offset(force.above_mm, "above", "below"), plural ? "them" : "it");
  return out;
}

std::string cycles_words(int cycles, BenchRun run) {
  const std::string times = fmt::format("{} cycles of loading and unloading", cycles);
  return run == BenchRun::curves ? times + " where friction acts"
                                 : "each load comes on once (the " + times + " are run by opisthion curves)";
}

std::string listed(const std::vector<std::string>& parts, const char* between) {
  std::string out;
  for (const std::string& part : parts) out += (out.empty() ? "" : between) + part;
  return out;
}

}  // namespace

std::string bench_words(const models::Bench& bench, BenchRun run) {
  std::vector<std::string> out;
  std::vector<std::string> left_out;
  if (bench.moment_kind == models::MomentKind::fixed_axis) out.emplace_back("moments about axes fixed in the room");
  if (bench.moment_kind == models::MomentKind::head_following)
    out.emplace_back("moments about axes that turn with the loaded level");
  // Small kinematics has no preload, no combined moments and no hybrid protocol.
  std::vector<std::string> preload;
  if (bench.follower) preload.push_back(fmt::format("follower load {} N", figure(bench.follower->force_N, 0)));
  if (bench.dead_weight) preload.push_back(top_force("dead weight", bench, *bench.dead_weight));
  if (bench.traction) preload.push_back(top_force("traction", bench, *bench.traction));
  if (run == BenchRun::small)
    left_out = preload;
  else if (!preload.empty())
    out.push_back("preload, on under every load: " + listed(preload, ", "));
  if (run == BenchRun::small && !bench.combined.empty()) left_out.emplace_back("combined moments");
  const bool stated = bench.cycles != models::kUnstatedCycles;
  // Curves always name their number; other runs say why a number that is stated does nothing there.
  if (run == BenchRun::curves || stated) out.push_back(cycles_words(stated ? bench.cycles : models::kUsualCycles, run));
  if (bench.hybrid && run == BenchRun::small) left_out.emplace_back("the hybrid protocol");
  if (bench.hybrid && run == BenchRun::full)
    out.emplace_back("hybrid: every other row turned as far as the intact neck, too");
  if (!bench.sequence.empty() && run != BenchRun::curves)
    out.push_back("one specimen: " + listed(bench.sequence, ", then "));
  if (!left_out.empty()) out.push_back("small kinematics leaves out: " + listed(left_out, ", "));
  return listed(out, "; ");
}

}  // namespace opisthion::report
