// SPDX-License-Identifier: MIT
#include "solver/study/full/full_verdict.hpp"

#include "solver/study/figure.hpp"

namespace opisthion::study {
namespace {

constexpr double kAtAll = 0.005;       // rounds to no per cent
constexpr double kWhole = 1.0 - 1e-9;  // a load fraction of one, but for rounding

}  // namespace

Verdict judge_full(const Evidence& e) {
  if (!e.converged && e.load_fraction >= kWhole)
    return {.status = Status::no_answer,
            .causes = {{.what = "no neutral found: a small load or its opposite has no equilibrium",
                        .figure = std::to_string(e.iterations) + " iterations"}}};
  if (!e.converged)
    return {.status = Status::no_answer,
            .causes = {{.what = "no equilibrium found beyond " + figure(100.0 * e.load_fraction, 0) + " % of the load",
                        .figure = std::to_string(e.iterations) + " iterations, residual " + small_number(e.residual)}}};
  if (e.escapes) {
    const std::string where = e.load_fraction >= kWhole  ? std::string()
                              : e.load_fraction < kAtAll ? std::string(" at all")
                                                         : " beyond " + figure(100.0 * e.load_fraction, 0) + " % of it";
    return {.status = Status::mechanism,
            .causes = {{.what = "nothing holds this load" + where, .figure = e.escape.empty() ? "it runs away" : e.escape}}};
  }
  if (!e.beyond.empty())
    return {.status = Status::mechanism,
            .causes = {{.what = "nothing holds this load within anatomy",
                        .figure = (e.escape.empty() ? "" : e.escape + "; ") + e.beyond.front().what + ", " +
                                  e.beyond.front().figure}}};
  Verdict out{.status = Status::solved, .causes = {}};
  const auto because = [&out](const std::string& what, const std::string& shown_by) {
    out.status = Status::approximate;
    out.causes.push_back({.what = what, .figure = shown_by});
  };
  for (const Cause& snap : e.small_snaps)
    out.causes.push_back(
        {.what = "a short snap on the way" + (snap.what.empty() ? "" : ": " + snap.what), .figure = snap.figure});
  const std::string holds = e.regularised_mode.empty() ? "" : " (it holds: " + e.regularised_mode + ")";
  for (const Cause& cause : e.rest_beyond) because("at rest already " + cause.what, cause.figure);
  if (!e.aside.empty()) because("the neck leaves the plane of its load", e.aside);
  for (const Cause& snap : e.snaps)
    because("the neck snaps through at a part of the load" + (snap.what.empty() ? "" : ": " + snap.what), snap.figure);
  if (e.regularisation_share >= kMostRegularisationShare)
    because("regularisation carries 1 % of the work or more" + holds, figure(100.0 * e.regularisation_share, 1) + " %");
  if (!e.loose_graft.empty()) because("nothing holds a graft in its bed", e.loose_graft);
  if (!e.loose_dens.empty()) because("nothing holds the broken dens in its place", e.loose_dens);
  if (e.from_rest)
    because("motion counts from rest, for there is no neutral", "a small opposite load makes a body run away");
  if (!e.floats.empty()) because("nothing holds a body that the load does no work on: it floats", e.floats);
  if (!e.caps_settled) because("friction does not settle with the forces that it feeds on", "its caps still change");
  if (!e.stands) because("the equilibrium found is unstable", "its tangent is not that of a minimum");
  if (!e.steps.empty()) because("friction lets go on the way, and finer steps give another figure", e.steps);
  if (!e.moved_figure.empty()) because("a printed figure moves at a tenth of the regularisation" + holds, e.moved_figure);
  return out;
}

}  // namespace opisthion::study
