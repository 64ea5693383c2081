// SPDX-License-Identifier: MIT
#include "solver/results/json_parts.hpp"

#include <cmath>

#include "models/case/axial_line.hpp"
#include "models/quantity/units.hpp"

namespace opisthion::results {
namespace {

Json top_force_json(const models::TopForce& force) {
  return {{"force_N", number(force.force_N)},
          {"line", models::title(force.line)},
          {"forward_mm", number(force.forward_mm)},
          {"above_mm", number(force.above_mm)}};
}

/// What a bench does beyond plain moments and forces, each only where it does it.
void put_further(Json& out, const models::Bench& bench) {
  if (bench.moment_kind != models::MomentKind::conservative) out["moment_kind"] = moment_kind_word(bench.moment_kind);
  if (bench.cycles > 1) out["cycles"] = bench.cycles;
  if (bench.hybrid) out["hybrid"] = true;
  if (bench.follower) {
    Json guides = Json::array();
    for (const models::FollowerGuide& guide : bench.follower->guides)
      guides.push_back({{"level", models::name(guide.level)}, {"forward_mm", number(guide.forward_mm)}});
    out["follower"] = {{"force_N", number(bench.follower->force_N)}, {"stated_guides", std::move(guides)}};
  }
  if (bench.dead_weight) out["dead_weight"] = top_force_json(*bench.dead_weight);
  if (bench.traction) out["traction"] = top_force_json(*bench.traction);
  if (!bench.combined.empty()) {
    Json loads = Json::array();
    for (const models::CombinedLoad& load : bench.combined) {
      Json parts = Json::object();
      for (const models::CombinedPart& part : load.parts) parts[std::string(models::name(part.motion))] = number(part.share);
      loads.push_back({{"name", load.name}, {"share_of_moment", std::move(parts)}});
    }
    out["combined"] = std::move(loads);
  }
  if (!bench.sequence.empty()) out["sequence"] = bench.sequence;
}

}  // namespace

std::string_view moment_kind_word(models::MomentKind kind) {
  switch (kind) {
    case models::MomentKind::conservative:
      return "conservative";
    case models::MomentKind::fixed_axis:
      return "fixed_axis";
    case models::MomentKind::head_following:
      return "head_following";
  }
  return "";
}

Json number(double value) {
  if (!std::isfinite(value)) return nullptr;
  return value == 0.0 ? 0.0 : value;
}

Json number(const std::optional<double>& value) {
  return value ? number(*value) : Json(nullptr);
}

Json numbers(const std::array<double, 3>& values, bool shown) {
  Json out = Json::array();
  for (const double value : values) out.push_back(shown ? number(value) : Json(nullptr));
  return out;
}

Json stiffness(double value) {
  return value == 0.0 ? Json(nullptr) : number(value);
}

Json measures_json(const study::Measures& measures, bool shown) {
  const auto one = [shown](const std::optional<double>& value) { return shown ? number(value) : Json(nullptr); };
  return {{"atlas_dens_interval_mm", one(measures.atlas_dens_interval_mm)},
          {"cord_room_mm", one(measures.cord_room_mm)},
          {"c1_slip_mm", one(measures.c1_slip_mm)}};
}

Json solve_json(const study::SolveRecord& solve, bool full) {
  Json out{{"load_fraction", number(solve.load_fraction)},
           {"iterations", solve.iterations},
           {"residual", number(solve.residual)},
           {"regularisation_work_share", number(solve.regularisation_work_share)},
           {"strand_energy_share", number(solve.strand_energy_share)},
           {"discretisation_error", number(solve.discretisation_error)}};
  if (full) out["branches"] = solve.branches;
  return out;
}

Json bench_json(const models::Bench& bench) {
  Json out{{"top", bench.top ? Json(models::name(*bench.top)) : Json(nullptr)},
           {"bottom", models::name(bench.bottom)},
           {"moment_Nm", number(models::to_Nm(bench.moment_Nmm))},
           {"neutral", "middle of the response to +-0.1 N m about each motion's axis, to +-2 N along each force's line"},
           {"cardan_sequence", models::kCardanSequence},
           {"axes", "x anterior, y left, z superior"}};
  Json shear = Json::array();
  for (const models::ShearLoad& load : bench.shear)
    shear.push_back({{"level", models::name(load.level)}, {"force_N", number(load.force_N)}});
  Json axial = Json::array();
  for (const models::AxialLoad& load : bench.axial)
    axial.push_back(
        {{"level", models::name(load.level)}, {"force_N", number(load.force_N)}, {"line", models::title(load.line)}});
  Json heads = Json::array();
  for (const models::HeadLoad& load : bench.heads)
    heads.push_back({{"name", load.name},
                     {"anchor", load.anchor},
                     {"force_N", number(load.force_N)},
                     {"direction", {load.direction.x(), load.direction.y(), load.direction.z()}}});
  out["shear"] = std::move(shear);
  out["axial"] = std::move(axial);
  out["heads"] = std::move(heads);
  put_further(out, bench);
  return out;
}

Json assembly_json(const std::vector<study::TightenedItem>& items) {
  Json out = Json::array();
  for (const study::TightenedItem& item : items)
    out.push_back({{"name", item.name}, {"asked_N", number(item.asked_N)}, {"at_rest_N", number(item.at_rest_N)}});
  return out;
}

Json changes_json(const std::vector<models::ParameterChange>& changes) {
  Json out = Json::array();
  for (const models::ParameterChange& change : changes) out.push_back({{"number", change.id}, {"value", change.text}});
  return out;
}

std::string document_text(const Json& document) {
  return document.dump(2, ' ', false, nlohmann::json::error_handler_t::replace) + "\n";
}

}  // namespace opisthion::results
