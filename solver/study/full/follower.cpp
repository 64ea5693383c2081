// SPDX-License-Identifier: MIT
#include "solver/study/full/follower.hpp"

#include <Eigen/Cholesky>
#include <Eigen/Geometry>
#include <algorithm>
#include <array>
#include <cmath>
#include <optional>
#include <span>
#include <vector>

#include "models/quantity/units.hpp"
#include "solver/study/figure.hpp"
#include "solver/study/full_figures.hpp"
#include "solver/study/naming.hpp"
#include "solver/study/verdict.hpp"

namespace opisthion::study {
namespace {

namespace full = core::full;

constexpr int kMostRounds = 25;
constexpr int kMostRoundsOnTheWay = 6;    // under a part of the load: only to start the next near
constexpr double kGoodEnough_deg = 0.05;  // a tenth of what is allowed: no need to go on
constexpr double kProbe_mm = 0.5;         // finite difference of a guide's place
constexpr double kMostShift_mm = 25.0;    // no guide further from where it started: it would leave the neck
constexpr double kMostStep_mm = 4.0;
constexpr int kMostAttempts = 8;              // at more damping each, until a step is better
constexpr double kDamping_deg_per_mm = 0.02;  // of least squares: a lax joint does not tell where its guide should be

constexpr double kFirstShare = 0.125;        // of the load, by which it grows where no path holds the neck
constexpr double kLeastShare = 1.0 / 256.0;  // as near as it is come to what stops it

/// Shares of the load at which a path is sought, in turn.
constexpr std::array<double, 1> kAtOnce{1.0};
constexpr std::array<double, 4> kGrowing{0.1, 0.25, 0.5, 1.0};

std::size_t at_index(int i) {
  return static_cast<std::size_t>(i);
}

mesh::ScalarLaw pull(double force_N) {
  mesh::Polygon law;
  law.count = 1;
  law.value[0] = force_N;
  return law;
}

/// The cable with its guides shifted; guides ride on their bodies' axes.
void place(Specimen& specimen, int cable, const Eigen::VectorXd& forward_mm) {
  const mesh::FollowerPath& path = specimen.mesh.program.follower;
  mesh::Strand& strand = specimen.model.system.strands[at_index(cable)];
  for (std::size_t i = 0; i < path.guides.size(); ++i)
    strand.path[i].point_mm = path.guides[i].point_mm + forward_mm[static_cast<Eigen::Index>(i)] * path.anterior[i];
  specimen.mesh.system.strands[at_index(cable)].path = strand.path;
  specimen.model.strands[at_index(cable)] = full::strand_geometry(specimen.model.system, cable);
}

/// Turn of each joint from one state to another about the lower body's own side-to-side axis [deg].
Eigen::VectorXd turns(const Specimen& specimen, const full::Poses& from, const full::Poses& to) {
  Eigen::VectorXd out(static_cast<Eigen::Index>(specimen.mesh.joints.size()));
  for (std::size_t i = 0; i < specimen.mesh.joints.size(); ++i) {
    const mesh::JointProbes& joint = specimen.mesh.joints[i];
    const auto between = [&joint](const full::Poses& poses) -> Eigen::Matrix3d {
      return full::pose_of(poses, joint.lower).rotation.transpose() * full::pose_of(poses, joint.upper).rotation;
    };
    out[static_cast<Eigen::Index>(i)] = models::to_deg(full::log_rotation(between(to) * between(from).transpose()).y());
  }
  return out;
}

/// The whole turn, other planes included: what is told.
std::vector<double> whole_turns(const Specimen& specimen, const full::Poses& from, const full::Poses& to) {
  std::vector<double> out;
  for (const mesh::JointProbes& joint : specimen.mesh.joints) {
    const auto between = [&joint](const full::Poses& poses) -> Eigen::Matrix3d {
      return full::pose_of(poses, joint.lower).rotation.transpose() * full::pose_of(poses, joint.upper).rotation;
    };
    out.push_back(models::to_deg(full::log_rotation(between(to) * between(from).transpose()).norm()));
  }
  return out;
}

struct Loaded {
  bool found = false;
  full::State state{};
  full::SolveOutcome outcome{};
};

Loaded loaded(Specimen& specimen, int cable, const Eigen::VectorXd& forward_mm, const full::State& from,
              full::Workspace& work) {
  place(specimen, cable, forward_mm);
  Loaded out{.state = from};
  out.outcome = full::solve(specimen.model, {}, 0.0, {}, work, out.state);
  out.found = static_cast<bool>(out.outcome) && out.state.poses.size() > 0;
  return out;
}

/// A path and what the neck does under it.
struct Found {
  Eigen::VectorXd forward_mm{};
  Loaded at{};
  Eigen::VectorXd turned_deg{};
  double largest_deg() const { return turned_deg.size() > 0 ? turned_deg.cwiseAbs().maxCoeff() : 0.0; }
};

void pull_with(Specimen& specimen, int cable, double force_N) {
  specimen.model.laws[at_index(cable)].law = pull(force_N);  // strands come first among the laws
  specimen.mesh.system.strands[at_index(cable)].law = pull(force_N);
  specimen.model.system.strands[at_index(cable)].law = pull(force_N);
}

Found put(Specimen& specimen, int cable, const Eigen::VectorXd& forward_mm, const full::State& rest, const full::State& from,
          full::Workspace& work) {
  Found out{.forward_mm = forward_mm, .at = loaded(specimen, cable, forward_mm, from, work)};
  if (out.at.found) out.turned_deg = turns(specimen, rest.poses, out.at.state.poses);
  return out;
}

/// Damped least squares on the joints' turns under the cable's present force, from a path under which the neck stands.
Found seek(Specimen& specimen, int cable, const full::State& rest, Found now, int most_rounds, full::Workspace& work) {
  const mesh::FollowerPath& path = specimen.mesh.program.follower;
  const Eigen::Index guides = now.forward_mm.size();
  double damping = kDamping_deg_per_mm;
  for (int round = 0; round < most_rounds && now.largest_deg() > kGoodEnough_deg; ++round) {
    Eigen::MatrixXd slope = Eigen::MatrixXd::Zero(now.turned_deg.size(), guides);
    for (Eigen::Index i = 0; i < guides; ++i) {
      if (path.stated[static_cast<std::size_t>(i)] != 0) continue;
      Eigen::VectorXd probe = now.forward_mm;
      probe[i] += kProbe_mm;
      const Found there = put(specimen, cable, probe, rest, now.at.state, work);
      if (there.at.found) slope.col(i) = (there.turned_deg - now.turned_deg) / kProbe_mm;
    }
    bool better = false;
    for (int attempt = 0; attempt < kMostAttempts && !better; ++attempt, damping *= 4.0) {
      Eigen::MatrixXd normal = slope.transpose() * slope;
      normal.diagonal().array() += damping * damping;
      Eigen::VectorXd step = normal.ldlt().solve(-slope.transpose() * now.turned_deg);
      const double longest = step.cwiseAbs().maxCoeff();
      if (longest > kMostStep_mm) step *= kMostStep_mm / longest;
      const Eigen::VectorXd next = (now.forward_mm + step).cwiseMax(-kMostShift_mm).cwiseMin(kMostShift_mm);
      Found there = put(specimen, cable, next, rest, now.at.state, work);
      better = there.at.found && there.turned_deg.squaredNorm() < now.turned_deg.squaredNorm();
      if (better) now = std::move(there);
    }
    if (!better) break;
    damping = std::max(kDamping_deg_per_mm, damping / 16.0);
  }
  return now;
}

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
Unready not_held(Specimen& specimen, int cable, const Eigen::VectorXd& forward_mm, double force_N, const full::State& rest,
                 full::Workspace& work) {
  Loaded last{.found = true, .state = rest};
  Loaded failed;
  double share = 0.0;
  int iterations = 0;
  for (double step = kFirstShare; step > kLeastShare;) {
    pull_with(specimen, cable, (share + step) * force_N);
    Loaded next = loaded(specimen, cable, forward_mm, last.state, work);
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

}  // namespace

int add_follower(mesh::Mesh& mesh) {
  const mesh::FollowerPath& path = mesh.program.follower;
  if (!(path.force_N > 0.0) || path.guides.size() < 2) return -1;
  mesh.system.strands.push_back({.path = path.guides, .law = pull(0.0)});
  return static_cast<int>(mesh.system.strands.size()) - 1;
}

tl::expected<FollowerFit, Unready> tighten_follower(Specimen& specimen, int cable) {
  const double force_N = specimen.mesh.program.follower.force_N;
  const auto guides = static_cast<Eigen::Index>(specimen.mesh.program.follower.guides.size());
  const full::WorkspacePtr work = full::make_workspace(specimen.model);
  const full::State rest = specimen.start;
  // At once, and under a load that grows, where each path starts from the last: the better of the two.
  std::optional<Found> best;
  Eigen::VectorXd furthest = Eigen::VectorXd::Zero(guides);  // path of the largest share under which it stood
  for (const std::span<const double> shares : {std::span<const double>(kAtOnce), std::span<const double>(kGrowing)}) {
    Eigen::VectorXd forward = Eigen::VectorXd::Zero(guides);
    Found now;
    for (const double share : shares) {
      pull_with(specimen, cable, share * force_N);
      now = put(specimen, cable, forward, rest, rest, *work);
      if (now.at.found)
        now = seek(specimen, cable, rest, std::move(now), share < 1.0 ? kMostRoundsOnTheWay : kMostRounds, *work);
      forward = now.forward_mm;
      if (now.at.found) furthest = forward;
    }
    // From rest, so that the state hangs on the path found and not on the search for it.
    now = put(specimen, cable, forward, rest, rest, *work);
    if (now.at.found && (!best || now.largest_deg() < best->largest_deg())) best = std::move(now);
    if (best && best->largest_deg() < kMostFollowerTurn_deg) break;
  }
  if (!best) return tl::unexpected(not_held(specimen, cable, furthest, force_N, rest, *work));
  place(specimen, cable, best->forward_mm);
  specimen.start = best->at.state;
  full::commit(specimen.model, specimen.start);
  FollowerFit fit{.asked = true, .turn_deg = whole_turns(specimen, rest.poses, specimen.start.poses)};
  fit.forward_mm.assign(best->forward_mm.data(), best->forward_mm.data() + guides);
  return fit;
}

}  // namespace opisthion::study
