// SPDX-License-Identifier: MIT
#include "solver/study/full/follower.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>
#include <span>
#include <string_view>
#include <vector>

#include "models/neck/level.hpp"
#include "models/quantity/units.hpp"
#include "solver/study/figure.hpp"
#include "solver/study/full/follower_search.hpp"
#include "solver/study/full_figures.hpp"
#include "solver/study/naming.hpp"
#include "solver/study/verdict.hpp"

namespace opisthion::study {
namespace {

namespace full = core::full;

/// No guide further from where it started, back and forth, where such a path holds the joints.
constexpr double kMostShift_mm = 25.0;
/// Where none does, back as far as the level's bone reaches in the library: from the condyles to the inion 66.6 mm, from
/// C1's lateral masses to its posterior tubercle 28.6, from C2's body to the tip of its spinous process 39.9, below 36.2
/// (C5) or more.
constexpr double kReachOfC0_mm = 66.0;
constexpr double kReachOfC1_mm = 28.5;
constexpr double kReachOfC2_mm = 39.8;
constexpr double kReachBelow_mm = 36.0;
/// How far a straight path lies behind where its ends' guides start: towards the metal's own line, along which it carries
/// the load past bone that is skipped.
constexpr std::array<double, 4> kStraight_mm{-10.0, -20.0, -30.0, -36.0};
/// A symmetric neck may buckle to a side under the load; under this part of it, it turns aside by rounding only.
constexpr double kLightShare = 0.1;
constexpr double kInMidplane_deg = 1e-4;
constexpr int kMostRoundsOnTheWay = 6;  // under a part of the load: only to start the next near

constexpr double kFirstShare = 0.125;        // of the load, by which it grows where no path holds the neck
constexpr double kLeastShare = 1.0 / 256.0;  // as near as it is come to what stops it

/// Shares of the load at which a path is sought, in turn.
constexpr std::array<double, 1> kAtOnce{1.0};
constexpr std::array<double, 4> kGrowing{0.1, 0.25, 0.5, 1.0};

/// Whether a joint left anatomy on the way down from rest.
bool beyond_anatomy(const Specimen& specimen, const full::Poses& rest, const full::Poses& now) {
  const FullFigures figures = read_full_figures(specimen.mesh, now, rest);
  for (std::size_t i = 0; i < figures.joints.size(); ++i) {
    const double turn_deg = models::to_deg(figures.joints[i].vector_rad.cwiseAbs().maxCoeff());
    if (turn_deg > specimen.mesh.joints[i].physical_end_deg || figures.joints[i].translation_mm.norm() > kPhysicalEnd_mm)
      return true;
  }
  return false;
}

/// Why the neck does not stand on a path: the cable's force grows on it as far as the neck does. A mechanism only where a
/// body runs away, a joint leaves anatomy as the energy comes down or, without friction, the tangent loses its definiteness
/// beyond; else the numerics gave up.
Unready not_held(Specimen& specimen, int cable, const GuideShifts& shifts, double force_N, const full::State& rest,
                 full::Workspace& work) {
  LoadedNeck last{.found = true, .state = rest};
  LoadedNeck failed;
  double share = 0.0;
  int iterations = 0;
  for (double step = kFirstShare; step > kLeastShare;) {
    pull_cable(specimen, cable, (share + step) * force_N);
    LoadedNeck next = try_path(specimen, cable, shifts, rest, last.state, work).neck;
    iterations += next.outcome.iterations;
    if (!next.found) {
      failed = std::move(next);
      step *= 0.5;
      continue;
    }
    share += step;
    if (share >= 1.0) break;  // it stands, come to in steps; the search did not, and has no path to show
    last = std::move(next);
  }
  const std::string load = "a follower load of " + figure(force_N, 0) + " N";
  const bool limit = failed.outcome.escaped || beyond_anatomy(specimen, rest.poses, failed.state.poses) ||
                     (failed.outcome.met_negative && specimen.model.frictions.empty());
  if (share >= 1.0 || !limit)
    return {.status = Status::no_answer,
            .reason = "no equilibrium found under " + load + ": " + std::to_string(iterations) + " iterations"};
  const Eigen::VectorXd way = full::motion_between(specimen.model, last.state.poses, failed.state.poses);
  const std::string far = share > 0.0 ? " beyond " + figure(100.0 * share, 0) + " % of it" : " at all";
  return {.status = Status::mechanism,
          .reason = "nothing holds the neck under " + load + far + ": " +
                    describe(largest_relative_motion(specimen.mesh, specimen.numbering, way), Sense::one_way)};
}

double reach_mm(std::string_view level) {
  if (level == models::name(models::Level::C0)) return kReachOfC0_mm;
  if (level == models::name(models::Level::C1)) return kReachOfC1_mm;
  return level == models::name(models::Level::C2) ? kReachOfC2_mm : kReachBelow_mm;
}

/// Per guide.
Eigen::VectorXd reaches_mm(const mesh::Mesh& mesh) {
  const std::vector<mesh::Attachment>& guides = mesh.program.follower.guides;
  Eigen::VectorXd out(static_cast<Eigen::Index>(guides.size()));
  for (std::size_t i = 0; i < guides.size(); ++i)
    out[static_cast<Eigen::Index>(i)] = reach_mm(mesh.origins[mesh::body(mesh.system, guides[i].body).item].name);
  return out;
}

/// Seeks on flexion, guides going back and forth, at once and under a load that grows, where each path starts from the last:
/// the better of the two. `furthest`: the path of the largest share under which the neck stood.
std::optional<FollowerTry> seek_in_midplane(Specimen& specimen, int cable, const full::State& rest, GuideShifts& furthest,
                                            full::Workspace& work) {
  const double force_N = specimen.mesh.program.follower.force_N;
  const Eigen::Index guides = furthest.forward_mm.size();
  std::optional<FollowerTry> best;
  for (const std::span<const double> shares : {std::span<const double>(kAtOnce), std::span<const double>(kGrowing)}) {
    GuideShifts shifts = GuideShifts::none(guides);
    FollowerTry now;
    for (const double share : shares) {
      pull_cable(specimen, cable, share * force_N);
      now = try_path(specimen, cable, shifts, rest, rest, work);
      FollowerSearch search{.most_forward_mm = kMostShift_mm,
                            .most_behind_mm = Eigen::VectorXd::Constant(guides, kMostShift_mm)};
      if (share < 1.0) search.most_rounds = kMostRoundsOnTheWay;
      if (now.neck.found) now = seek_path(specimen, cable, rest, std::move(now), search, work);
      shifts = now.shifts;
      if (now.neck.found) furthest = shifts;
    }
    // From rest, so that the state hangs on the path found and not on the search for it.
    now = try_path(specimen, cable, shifts, rest, rest, work);
    if (now.neck.found && (!best || now.largest_flexion_deg() < best->largest_flexion_deg())) best = std::move(now);
    if (best && best->largest_flexion_deg() < kMostFollowerTurn_deg) break;
  }
  return best;
}

bool symmetric_on(Specimen& specimen, int cable, const GuideShifts& shifts, const full::State& rest, full::Workspace& work) {
  const double force_N = specimen.mesh.program.follower.force_N;
  pull_cable(specimen, cable, kLightShare * force_N);
  const FollowerTry lightly = try_path(specimen, cable, shifts, rest, rest, work);
  pull_cable(specimen, cable, force_N);
  return lightly.largest_aside_deg() < kInMidplane_deg;
}

/// Seeks on all turns, guides going sideways where the preload turns a joint out of the midplane, which a symmetric neck's
/// do not: from the best path so far, then from straight ones further and further behind, until one holds the joints.
FollowerTry seek_in_space(Specimen& specimen, int cable, const full::State& rest, FollowerTry best, full::Workspace& work) {
  FollowerSearch search{.whole_turns = true,
                        .sideways = !symmetric_on(specimen, cable, best.shifts, rest, work),
                        .most_forward_mm = kMostShift_mm,
                        .most_behind_mm = reaches_mm(specimen.mesh)};
  const auto seek_from = [&](FollowerTry now) {
    if (!now.neck.found) return;
    now = seek_path(specimen, cable, rest, std::move(now), search, work);
    now = try_path(specimen, cable, now.shifts, rest, rest, work);
    if (now.neck.found && now.largest_turn_deg() < best.largest_turn_deg()) best = std::move(now);
  };
  seek_from(best);
  for (const double forward_mm : kStraight_mm) {
    if (best.largest_turn_deg() < kMostFollowerTurn_deg) break;
    const GuideShifts straight = straight_path(specimen.mesh.program.follower, forward_mm, search);
    seek_from(try_path(specimen, cable, straight, rest, rest, work));
  }
  return best;
}

}  // namespace

int add_follower(mesh::Mesh& mesh) {
  const mesh::FollowerPath& path = mesh.program.follower;
  if (!(path.force_N > 0.0) || path.guides.size() < 2) return -1;
  mesh.system.strands.push_back({.path = path.guides, .law = constant_pull(0.0)});
  return static_cast<int>(mesh.system.strands.size()) - 1;
}

tl::expected<FollowerFit, Unready> tighten_follower(Specimen& specimen, int cable) {
  const double force_N = specimen.mesh.program.follower.force_N;
  const auto guides = static_cast<Eigen::Index>(specimen.mesh.program.follower.guides.size());
  const full::WorkspacePtr work = full::make_workspace(specimen.model);
  const full::State rest = specimen.start;
  GuideShifts furthest = GuideShifts::none(guides);
  std::optional<FollowerTry> best = seek_in_midplane(specimen, cable, rest, furthest, *work);
  if (!best) return tl::unexpected(not_held(specimen, cable, furthest, force_N, rest, *work));
  if (best->largest_turn_deg() > kMostFollowerTurn_deg || best->largest_aside_deg() > kStillEnough_deg)
    best = seek_in_space(specimen, cable, rest, std::move(*best), *work);
  place_cable(specimen, cable, best->shifts);
  specimen.start = best->neck.state;
  full::commit(specimen.model, specimen.start);
  FollowerFit fit{.asked = true};
  for (Eigen::Index i = 0; i < best->turned_rad.cols(); ++i)
    fit.turn_deg.push_back(models::to_deg(best->turned_rad.col(i).norm()));
  fit.forward_mm.assign(best->shifts.forward_mm.data(), best->shifts.forward_mm.data() + guides);
  fit.left_mm.assign(best->shifts.left_mm.data(), best->shifts.left_mm.data() + guides);
  return fit;
}

}  // namespace opisthion::study
