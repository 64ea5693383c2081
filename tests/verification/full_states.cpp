// SPDX-License-Identifier: MIT
// Converged states in finite rotation, written for full_state.py, which judges them without this code: an intact neck at
// full rotation, screws, wires whose friction slides, one side only, a keel plate, the whole corotational model; every kind
// of moment; dead weight. And states that are in no balance at all, where every part is far from its reference pose. The
// folder is the one that the environment names (the tests' CMakeLists.txt sets it).
#include <catch2/catch.hpp>
#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <numbers>
#include <random>
#include <string>
#include <vector>

#include "mesh/build/build.hpp"
#include "solver/core/condense.hpp"
#include "solver/core/full/assembly.hpp"
#include "solver/core/full/workspace.hpp"
#include "solver/results/export_state.hpp"
#include "tests/support/example.hpp"

namespace {

using namespace opisthion;
namespace full = core::full;

struct Wanted {
  std::string name{};  ///< of the file
  std::string example{};
  std::string construct{};  ///< empty: the neck alone, uninjured
  std::string ties_of{};    ///< whose wires and grafts are put in as well: tightened before rods are locked
  std::string load_case = "flexion";
  full::MomentKind kind = full::MomentKind::conservative;
  double dead_weight_N = 0.0;
  double factor = 1.0;  ///< of the bench's moment
  bool whole = false;   ///< not condensed: every beam corotational
};

struct Solved {
  std::vector<mesh::Component> components{};
  full::Assembled assembled{};
  full::LoadPath load{};
  full::State state{};
};

const models::Construct& named(const models::Case& the_case, const std::string& name) {
  for (const models::Construct& construct : the_case.constructs)
    if (construct.name == name) return construct;
  FAIL("no construct " << name);
  return the_case.constructs.front();
}

models::Construct construct_of(models::Case& the_case, const std::string& name, const std::string& ties_of) {
  if (name.empty()) {
    the_case.neck.instabilities.clear();
    the_case.neck.joints.clear();
    the_case.neck.head_flexion_rad = 0.0;
    models::Construct none;
    none.name = "none";
    return none;
  }
  models::Construct out = named(the_case, name);
  if (!ties_of.empty()) {
    out.ties = named(the_case, ties_of).ties;
    out.grafts = named(the_case, ties_of).grafts;
  }
  return out;
}

/// Assembled, its load made but not put on.
Solved assemble(const Wanted& wanted) {
  models::Case the_case = tests::example(wanted.example);
  const models::Construct construct = construct_of(the_case, wanted.construct, wanted.ties_of);
  const auto mesh = mesh::build(the_case, construct, tests::library());
  REQUIRE(mesh);
  std::vector<core::CondensedComponent> parts;
  if (!wanted.whole)
    for (const mesh::Component& component : mesh->components)
      parts.push_back(core::condense(mesh->system, component, core::Recovery::leave_out).component);
  Solved out;
  if (!wanted.whole) out.components = mesh->components;
  out.assembled = full::assemble(mesh->system, mesh->components, parts);
  REQUIRE(out.assembled);
  const full::Poses& rest = out.assembled.state.poses;
  for (const mesh::LoadCase& load_case : mesh->program.cases) {
    if (load_case.id != wanted.load_case) continue;
    const mesh::BodyLoad& load = load_case.loads.front();
    out.load.growing.moments.push_back({.body = load.at.body,
                                        .moment_Nmm = load.moment_Nmm,
                                        .kind = wanted.kind,
                                        .zero_rotation = full::pose_of(rest, load.at.body).rotation});
    if (wanted.dead_weight_N > 0.0)  // of the head, somewhat in front of the loaded body's reference point
      out.load.constant.forces.push_back({.body = load.at.body,
                                          .arm_mm = full::Vector3(12.0, 3.0, 30.0),
                                          .force_N = full::Vector3(0.0, 0.0, -wanted.dead_weight_N)});
  }
  REQUIRE(out.load.growing.moments.size() == 1);
  out.state = out.assembled.state;
  return out;
}

Solved solve(const Wanted& wanted) {
  Solved out = assemble(wanted);
  const full::WorkspacePtr work = full::make_workspace(out.assembled.model);
  full::PathOptions options;
  options.to = wanted.factor;
  // The neck alone is slack, and its neutral is no start for a moment without a potential: by way of the one that has one.
  full::LoadPath way = out.load;
  if (wanted.construct.empty()) way.growing.moments.front().kind = full::MomentKind::conservative;
  const full::PathOutcome path = full::follow(out.assembled.model, way, out.assembled.state, options, *work);
  REQUIRE(path.end == full::PathEnd::reached);
  out.state = path.steps.back().state;
  if (wanted.construct.empty()) {
    REQUIRE(full::solve(out.assembled.model, out.load, wanted.factor, {}, *work, out.state));
    full::commit(out.assembled.model, out.state);
  }
  return out;
}

double turn_deg(const Solved& solved) {
  const full::Moment& moment = solved.load.growing.moments.front();
  const full::Matrix3 turned = full::pose_of(solved.state.poses, moment.body).rotation * moment.zero_rotation.transpose();
  return full::log_rotation(turned).norm() * 180.0 / std::numbers::pi;
}

void write(const Wanted& wanted, const Solved& solved, bool converged = true) {
  const char* folder = std::getenv("OPISTHION_FULL_STATES");
  if (folder == nullptr) return;  // by hand: solved, not written
  std::filesystem::create_directories(folder);
  results::export_full_state(std::string(folder) + "/" + wanted.name + ".json", {.name = wanted.name,
                                                                                 .model = solved.assembled.model,
                                                                                 .load = solved.load,
                                                                                 .factor = wanted.factor,
                                                                                 .state = solved.state,
                                                                                 .components = solved.components,
                                                                                 .converged = converged});
}

/// Kept bodies turned and shifted together, and each on its own; friction partly below and partly at its cap.
void scatter(Solved& solved, std::mt19937& random) {
  // Not std::uniform_real_distribution: its values differ between libraries.
  const auto within = [&random](double most) { return most * (2.0 * (static_cast<double>(random()) / 4294967295.0) - 1.0); };
  const auto vector = [&within](double most) { return full::Vector3(within(most), within(most), within(most)); };
  const full::Model& model = solved.assembled.model;
  const full::Matrix3 all = full::exp_rotation(full::Vector3(0.4, -0.7, 0.9));
  for (std::size_t i = 0; i < solved.state.poses.size(); ++i) {
    if (model.first_dof[i] < 0) continue;
    full::Pose& pose = solved.state.poses[i];
    const full::Vector3 about(5.0, -3.0, 20.0);
    pose.position_mm = about + all * (pose.position_mm - about) + vector(1.5);
    pose.rotation = full::exp_rotation(vector(0.2)) * all * pose.rotation;
  }
  for (std::size_t i = 0; i < model.frictions.size(); ++i) {
    solved.state.slip[i] = full::elongation(model, model.frictions[i].law, solved.state.poses) + within(0.5);
    solved.state.cap[i] = 0.3 * model.frictions[i].stiffness * (0.5 + std::abs(within(1.0)));
  }
}

using enum full::MomentKind;

}  // namespace

TEST_CASE("full states: an intact neck at full rotation", "[.full_states]") {
  const std::vector<Wanted> states{
      {.name = "intact_left_rotation", .example = "old_dens_fracture.xml", .load_case = "left_rotation"},
      {.name = "intact_left_bending", .example = "settling_to_c4.xml", .load_case = "left_bending"},
      {.name = "intact_right_rotation_following",
       .example = "settling_to_c4.xml",
       .load_case = "right_rotation",
       .kind = following},
  };
  for (const Wanted& wanted : states) {
    const Solved solved = solve(wanted);
    CHECK(turn_deg(solved) > 20.0);  // else this were no test of finite rotation
    write(wanted, solved);
  }
}

TEST_CASE("full states: screws and rods, with dead weight and a moment that follows the head", "[.full_states]") {
  const std::vector<Wanted> states{
      {.name = "screws_bending",
       .example = "old_dens_fracture.xml",
       .construct = "C1 lateral mass + C2 pars",
       .load_case = "left_bending",
       .dead_weight_N = 2.0},
      {.name = "screws_bending_following",
       .example = "old_dens_fracture.xml",
       .construct = "C1 lateral mass + C2 pedicle",
       .load_case = "right_bending",
       .kind = following,
       .dead_weight_N = 2.0},
      {.name = "screws_uncondensed",
       .example = "old_dens_fracture.xml",
       .construct = "hybrid: C2 pedicle left, laminar right",
       .load_case = "left_rotation",
       .whole = true},
  };
  for (const Wanted& wanted : states) write(wanted, solve(wanted));
}

TEST_CASE("full states: wires whose friction slides", "[.full_states]") {
  const std::vector<Wanted> states{
      {.name = "wired_rods_rotation",
       .example = "settling_to_c4.xml",
       .construct = "wired bent rods, unlinked",
       .load_case = "left_rotation"},
      {.name = "wired_graft_rotation_following",
       .example = "old_dens_fracture.xml",
       .construct = "midline wired graft",
       .load_case = "left_rotation",
       .kind = following},
  };
  for (const Wanted& wanted : states) {
    const Solved solved = solve(wanted);
    CHECK_FALSE(full::sliding(solved.assembled.model, solved.state).empty());
    write(wanted, solved);
  }
}

TEST_CASE("full states: one side only, and a keel plate", "[.full_states]") {
  const std::vector<Wanted> states{
      {.name = "one_sided_rotation",
       .example = "one_side_only.xml",
       .construct = "one-sided: C1 lateral mass + C2 pedicle left",
       .load_case = "left_rotation"},
      {.name = "keel_plate_extension",
       .example = "settling_to_c4.xml",
       .construct = "keel plate + C2 pars + C3, C4 lateral mass",
       .load_case = "extension",
       .dead_weight_N = 5.0},
      {.name = "keel_plate_bending_fixed_axis",
       .example = "templates/occiput_to_c4_keel_plate.xml",
       .construct = "keel plate, C2 pedicle, C3 and C4 lateral mass",
       .load_case = "right_bending",
       .kind = fixed_axis},
  };
  for (const Wanted& wanted : states) write(wanted, solve(wanted));
}

TEST_CASE("full states: assembled, before any load", "[.full_states]") {
  const std::vector<Wanted> states{
      {.name = "assembled_wired_graft",
       .example = "old_dens_fracture.xml",
       .construct = "two-sided wires and grafts",
       .factor = 0.0},
      {.name = "assembled_wired_rods",
       .example = "settling_to_c4.xml",
       .construct = "wired bent rods, cross-linked",
       .factor = 0.0},
      {.name = "assembled_rods_locked_last",
       .example = "old_dens_fracture.xml",
       .construct = "C1 lateral mass + C2 pars",
       .ties_of = "two-sided wires and grafts",
       .factor = 0.0},
  };
  for (const Wanted& wanted : states) write(wanted, assemble(wanted));
}

TEST_CASE("full states: rods locked over tightened wires", "[.full_states]") {
  for (const bool whole : {false, true}) {
    const Wanted wanted{.name = whole ? "rods_locked_last_uncondensed" : "rods_locked_last",
                        .example = "old_dens_fracture.xml",
                        .construct = "C1 lateral mass + C2 pars",
                        .ties_of = "two-sided wires and grafts",
                        .load_case = "left_rotation",
                        .dead_weight_N = 2.0,
                        .whole = whole};
    write(wanted, solve(wanted));
  }
}

TEST_CASE("full states: far from balance, every part far from its reference pose", "[.full_states]") {
  std::mt19937 random(14);
  const std::vector<Wanted> states{
      {.name = "scattered_intact", .example = "settling_to_c4.xml", .dead_weight_N = 40.0, .factor = 3.0},
      {.name = "scattered_wired_rods",
       .example = "settling_to_c4.xml",
       .construct = "wired bent rods, cross-linked",
       .kind = following,
       .dead_weight_N = 40.0,
       .factor = 3.0},
      {.name = "scattered_wired_graft",
       .example = "old_dens_fracture.xml",
       .construct = "two-sided wires and grafts",
       .kind = fixed_axis,
       .factor = 3.0},
      {.name = "scattered_keel_plate",
       .example = "templates/occiput_to_c4_keel_plate.xml",
       .construct = "keel plate, C2 pedicle, C3 and C4 lateral mass",
       .load_case = "left_rotation",
       .factor = 3.0},
      {.name = "scattered_uncondensed",
       .example = "old_dens_fracture.xml",
       .construct = "two transarticular + wired graft",
       .whole = true},
  };
  for (const Wanted& wanted : states) {
    Solved solved = assemble(wanted);
    scatter(solved, random);
    // More than half a turn round: only the branch says so.
    full::Moment& moment = solved.load.growing.moments.front();
    const full::Vector3 turned(1.5, 3.0, -1.8);
    moment.zero_rotation = full::exp_rotation(turned).transpose() * full::pose_of(solved.state.poses, moment.body).rotation;
    solved.state.branch.assign(1, turned);
    write(wanted, solved, false);
  }
}
