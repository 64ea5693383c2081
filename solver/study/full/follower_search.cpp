// SPDX-License-Identifier: MIT
#include "solver/study/full/follower_search.hpp"

#include <Eigen/Cholesky>
#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <utility>

#include "models/quantity/units.hpp"

namespace opisthion::study {
namespace {

namespace full = core::full;
using Eigen::Index;

constexpr double kProbe_mm = 0.5;  // finite difference of a guide's place
constexpr double kMostStep_mm = 4.0;
constexpr int kMostAttempts = 8;                   // at more damping each, until a step is better
constexpr double kDamping_deg_per_mm = 0.02;       // of least squares: a lax joint does not tell where its guide should be
constexpr double kLeastDamping_deg_per_mm = 1e-3;  // where guides are pulled to their starts, which tells it
constexpr double kLeastGain = 1e-4;                // of the sum by a round, below which it is as good as least
/// To the middles of the lateral masses (16 to 20 mm aside in the library): a bench has a cable on either side, and what
/// moves to a side is their resultant.
constexpr double kMostSideways_mm = 20.0;
constexpr double kAcross = 1e-9;  // a guide's forward direction against a cable: less is along it

std::size_t at_index(Index i) {
  return static_cast<std::size_t>(i);
}

/// Levels are posed in the midplane only: across a level's forward direction is the left of all.
mesh::Vector3 leftward(const mesh::Vector3& anterior) {
  return mesh::Vector3::UnitZ().cross(anterior).normalized();
}

Eigen::Matrix3Xd turns(const Specimen& specimen, const full::Poses& from, const full::Poses& to) {
  Eigen::Matrix3Xd out(3, static_cast<Index>(specimen.mesh.joints.size()));
  for (std::size_t i = 0; i < specimen.mesh.joints.size(); ++i) {
    const mesh::JointProbes& joint = specimen.mesh.joints[i];
    const auto between = [&joint](const full::Poses& poses) -> Eigen::Matrix3d {
      return full::pose_of(poses, joint.lower).rotation.transpose() * full::pose_of(poses, joint.upper).rotation;
    };
    out.col(static_cast<Index>(i)) = full::log_rotation(between(to) * between(from).transpose());
  }
  return out;
}

/// What a search takes away.
Eigen::VectorXd left_over_deg(const FollowerTry& tried, const FollowerSearch& search) {
  if (tried.turned_rad.cols() == 0) return {};  // of an empty matrix Eigen's rows are undefined
  const Eigen::VectorXd left = search.whole_turns ? Eigen::VectorXd(tried.turned_rad.reshaped())
                                                  : Eigen::VectorXd(tried.turned_rad.row(1).transpose());
  return left.unaryExpr([](double turn_rad) { return models::to_deg(turn_rad); });
}

double largest_left_deg(const FollowerTry& tried, const FollowerSearch& search) {
  return search.whole_turns ? tried.largest_turn_deg() : tried.largest_flexion_deg();
}

/// As it weighs.
double departure(const Eigen::VectorXd& shifts_mm) {
  const Index legs = shifts_mm.size() - 1;
  return shifts_mm.squaredNorm() + (shifts_mm.tail(legs) - shifts_mm.head(legs)).squaredNorm();
}

/// The search's unknowns: forward shifts first, then those to the left.
double& shift_of(GuideShifts& shifts, Index unknown) {
  const Index guides = shifts.forward_mm.size();
  return unknown < guides ? shifts.forward_mm[unknown] : shifts.left_mm[unknown - guides];
}
double shift_of(const GuideShifts& shifts, Index unknown) {
  const Index guides = shifts.forward_mm.size();
  return unknown < guides ? shifts.forward_mm[unknown] : shifts.left_mm[unknown - guides];
}

class Seeker {
 public:
  Seeker(Specimen& specimen, int cable, const full::State& rest, const FollowerSearch& search, full::Workspace& work)
      : specimen_(specimen), cable_(cable), rest_(rest), search_(search), work_(work) {
    guides_ = static_cast<Index>(path().guides.size());
    unknowns_ = search.sideways ? 2 * guides_ : guides_;
    departures_ = Eigen::MatrixXd::Identity(unknowns_, unknowns_);
    may_move_.resize(unknowns_);
    for (Index i = 0; i < unknowns_; ++i) {
      may_move_[i] = path().stated[at_index(i % guides_)] != 0 ? 0.0 : 1.0;
      if ((i + 1) % guides_ == 0) continue;
      departures_(i, i) += 1.0;
      departures_(i + 1, i + 1) += 1.0;
      departures_(i, i + 1) -= 1.0;
      departures_(i + 1, i) -= 1.0;
    }
  }

  FollowerTry run(FollowerTry now) {
    double damping = kDamping_deg_per_mm;
    const bool pulled = search_.pull_deg_per_mm > 0.0;
    const double least_damping = pulled ? kLeastDamping_deg_per_mm : kDamping_deg_per_mm;
    for (int round = 0; round < search_.most_rounds; ++round) {
      if (!pulled && largest_left_deg(now, search_) <= kStillEnough_deg) break;
      const double most = cost_of(now, search_) * (pulled ? 1.0 - kLeastGain : 1.0);
      const Eigen::MatrixXd slope = slope_at(now);
      bool better = false;
      for (int attempt = 0; attempt < kMostAttempts && !better; ++attempt, damping *= 4.0) {
        FollowerTry there = at(stepped(now, slope, damping), now);
        better = there.neck.found && cost_of(there, search_) < most;
        if (better) now = std::move(there);
      }
      if (!better) break;
      damping = std::max(least_damping, damping / 16.0);
    }
    return now;
  }

 private:
  const mesh::FollowerPath& path() const { return specimen_.mesh.program.follower; }

  FollowerTry at(const GuideShifts& shifts, const FollowerTry& from) {
    return try_path(specimen_, cable_, shifts, rest_, from.neck.state, work_);
  }

  double least_mm(Index unknown) const { return unknown < guides_ ? -search_.most_behind_mm[unknown] : -kMostSideways_mm; }
  double most_mm(Index unknown) const { return unknown < guides_ ? search_.most_forward_mm[unknown] : kMostSideways_mm; }

  Eigen::MatrixXd slope_at(const FollowerTry& now) {
    const Eigen::VectorXd here = left_over_deg(now, search_);
    Eigen::MatrixXd slope = Eigen::MatrixXd::Zero(here.size(), unknowns_);
    for (Index i = 0; i < unknowns_; ++i) {
      if (path().stated[at_index(i % guides_)] != 0) continue;
      const auto probed = [&](double by_mm) {
        GuideShifts probe = now.shifts;
        shift_of(probe, i) += by_mm;
        return at(probe, now);
      };
      const FollowerTry there = probed(kProbe_mm);
      if (!there.neck.found) continue;
      if (!search_.whole_turns) {
        slope.col(i) = (left_over_deg(there, search_) - here) / kProbe_mm;
        continue;
      }
      // Both ways, for the mirror image of a neck must be sought the mirrored way.
      const FollowerTry back = probed(-kProbe_mm);
      if (back.neck.found) slope.col(i) = (left_over_deg(there, search_) - left_over_deg(back, search_)) / (2.0 * kProbe_mm);
    }
    return slope;
  }

  /// moving: 1 for each unknown that may, whose column of the slope is its own; 0 for others, whose column is zero.
  Eigen::VectorXd step_of(const FollowerTry& now, const Eigen::MatrixXd& slope, const Eigen::VectorXd& moving,
                          double damping) const {
    Eigen::VectorXd shifts(unknowns_);
    for (Index i = 0; i < unknowns_; ++i) shifts[i] = shift_of(now.shifts, i);
    Eigen::MatrixXd pull = search_.pull_deg_per_mm * search_.pull_deg_per_mm * departures_;
    const Eigen::VectorXd back = moving.cwiseProduct(pull * shifts);
    pull = moving.asDiagonal() * pull * moving.asDiagonal();
    Eigen::MatrixXd normal = slope.transpose() * slope + pull;
    normal.diagonal().array() += damping * damping;
    return normal.ldlt().solve(-slope.transpose() * left_over_deg(now, search_) - back);
  }

  GuideShifts stepped(const FollowerTry& now, Eigen::MatrixXd slope, double damping) const {
    Eigen::VectorXd moving = may_move_;
    Eigen::VectorXd step = step_of(now, slope, moving, damping);
    GuideShifts next = now.shifts;
    // A guide at its bound that would go beyond leaves it to the others.
    for (bool settled = !search_.whole_turns; !settled;) {
      settled = true;
      for (Index i = 0; i < unknowns_; ++i) {
        const double shift_mm = shift_of(next, i);
        const bool stuck = step[i] > 0.0 ? shift_mm >= most_mm(i) : shift_mm <= least_mm(i);
        if (!stuck || moving[i] == 0.0 || step[i] == 0.0) continue;
        slope.col(i).setZero();
        moving[i] = 0.0;
        settled = false;
      }
      if (!settled) step = step_of(now, slope, moving, damping);
    }
    const double longest = step.cwiseAbs().maxCoeff();
    if (longest > kMostStep_mm) step *= kMostStep_mm / longest;
    for (Index i = 0; i < unknowns_; ++i)
      shift_of(next, i) = std::clamp(shift_of(next, i) + step[i], least_mm(i), most_mm(i));
    return next;
  }

  Specimen& specimen_;
  int cable_;
  const full::State& rest_;
  const FollowerSearch& search_;
  full::Workspace& work_;
  Index guides_ = 0;
  Index unknowns_ = 0;
  Eigen::MatrixXd departures_{};  ///< their form in the shifts
  Eigen::VectorXd may_move_{};    ///< 0 for guides that are stated
};

}  // namespace

double cost_of(const FollowerTry& tried, const FollowerSearch& search) {
  const double departure_mm2 = departure(tried.shifts.forward_mm) + departure(tried.shifts.left_mm);
  return left_over_deg(tried, search).squaredNorm() + search.pull_deg_per_mm * search.pull_deg_per_mm * departure_mm2;
}

mesh::ScalarLaw constant_pull(double force_N) {
  mesh::Polygon law;
  law.count = 1;
  law.value[0] = force_N;
  return law;
}

double FollowerTry::largest_flexion_deg() const {
  return turned_rad.cols() > 0 ? models::to_deg(turned_rad.row(1).cwiseAbs().maxCoeff()) : 0.0;
}
double FollowerTry::largest_turn_deg() const {
  return turned_rad.cols() > 0 ? models::to_deg(turned_rad.colwise().norm().maxCoeff()) : 0.0;
}
double FollowerTry::largest_aside_deg() const {
  double most_rad = 0.0;
  for (Index i = 0; i < turned_rad.cols(); ++i)
    most_rad = std::max(most_rad, std::hypot(turned_rad(0, i), turned_rad(2, i)));
  return models::to_deg(most_rad);
}

void place_cable(Specimen& specimen, int cable, const GuideShifts& shifts) {
  const mesh::FollowerPath& path = specimen.mesh.program.follower;
  mesh::Strand& strand = specimen.model.system.strands[at_index(cable)];
  for (std::size_t i = 0; i < path.guides.size(); ++i) {
    const auto at = static_cast<Index>(i);
    strand.path[i].point_mm = path.guides[i].point_mm + shifts.forward_mm[at] * path.anterior[i];
    if (shifts.left_mm[at] != 0.0) strand.path[i].point_mm += shifts.left_mm[at] * leftward(path.anterior[i]);
  }
  specimen.mesh.system.strands[at_index(cable)].path = strand.path;
  specimen.model.strands[at_index(cable)] = full::strand_geometry(specimen.model.system, cable);
}

void pull_cable(Specimen& specimen, int cable, double force_N) {
  specimen.model.laws[at_index(cable)].law = constant_pull(force_N);  // strands come first among the laws
  specimen.mesh.system.strands[at_index(cable)].law = constant_pull(force_N);
  specimen.model.system.strands[at_index(cable)].law = constant_pull(force_N);
}

FollowerTry try_path(Specimen& specimen, int cable, const GuideShifts& shifts, const full::State& rest,
                     const full::State& from, full::Workspace& work) {
  place_cable(specimen, cable, shifts);
  FollowerTry out{.shifts = shifts, .neck = {.state = from}};
  out.neck.outcome = full::solve(specimen.model, {}, 0.0, {}, work, out.neck.state);
  out.neck.found = static_cast<bool>(out.neck.outcome) && out.neck.outcome.positive && out.neck.outcome.caps_settled &&
                   !out.neck.state.poses.empty();
  if (out.neck.found) out.turned_rad = turns(specimen, rest.poses, out.neck.state.poses);
  return out;
}

FollowerTry seek_path(Specimen& specimen, int cable, const full::State& rest, FollowerTry now, const FollowerSearch& search,
                      full::Workspace& work) {
  return Seeker(specimen, cable, rest, search, work).run(std::move(now));
}

GuideShifts straight_path(const mesh::FollowerPath& path, double forward_mm, const FollowerSearch& search) {
  const std::size_t last = path.guides.size() - 1;
  GuideShifts out = GuideShifts::none(static_cast<Index>(path.guides.size()));
  const auto end = [&](std::size_t i) -> mesh::Vector3 {
    return path.guides[i].point_mm + (path.stated[i] != 0 ? 0.0 : forward_mm) * path.anterior[i];
  };
  const mesh::Vector3 down = end(last) - end(0);
  for (std::size_t i = 0; i <= last; ++i) {
    if (path.stated[i] != 0) continue;
    // In the midplane: (start + shift anterior - end 0) x down = 0.
    const double across = path.anterior[i].cross(down).y();
    const bool between = i > 0 && i < last && std::abs(across) > kAcross * down.norm();
    const double shift_mm = between ? -(path.guides[i].point_mm - end(0)).cross(down).y() / across : forward_mm;
    const auto at = static_cast<Index>(i);
    out.forward_mm[at] = std::clamp(shift_mm, -search.most_behind_mm[at], search.most_forward_mm[at]);
  }
  return out;
}

}  // namespace opisthion::study
