// SPDX-License-Identifier: MIT
#include "solver/study/full/follower.hpp"

#include <Eigen/Geometry>
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

/// Back no further than this where such a path holds the joints.
constexpr double kMostBehind_mm = 25.0;
/// A guide's departure from its start weighs against turns: 10 mm as 0.05 deg, a tenth of what is allowed. It hardly costs
/// turns, and of paths that are equally good the one that is nearest, and most along the neck, is found.
constexpr double kPull_deg_per_mm = 0.005;
constexpr int kMostRoundsPulled = 50;
/// How far a straight path lies behind where its ends' guides start: towards the metal's own line, along which it carries
/// the load past bone that is skipped.
constexpr std::array<double, 8> kStraight_mm{0.0, -5.0, -10.0, -15.0, -20.0, -25.0, -30.0, -35.0};
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

/// A search whose guides keep to the bone.
FollowerSearch search_on(const mesh::Mesh& mesh) {
  const mesh::FollowerPath& path = mesh.program.follower;
  const auto guides = static_cast<Eigen::Index>(path.guides.size());
  FollowerSearch out;
  out.most_forward_mm = Eigen::Map<const Eigen::VectorXd>(path.ahead_mm.data(), guides);
  out.most_behind_mm = Eigen::Map<const Eigen::VectorXd>(path.behind_mm.data(), guides);
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
      FollowerSearch search = search_on(specimen.mesh);
      search.most_behind_mm = search.most_behind_mm.cwiseMin(kMostBehind_mm);
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

/// Whether a path is the better one: one that holds the joints, among such the one of least turns and departures.
bool better(const FollowerTry& one, const FollowerTry& other, const FollowerSearch& search) {
  const bool holds = one.largest_turn_deg() < kMostFollowerTurn_deg;
  if (holds != (other.largest_turn_deg() < kMostFollowerTurn_deg)) return holds;
  return holds ? cost_of(one, search) < cost_of(other, search) : one.largest_turn_deg() < other.largest_turn_deg();
}

/// Seeks on all turns, guides going sideways where the preload turns a joint out of the midplane, which a symmetric neck's
/// do not: from the best path so far and from straight ones further and further behind. The best of all.
FollowerTry seek_in_space(Specimen& specimen, int cable, const full::State& rest, FollowerTry best, full::Workspace& work) {
  FollowerSearch search = search_on(specimen.mesh);
  search.most_rounds = kMostRoundsPulled;
  search.whole_turns = true;
  search.sideways = !symmetric_on(specimen, cable, best.shifts, rest, work);
  search.pull_deg_per_mm = kPull_deg_per_mm;
  const auto seek_from = [&](FollowerTry now) {
    if (!now.neck.found) return;
    now = seek_path(specimen, cable, rest, std::move(now), search, work);
    now = try_path(specimen, cable, now.shifts, rest, rest, work);
    if (now.neck.found && better(now, best, search)) best = std::move(now);
  };
  seek_from(best);
  for (const double forward_mm : kStraight_mm) {
    const GuideShifts straight = straight_path(specimen.mesh.program.follower, forward_mm, search);
    seek_from(try_path(specimen, cable, straight, rest, rest, work));
  }
  return best;
}

/// Whether a guide would go on to where its bone ends in front.
bool at_the_front(const Specimen& specimen, const GuideShifts& shifts) {
  return ((search_on(specimen.mesh).most_forward_mm - shifts.forward_mm).array() <= 0.0).any();
}

/// Of the cable's legs to the lines between where their guides start, those as the neck rests without it.
double steepest_leg_deg(const Specimen& specimen, int cable, const full::Poses& rest, const full::Poses& loaded) {
  const auto place = [&specimen](const mesh::Attachment& at, const full::Poses& poses) -> mesh::Vector3 {
    const full::Pose& pose = full::pose_of(poses, at.body);
    return pose.position_mm + pose.rotation * (at.point_mm - mesh::body(specimen.mesh.system, at.body).position_mm);
  };
  const std::vector<mesh::Attachment>& starts = specimen.mesh.program.follower.guides;
  const std::vector<mesh::Attachment>& guides = specimen.mesh.system.strands[static_cast<std::size_t>(cable)].path;
  double steepest_rad = 0.0;
  for (std::size_t i = 0; i + 1 < guides.size(); ++i) {
    const mesh::Vector3 along = place(starts[i + 1], rest) - place(starts[i], rest);
    const mesh::Vector3 leg = place(guides[i + 1], loaded) - place(guides[i], loaded);
    steepest_rad = std::max(steepest_rad, std::atan2(along.cross(leg).norm(), along.dot(leg)));
  }
  return models::to_deg(steepest_rad);
}

/// Leaves the cable there.
bool runs_across(Specimen& specimen, int cable, const full::Poses& rest, const FollowerTry& tried) {
  place_cable(specimen, cable, tried.shifts);
  return steepest_leg_deg(specimen, cable, rest, tried.neck.state.poses) > kSteepLeg_deg;
}

/// Where another specimen of the row had its guides; none where this one does not stand there.
std::optional<FollowerTry> try_given(Specimen& specimen, int cable, const FollowerFit& given, const full::State& rest,
                                     full::Workspace& work) {
  if (given.forward_mm.size() != specimen.mesh.program.follower.guides.size()) return {};
  const auto guides = static_cast<Eigen::Index>(given.forward_mm.size());
  const GuideShifts shifts{.forward_mm = Eigen::Map<const Eigen::VectorXd>(given.forward_mm.data(), guides),
                           .left_mm = Eigen::Map<const Eigen::VectorXd>(given.left_mm.data(), guides)};
  pull_cable(specimen, cable, specimen.mesh.program.follower.force_N);
  FollowerTry there = try_path(specimen, cable, shifts, rest, rest, work);
  return there.neck.found ? std::optional(std::move(there)) : std::nullopt;
}

}  // namespace

int add_follower(mesh::Mesh& mesh) {
  const mesh::FollowerPath& path = mesh.program.follower;
  if (!(path.force_N > 0.0) || path.guides.size() < 2) return -1;
  mesh.system.strands.push_back({.path = path.guides, .law = constant_pull(0.0)});
  return static_cast<int>(mesh.system.strands.size()) - 1;
}

tl::expected<FollowerFit, Unready> tighten_follower(Specimen& specimen, int cable, const FollowerFit* given) {
  const double force_N = specimen.mesh.program.follower.force_N;
  const auto guides = static_cast<Eigen::Index>(specimen.mesh.program.follower.guides.size());
  const full::WorkspacePtr work = full::make_workspace(specimen.model);
  const full::State rest = specimen.start;
  GuideShifts furthest = GuideShifts::none(guides);
  std::optional<FollowerTry> best;
  if (given != nullptr && given->asked) best = try_given(specimen, cable, *given, rest, *work);
  if (!best) {
    best = seek_in_midplane(specimen, cable, rest, furthest, *work);
    if (!best) return tl::unexpected(not_held(specimen, cable, furthest, force_N, rest, *work));
    if (best->largest_turn_deg() > kMostFollowerTurn_deg || best->largest_aside_deg() > kStillEnough_deg ||
        at_the_front(specimen, best->shifts) || runs_across(specimen, cable, rest.poses, *best))
      best = seek_in_space(specimen, cable, rest, std::move(*best), *work);
  }
  place_cable(specimen, cable, best->shifts);
  specimen.start = best->neck.state;
  full::commit(specimen.model, specimen.start);
  FollowerFit fit{.asked = true};
  for (Eigen::Index i = 0; i < best->turned_rad.cols(); ++i)
    fit.turn_deg.push_back(models::to_deg(best->turned_rad.col(i).norm()));
  for (const PoseFigures& joint : read_full_figures(specimen.mesh, specimen.start.poses, rest.poses).joints)
    fit.slide_mm.push_back(joint.translation_mm.norm());
  fit.steepest_leg_deg = steepest_leg_deg(specimen, cable, rest.poses, specimen.start.poses);
  fit.forward_mm.assign(best->shifts.forward_mm.data(), best->shifts.forward_mm.data() + guides);
  fit.left_mm.assign(best->shifts.left_mm.data(), best->shifts.left_mm.data() + guides);
  return fit;
}

}  // namespace opisthion::study
