// SPDX-License-Identifier: MIT
#pragma once
// The one Newton loop behind the dense and the sparse solver. Backend:
//   int dofs(); const double* force0(); const Eigen::VectorXd& assembled();   the last empty without assembly
//   const std::vector<Functional>& functionals(); const std::vector<double>& dof_scale();
//   const std::vector<Tightened>& tightened();
//   void multiply(const Eigen::VectorXd& q, Eigen::VectorXd& out);            linear parts with regularisation
//   double gross(const Eigen::VectorXd& q);        scaled norm of sum |K_ij| |q_j|: what rounding acts on
//   bool factor(const std::vector<double>& law_stiffness);                    false: singular
//   void solve(const Eigen::VectorXd& right, Eigen::VectorXd& out); double regularisation_energy(const Eigen::VectorXd& q);
#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <utility>

#include "solver/core/equilibrium.hpp"
#include "solver/core/response.hpp"

namespace opisthion::core {

/// target += factor * row.
inline void add_row(const Functional& f, double factor, Eigen::VectorXd& target) {
  for (std::size_t b = 0; b < static_cast<std::size_t>(f.blocks); ++b) {
    const double* const row = f.row[b].data();
    double* const part = target.data() + f.first_dof[b];
    for (int k = 0; k < 6; ++k) part[k] += factor * row[k];
  }
}

/// Norm with moments divided by 20 mm [N].
inline double scaled_norm(const Eigen::VectorXd& force, const std::vector<double>& dof_scale) {
  double sum = 0.0;
  for (std::size_t i = 0; i < dof_scale.size(); ++i) {
    const double part = force.data()[i] / dof_scale[i];
    sum += part * part;
  }
  return std::sqrt(sum);
}

/// Pivots as a share of the diagonal entry: below this nothing but rounding is left (n * 1e-16 with n of some hundreds).
inline constexpr double kSingularPivot = 1e-14;

inline constexpr double kFar = 4.0;     ///< steps; whoever is still going down there is asked for all its kinks
inline constexpr double kFlat = 1e-14;  ///< of the slope at the interval's start: the derivative's own rounding

/// Energy along q + t step; its derivative grows with t because every law is monotone.
class LineSearch {
 public:
  LineSearch(const std::vector<Functional>& laws, EquilibriumWorkspace& work, double linear_slope, double linear_curvature)
      : laws_(laws), work_(work), linear_slope_(linear_slope), linear_curvature_(linear_curvature) {}

  struct Result {
    double t = 0.0;
    bool found = false;
    bool full_step = false;  ///< Newton's own step, all laws on their pieces: exact
  };

  /// Walks the kinks in order: by bisection over the sorted kinks, so that no sum of slope changes gathers rounding, then
  /// within the interval where the derivative changes sign. Looks only as far ahead as it is still downhill, because the
  /// laws that bend until there are few.
  Result run() {
    gather(1.0);
    if (work_.bending.empty()) return {1.0, true, true};
    double limit = 1.0;
    while (!std::isinf(limit) && slope_at(limit).value < 0.0) {
      limit = limit < kFar ? 2.0 * limit : std::numeric_limits<double>::infinity();
      gather(limit);
    }
    std::sort(work_.events.begin(), work_.events.end(),
              [](const auto& a, const auto& b) { return a.t != b.t ? a.t < b.t : a.functional < b.functional; });
    std::size_t low = 0;
    std::size_t high = work_.events.size();
    while (low < high) {
      const std::size_t middle = low + (high - low) / 2;
      if (slope_at(work_.events[middle].t).value < 0.0)
        low = middle + 1;
      else
        high = middle;
    }
    const double from = low == 0 ? 0.0 : work_.events[low - 1].t;
    const double to = low < work_.events.size() ? work_.events[low].t : limit;
    return within(from, to);
  }

 private:
  /// Splits the laws into those that are one straight line up to `limit`, summed here once, and those that bend.
  void gather(double limit) {
    work_.events.clear();
    work_.bending.clear();
    slope_ = linear_slope_;
    curvature_ = linear_curvature_;
    for (std::size_t j = 0; j < laws_.size(); ++j) {
      const double rate = work_.rate[j];
      if (rate == 0.0) continue;
      const double start = work_.elongation[j];
      const double end = start + limit * rate;
      const Segment& here = work_.segment[j];
      const bool leaves_below = rate < 0.0 && start == here.from;
      const Segment ahead = leaves_below ? segment_below(laws_[j].law, start) : here;
      if (ahead.bend == 0.0 && end >= ahead.from && end <= ahead.to) {
        slope_ += here.force_at(start) * rate;
        curvature_ += ahead.slope * rate * rate;
        continue;
      }
      work_.bending.push_back(static_cast<int>(j));
      std::array<double, kMostKinks> at{};
      const int count = kinks(laws_[j].law, at);
      for (int i = 0; i < count; ++i) {
        const double t = (at[static_cast<std::size_t>(i)] - start) / rate;
        if (t > 0.0 && t <= limit) work_.events.push_back({t, static_cast<int>(j)});
      }
    }
  }

  struct Slope {
    double value = 0.0;
    double rate = 0.0;
  };
  Slope slope_at(double t) const {
    Slope sum{slope_ + t * curvature_, curvature_};
    for (const int law : work_.bending) {
      const auto j = static_cast<std::size_t>(law);
      const double e = work_.elongation[j] + t * work_.rate[j];
      const Segment segment = work_.segment[j].holds(e) ? work_.segment[j] : segment_at(laws_[j].law, e);
      sum.value += segment.force_at(e) * work_.rate[j];
      sum.rate += segment.stiffness_at(e) * work_.rate[j] * work_.rate[j];
    }
    return sum;
  }

  /// No kink inside (from, to): straight, or quadratic where a toe bends. Newton, kept inside the bracket by bisection.
  Result within(double from, double to) const {
    const bool open = std::isinf(to);
    const double inside = open ? 2.0 * from + 1.0 : 0.5 * (from + to);
    const double at_from = slope_at(from).value;
    if (at_from >= 0.0) return {from, from > 0.0, false};
    const double rate = slope_at(inside).rate;
    if (!(rate > 0.0)) return {to, !open, false};
    double t = from - at_from / rate;
    if (!open) t = std::min(t, to);
    double low = from;
    double high = to;
    for (int i = 0; i < 60; ++i) {
      const auto [value, curvature] = slope_at(t);
      if (std::abs(value) <= kFlat * std::abs(at_from)) break;
      (value < 0.0 ? low : high) = t;
      double next = curvature > 0.0 ? t - value / curvature : std::numeric_limits<double>::quiet_NaN();
      if (!(next > low && next < high)) next = std::isinf(high) ? t : 0.5 * (low + high);
      if (std::abs(next - t) <= 1e-15 * t) break;
      t = next;
    }
    return {t, true, false};
  }

  const std::vector<Functional>& laws_;
  EquilibriumWorkspace& work_;
  double linear_slope_, linear_curvature_;
  double slope_ = 0.0;      ///< of everything straight, at the step's start
  double curvature_ = 0.0;  ///< of everything straight
};

template <typename Backend>
class Newton {
 public:
  Newton(Backend& backend, const Eigen::VectorXd& load, const EquilibriumOptions& options, EquilibriumWorkspace& work)
      : backend_(backend), load_(load), options_(options), work_(work), laws_(backend.functionals()) {
    const Eigen::Index n = backend.dofs();
    work_.residual.resize(n);
    work_.step.resize(n);
    work_.scaled.resize(n);
    work_.internal.resize(n);
    work_.elongation.resize(laws_.size());
    work_.rate.resize(laws_.size());
    work_.segment.assign(laws_.size(), Segment{});
    work_.closed.assign(laws_.size(), -1.0);  // no law has this stiffness: nothing is factored yet
    work_.events.reserve(laws_.size() * kMostKinks);
    work_.bending.reserve(laws_.size());
    measure_ = std::max(scaled_norm(load, backend.dof_scale()), 1e-3);
    for (const Tightened& t : backend.tightened()) measure_ = std::max(measure_, t.force_N);
    // What is strained in the reference pose already (a spacer, a held reduction) is rounded at its own size.
    for (const Functional& law : laws_)
      if (const double force = std::abs(segment_at(law.law, 0.0).force_at(0.0)); force > measure_) measure_ = force;
  }

  EquilibriumOutcome run(Eigen::VectorXd& q) {
    EquilibriumOutcome outcome;
    if (q.size() == 0) {
      outcome.status = SolveStatus::converged;
      return outcome;
    }
    bool exact = false;
    bool done = false;
    for (;;) {
      evaluate(q);
      done = small_enough(q, exact);
      if (done || outcome.iterations >= options_.max_iterations) break;
      ++outcome.iterations;
      if (!factor()) {
        outcome.status = SolveStatus::singular;
        finish(q, outcome);
        return outcome;
      }
      backend_.solve(work_.residual, work_.step);
      work_.step = -work_.step;
      if (!advance(q, exact, outcome)) break;
    }
    if (outcome.status == SolveStatus::singular) {
      finish(q, outcome);
      return outcome;
    }
    outcome.status = done ? SolveStatus::converged : SolveStatus::iteration_limit;
    if (done && !canonical(q)) outcome.status = SolveStatus::singular;
    finish(q, outcome);
    return outcome;
  }

 private:
  /// Elongations, pieces and residual at q.
  void evaluate(const Eigen::VectorXd& q) {
    backend_.multiply(q, work_.internal);
    for (Eigen::Index i = 0; i < q.size(); ++i) work_.internal[i] += backend_.force0()[i] - load_[i];
    work_.residual = work_.internal;
    for (std::size_t j = 0; j < laws_.size(); ++j) {
      const double e = laws_[j].at(q);
      work_.elongation[j] = e;
      if (!work_.segment[j].holds(e)) work_.segment[j] = segment_at(laws_[j].law, e);
      const double force = work_.segment[j].force_at(e);
      if (force != 0.0) add_row(laws_[j], force, work_.residual);
    }
    residual_norm_ = scaled_norm(work_.residual, backend_.dof_scale());
  }

  /// By the tolerance, or after an exact step by the rounding of the terms that the residual sums.
  bool small_enough(const Eigen::VectorXd& q, bool exact) {
    if (residual_norm_ <= options_.residual_tolerance * measure_) return true;
    if (!exact) return false;
    double gross = backend_.gross(q) + measure_;
    for (std::size_t j = 0; j < laws_.size(); ++j) {
      double norm = 0.0;
      for (int b = 0; b < laws_[j].blocks; ++b) norm += laws_[j].row[static_cast<std::size_t>(b)].template head<3>().norm();
      gross += std::abs(work_.segment[j].force_at(work_.elongation[j])) * std::max(norm, 1.0 / kRotationScale_mm);
    }
    return residual_norm_ <= 16.0 * std::numeric_limits<double>::epsilon() * gross;
  }

  /// Only when a law has changed its stiffness since the last time.
  bool factor() {
    bool changed = laws_.empty() && !factored_;
    for (std::size_t j = 0; j < laws_.size(); ++j) {
      const double k = work_.segment[j].stiffness_at(work_.elongation[j]);
      changed = changed || k != work_.closed[j];
      work_.closed[j] = k;
    }
    if (changed) factored_ = backend_.factor(work_.closed);
    return factored_;
  }

  bool advance(Eigen::VectorXd& q, bool& exact, EquilibriumOutcome& outcome) {
    backend_.multiply(work_.step, work_.scaled);
    const double curvature = work_.step.dot(work_.scaled);
    for (std::size_t j = 0; j < laws_.size(); ++j) work_.rate[j] = laws_[j].at(work_.step);
    LineSearch search(laws_, work_, work_.internal.dot(work_.step), curvature);
    const auto result = search.run();
    if (!result.found) {
      // Downhill without end: nothing holds this motion. At rounding there is no downhill left either.
      if (std::isinf(result.t)) outcome.status = SolveStatus::singular;
      if (exact) return false;
      exact = true;
      return !std::isinf(result.t);
    }
    q += result.t * work_.step;
    exact = result.full_step || std::abs(result.t - 1.0) < 1e-6;
    return true;
  }

  /// q from scratch on the pieces that the laws are on, then one refinement: the same bits whatever the path was. Kept only
  /// if it is as good as what it replaces.
  bool canonical(Eigen::VectorXd& q) {
    if (!factor()) return false;
    for (Eigen::Index i = 0; i < q.size(); ++i) work_.scaled[i] = load_[i] - backend_.force0()[i];
    for (std::size_t j = 0; j < laws_.size(); ++j) {
      const double offset = piece_at(work_.segment[j], work_.elongation[j]).offset;
      if (offset != 0.0) add_row(laws_[j], -offset, work_.scaled);
    }
    const double before = residual_norm_;
    backend_.solve(work_.scaled, work_.step);
    for (Eigen::Index i = 0; i < q.size(); ++i) std::swap(work_.step[i], q[i]);  // step keeps what q was
    evaluate(q);
    backend_.solve(work_.residual, work_.scaled);
    q -= work_.scaled;
    evaluate(q);
    if (residual_norm_ > std::max(10.0 * before, options_.residual_tolerance * measure_)) {
      q = work_.step;
      evaluate(q);
    }
    return true;
  }

  void finish(const Eigen::VectorXd& q, EquilibriumOutcome& outcome) {
    outcome.residual = residual_norm_ / measure_;
    if (backend_.assembled().size() > 0) {
      finish_from_assembly(q, outcome);
      return;
    }
    backend_.multiply(q, work_.scaled);
    double strands = 0.0;
    double laws = 0.0;
    for (std::size_t j = 0; j < laws_.size(); ++j) {
      const double energy = respond(laws_[j].law, work_.elongation[j]).energy;
      laws += energy;
      if (laws_[j].strand) strands += energy;
    }
    double linear = 0.5 * q.dot(work_.scaled);
    for (Eigen::Index i = 0; i < q.size(); ++i) linear += backend_.force0()[i] * q[i];
    outcome.energy_Nmm = linear + laws;
    if (outcome.energy_Nmm <= 0.0) return;
    outcome.regularisation_share = backend_.regularisation_energy(q) / outcome.energy_Nmm;
    outcome.strand_share = strands / outcome.energy_Nmm;
  }

  /// What was stored since assembly: the energy without its value and slope there, so that tension made fast counts for
  /// what the load adds to it.
  void finish_from_assembly(const Eigen::VectorXd& q, EquilibriumOutcome& outcome) {
    work_.step = q - backend_.assembled();
    backend_.multiply(work_.step, work_.scaled);
    double energy = 0.5 * work_.step.dot(work_.scaled);
    double strands = 0.0;
    for (std::size_t j = 0; j < laws_.size(); ++j) {
      const double e = laws_[j].at(backend_.assembled());
      const Response before = respond(laws_[j].law, e);
      const double stored =
          respond(laws_[j].law, work_.elongation[j]).energy - before.energy - before.force * (work_.elongation[j] - e);
      energy += stored;
      if (laws_[j].strand) strands += stored;
    }
    outcome.energy_Nmm = energy;
    if (energy <= 0.0) return;
    outcome.regularisation_share = backend_.regularisation_energy(work_.step) / energy;
    outcome.strand_share = strands / energy;
  }

  Backend& backend_;
  const Eigen::VectorXd& load_;
  const EquilibriumOptions& options_;
  EquilibriumWorkspace& work_;
  const std::vector<Functional>& laws_;
  double measure_ = 1.0;
  double residual_norm_ = 0.0;
  bool factored_ = false;
};

}  // namespace opisthion::core
