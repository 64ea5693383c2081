// SPDX-License-Identifier: MIT
#include "solver/study/verdict.hpp"

#include "solver/study/figure.hpp"

namespace opisthion::study {
namespace {

int badness(Status status) {
  switch (status) {
    case Status::solved:
      return 0;
    case Status::approximate:
      return 1;
    case Status::mechanism:
      return 2;
    case Status::no_answer:
      return 3;
  }
  return 3;
}

}  // namespace

std::string_view name(Status status) {
  switch (status) {
    case Status::solved:
      return "solved";
    case Status::approximate:
      return "approximate";
    case Status::mechanism:
      return "mechanism";
    case Status::no_answer:
      return "no answer";
  }
  return "no answer";
}

bool worse(Status a, Status b) {
  return badness(a) > badness(b);
}

std::string Verdict::reason() const {
  std::string out;
  for (const Cause& cause : causes) out += (out.empty() ? "" : "; ") + cause.what + ": " + cause.figure;
  return out;
}

Verdict judge_load(const Evidence& e) {
  if (!e.converged)
    return {.status = Status::no_answer,
            .causes = {{.what = "no equilibrium found",
                        .figure = std::to_string(e.iterations) + " iterations, residual " + small_number(e.residual)}}};
  if (e.escapes)
    return {.status = Status::mechanism,
            .causes = {{.what = "nothing holds this load", .figure = e.escape.empty() ? "it runs away" : e.escape}}};
  // Past its physical end a joint has come apart, unless ligaments were tightening: their true lengths would have stopped it
  // earlier, which small displacement cannot see.
  if (!e.beyond.empty() && e.strand_share <= kMostStrandShare)
    return {.status = Status::mechanism,
            .causes = {{.what = "nothing holds this load within anatomy",
                        .figure = (e.escape.empty() ? "" : e.escape + "; ") + e.beyond.front().what + ", " +
                                  e.beyond.front().figure}}};
  Verdict out{.status = Status::solved, .causes = {}};
  const auto because = [&out](const std::string& what, const std::string& shown_by) {
    out.status = Status::approximate;
    out.causes.push_back({.what = what, .figure = shown_by});
  };
  const std::string holds = e.regularised_mode.empty() ? "" : " (it holds: " + e.regularised_mode + ")";
  if (e.joint_rotation_deg > kMostSmallRotation_deg)
    because(e.joint + " turns more than " + figure(kMostSmallRotation_deg, 0) + " deg, where small displacement misleads",
            figure(e.joint_rotation_deg, 1) + " deg");
  if (e.joint_slide_mm > kMostSmallSlide_mm)
    because(
        e.sliding_joint + " slides more than " + figure(kMostSmallSlide_mm, 0) + " mm, where small displacement misleads",
        figure(e.joint_slide_mm, 1) + " mm");
  for (const Cause& cause : e.beyond) because(cause.what, cause.figure);
  if (e.strand_share > kMostStrandShare)
    because("ligaments hold more than a third of the strain energy", figure(100.0 * e.strand_share, 0) + " %");
  if (e.regularisation_share >= kMostRegularisationShare)
    because("regularisation carries 1 % of the work or more" + holds, figure(100.0 * e.regularisation_share, 1) + " %");
  if (!e.rest.empty()) because("assembly alone moves a joint further than small displacement may", e.rest);
  for (const Cause& cause : e.rest_beyond) because("at rest " + cause.what, cause.figure);
  if (!e.drifts.empty()) because("a part lies free within its play, where only regularisation places it", e.drifts);
  if (!e.loose_graft.empty()) because("nothing holds a graft in its bed", e.loose_graft);
  if (!e.slipping.empty())
    because("friction slides, for which a saturating spring stands in: no slip is stored", e.slipping);
  if (!e.caps_settled) because("friction does not settle with the forces that it feeds on", small_number(e.cap_change));
  if (!e.buckles.empty())
    because(
        "the forces of assembly buckle what they hold, where small displacement cannot follow: their geometric stiffness is "
        "left out",
        e.buckles);
  if (!e.moved_figure.empty()) because("a printed figure moves at a tenth of the regularisation" + holds, e.moved_figure);
  return out;
}

ConstructVerdict judge_construct(const std::vector<std::pair<std::string, Verdict>>& loads) {
  if (loads.empty()) return {.status = Status::no_answer, .reason = "no load was run"};
  ConstructVerdict out{.status = Status::solved, .reason = {}};
  for (const auto& [load, verdict] : loads)
    if (worse(verdict.status, out.status)) out.status = verdict.status;
  if (out.status == Status::solved) {
    out.reason = "every load held, every rotation small";
    return out;
  }
  std::vector<std::pair<std::string, std::string>> told;  // cause, loads with their figures
  for (const auto& [load, verdict] : loads) {
    if (verdict.status != out.status) continue;
    for (const Cause& cause : verdict.causes) {
      auto same = told.begin();
      while (same != told.end() && same->first != cause.what) ++same;
      const std::string shown = load + " (" + cause.figure + ")";
      if (same == told.end())
        told.emplace_back(cause.what, shown);
      else
        same->second += ", " + shown;
    }
  }
  for (const auto& [what, shown] : told) out.reason += (out.reason.empty() ? "" : "; ") + what + ": " + shown;
  return out;
}

}  // namespace opisthion::study
