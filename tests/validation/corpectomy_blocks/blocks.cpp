// SPDX-License-Identifier: MIT
// Two plastic blocks with nothing between them, four screws, two rods, pressed together along a line in front of them: the
// vertebrectomy model in the manner of ASTM F1717 and F2706. See README.md beside this file for dimensions and sources.
#include <array>
#include <catch2/catch.hpp>
#include <cstdio>
#include <string>

#include "mesh/build/frames.hpp"
#include "mesh/build/seat.hpp"
#include "mesh/build/section.hpp"
#include "mesh/system/component.hpp"
#include "solver/core/condense.hpp"
#include "solver/core/equilibrium.hpp"
#include "solver/core/reduced.hpp"

using namespace opisthion;
using mesh::BodyId;
using mesh::Vector3;

namespace {

struct Rig {
  double active_length_mm = 76.0;  ///< between the screws, along the rods
  double pin_to_rod_mm = 55.0;     ///< from the load line back to the rods
  double rod_diameter_mm = 5.5;
  double half_spacing_mm = 20.0;  ///< of the two rods: without effect on compression bending
  mesh::Elastic rod{110000.0, 0.33};
};

/// UHMWPE of the blocks and the screws in them; a screw that yields nothing when `rigid`.
struct Grip {
  bool rigid = true;
  double modulus_MPa = 1000.0;  // UHMWPE 0.8-1.2 GPa, from memory
  double poisson = 0.46;        // from memory
  double diameter_mm = 6.5;     // thread: the usual screw with 5.5 mm rods on this rig (from memory)
  double core_mm = 5.0;
  double free_mm = 15.0;      // block face to rod centre (F1717, from memory)
  double embedded_mm = 35.0;  // common practice
};

constexpr double kForce_N = 100.0;

struct Compression {
  double stiffness_N_per_mm = 0.0;
};

/// Statically determinate, so the lower block may be held instead of pinned: the pins' relative travel along the line is
/// the same.
Compression compress(const Rig& rig, const Grip& grip) {
  mesh::System s;
  const auto body = [&s](const Vector3& at, mesh::BodyKind kind, bool fixed) {
    const BodyId id{static_cast<int>(s.bodies.size())};
    s.bodies.push_back({.position_mm = at, .kind = kind, .fixed = fixed, .port = kind == mesh::BodyKind::bone});
    return id;
  };
  const Vector3 lower_pin(rig.pin_to_rod_mm, 0.0, 0.0);
  const Vector3 upper_pin(rig.pin_to_rod_mm, 0.0, rig.active_length_mm);
  const BodyId lower = body(lower_pin, mesh::BodyKind::bone, true);
  const BodyId upper = body(upper_pin, mesh::BodyKind::bone, false);
  const mesh::Section rod = mesh::round_section(rig.rod_diameter_mm, rig.rod);
  for (const double y : {rig.half_spacing_mm, -rig.half_spacing_mm}) {
    std::array<BodyId, 2> ends{};
    for (const int end : {0, 1}) {
      const BodyId block = end == 0 ? lower : upper;
      const Vector3 at_rod(0.0, y, end * rig.active_length_mm);
      const BodyId head = body(at_rod, mesh::BodyKind::metal, false);
      ends[static_cast<std::size_t>(end)] = head;
      if (grip.rigid) {
        mesh::Cushion weld{.a = head, .b = block, .point_mm = at_rod};
        weld.stiffness.diagonal() << 1e10, 1e10, 1e10, 1e12, 1e12, 1e12;
        s.cushions.push_back(weld);
        continue;
      }
      const mesh::Elastic metal = rig.rod;
      const mesh::Section core = mesh::round_section(grip.core_mm, metal);
      const mesh::Matrix3 frame = mesh::beam_frame(Vector3::UnitX(), Vector3::UnitZ());
      const BodyId entry = body(at_rod + grip.free_mm * Vector3::UnitX(), mesh::BodyKind::metal, false);
      const BodyId tip = body(at_rod + (grip.free_mm + grip.embedded_mm) * Vector3::UnitX(), mesh::BodyKind::metal, false);
      s.beams.push_back({.a = head,
                         .b = entry,
                         .global_from_beam = frame,
                         .length_mm = grip.free_mm,
                         .section = mesh::round_section(grip.diameter_mm, metal)});
      s.beams.push_back({.a = entry,
                         .b = tip,
                         .bone = block,
                         .global_from_beam = frame,
                         .length_mm = grip.embedded_mm,
                         .section = core,
                         .foundation = mesh::foundation_of({.modulus_MPa = grip.modulus_MPa, .poisson = grip.poisson},
                                                           grip.diameter_mm, core.bending_y_Nmm2, grip.embedded_mm, 1.0)});
    }
    s.beams.push_back({.a = ends[0],
                       .b = ends[1],
                       .global_from_beam = mesh::beam_frame(Vector3::UnitZ(), Vector3::UnitY()),
                       .length_mm = rig.active_length_mm,
                       .section = rod});
  }
  std::vector<core::CondensedComponent> condensed;
  for (const mesh::Component& component : mesh::find_components(s)) {
    const core::CondenseOutcome outcome = core::condense(s, component);
    REQUIRE(outcome.regular);
    condensed.push_back(outcome.component);
  }
  const core::ReducedModel model = core::reduce(s, condensed);
  const mesh::BodyLoad push{.at = {upper, upper_pin}, .force_N = {0.0, 0.0, -kForce_N}};
  const Eigen::VectorXd load = core::load_vector(s, model, std::array{push});
  core::EquilibriumWorkspace work;
  Eigen::VectorXd q = Eigen::VectorXd::Zero(model.dofs);
  REQUIRE(core::solve_equilibrium(model, load, {}, work, q));
  const mesh::Probe travel{
      .id = "travel", .moving = {upper, upper_pin}, .base = {lower, upper_pin}, .axis = -Vector3::UnitZ()};
  return {kForce_N / core::measure(s, model, travel, q)};
}

/// Two rods bent by F h, and pressed; rigid screws, pins on the load line.
///   1/k = h^2 L/(2 EI) + L/(2 EA)
double closed_form_N_per_mm(const Rig& rig) {
  const mesh::Section rod = mesh::round_section(rig.rod_diameter_mm, rig.rod);
  return 1.0 / (rig.pin_to_rod_mm * rig.pin_to_rod_mm * rig.active_length_mm / (2.0 * rod.bending_y_Nmm2) +
                rig.active_length_mm / (2.0 * rod.axial_N));
}

void tell(const char* what, const Rig& rig, double measured, double sd) {
  const double rigid = compress(rig, {.rigid = true}).stiffness_N_per_mm;
  const double whole = compress(rig, {.rigid = false}).stiffness_N_per_mm;
  std::printf(
      "  %-34s closed form %5.1f, rigid screws %5.1f, with screws %5.1f N/mm (screws' share of the compliance %2.0f %%)",
      what, closed_form_N_per_mm(rig), rigid, whole, 100.0 * (1.0 - whole / rigid));
  if (measured > 0.0) std::printf("; measured %.0f (SD %.1f)", measured, sd);
  std::printf("\n");
}

}  // namespace

TEST_CASE("compression bending of two blocks on two rods equals beam theory when the screws are rigid") {
  // verification.md and reference/grip.md: k = 2 EI/(h^2 L); here with the rods' own shortening.
  for (const double length : {35.0, 76.0, 376.0})
    for (const double arm : {30.0, 45.0, 55.0})
      for (const double diameter : {3.5, 5.5}) {
        const Rig rig{.active_length_mm = length, .pin_to_rod_mm = arm, .rod_diameter_mm = diameter};
        CHECK(compress(rig, {}).stiffness_N_per_mm == Approx(closed_form_N_per_mm(rig)).epsilon(1e-5));
      }
}

TEST_CASE("screws in plastic blocks take their share of the compliance, told beside the measured stiffness") {
  std::printf("two blocks on two rods in compression bending, in the manner of ASTM F1717 / F2706\n");
  const Rig lumbar{};
  const Rig long_gap{.active_length_mm = 376.0};
  // Foltz et al. 2019, Spine 44:1270-1278 (seen): 76 mm 43 (0.4) N/mm, 376 mm 10 (0.3) N/mm, 5.5 mm titanium rods.
  tell("5.5 mm rods, 76 mm", lumbar, 43.0, 0.4);
  tell("5.5 mm rods, 376 mm", long_gap, 10.0, 0.3);
  // Cervical rods in the same blocks; the lengths of F2706 are not at hand, these are chosen for scale.
  tell("3.5 mm rods, 35 mm, arm 35 mm", {.active_length_mm = 35.0, .pin_to_rod_mm = 35.0, .rod_diameter_mm = 3.5}, 0.0, 0.0);
  const double rigid = compress(lumbar, {.rigid = true}).stiffness_N_per_mm;
  const double whole = compress(lumbar, {.rigid = false}).stiffness_N_per_mm;
  CHECK(whole < rigid);
  // The measured stiffness of the 76 mm construct lies within what the remembered lengths allow (h 40 to 60 mm).
  const auto with_arm = [](double arm) { return compress({.pin_to_rod_mm = arm}, {.rigid = false}).stiffness_N_per_mm; };
  CHECK(with_arm(40.0) > 43.0);
  CHECK(with_arm(60.0) < 43.0);
}
