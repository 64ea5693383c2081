// SPDX-License-Identifier: MIT
// What the bench has on a specimen from neutral on, and what its moments mean, in full kinematics: statics and symmetry.
#include <catch2/catch.hpp>

#include <Eigen/Geometry>
#include <cmath>

#include "models/case/neck_alone.hpp"
#include "models/quantity/units.hpp"
#include "solver/study/full/run.hpp"
#include "tests/support/example.hpp"

using namespace opisthion;
using models::Level;
using study::Specimen;

namespace {

namespace full = core::full;

models::Case neck(Level top, Level bottom) {
  models::Case out{.name = "a neck of a test"};
  out.neck.upper = top;
  out.neck.lower = bottom;
  out.bench.top = top;
  out.bench.bottom = bottom;
  return out;
}

Specimen specimen_of(const models::Case& the_case) {
  auto made = study::make_specimen(the_case, models::bare_construct(models::kIntactRow), tests::library(), {});
  if (!made) FAIL(made.error().reason);
  return std::move(*made);
}

const mesh::LoadCase& case_of(const Specimen& specimen, models::Motion motion) {
  for (const mesh::LoadCase& load_case : specimen.mesh.program.cases)
    if (load_case.id == models::name(motion)) return load_case;
  FAIL("motion not in the program");
  return specimen.mesh.program.cases.front();
}

/// Rotation of the top on the bottom from where the neck was built to where every load starts.
study::PoseFigures at_start(const Specimen& specimen) {
  return study::read_full_figures(specimen.mesh, specimen.start.poses, specimen.built.poses).overall;
}

models::Case weighed(double force_N, double forward_mm, double above_mm = 0.0) {
  models::Case out = neck(Level::C5, Level::C6);
  out.bench.dead_weight =
      models::TopForce{.force_N = force_N, .line = models::AxialLine::body, .forward_mm = forward_mm, .above_mm = above_mm};
  return out;
}

/// Flexion, bending and rotation of the top at the end of a motion with moments of a kind [deg].
Eigen::Vector3d turned_deg(models::Case the_case, models::MomentKind kind, double moment_Nmm, models::Motion motion) {
  the_case.bench.moment_kind = kind;
  the_case.bench.moment_Nmm = moment_Nmm;
  const Specimen specimen = specimen_of(the_case);
  const full::WorkspacePtr work = full::make_workspace(specimen.model);
  const study::FullRun run = study::run_load(specimen, case_of(specimen, motion), 10, study::Look::figures, *work);
  INFO(run.verdict.reason());
  REQUIRE(run.path.end == full::PathEnd::reached);
  return run.figures.overall.cardan_rad / models::kRad_per_deg;
}

}  // namespace

TEST_CASE("dead weight is a force down at the stated point of the top, and traction the same upwards") {
  models::Case the_case = neck(Level::C0, Level::C3);
  the_case.bench.dead_weight = models::TopForce{.force_N = 3.0, .line = models::AxialLine::condyles, .forward_mm = 7.0};
  the_case.bench.traction = models::TopForce{.force_N = 5.0, .line = models::AxialLine::condyles, .above_mm = 4.0};
  const Specimen specimen = specimen_of(the_case);
  REQUIRE(specimen.constant.forces.size() == 2);
  CHECK(specimen.constant.moments.empty());
  CHECK(specimen.constant.forces[0].force_N == Eigen::Vector3d(0.0, 0.0, -3.0));
  CHECK(specimen.constant.forces[1].force_N == Eigen::Vector3d(0.0, 0.0, 5.0));
  const Eigen::Vector3d apart = specimen.constant.forces[0].arm_mm - specimen.constant.forces[1].arm_mm;
  CHECK((apart - Eigen::Vector3d(7.0, 0.0, -4.0)).norm() < 1e-12);
  CHECK(specimen.constant.forces[0].arm_mm.y() == Approx(0.0).margin(1e-12));
}

TEST_CASE("a weight in front of a joint flexes it, behind it extends it, and on the midline turns it no other way") {
  for (const double forward_mm : {40.0, -40.0}) {
    const study::PoseFigures turned = at_start(specimen_of(weighed(10.0, forward_mm)));
    INFO(forward_mm << " mm forward: flexion " << models::to_deg(turned.cardan_rad.x()) << " deg");
    CHECK(turned.cardan_rad.x() * forward_mm > 0.0);
    CHECK(std::abs(models::to_deg(turned.cardan_rad.x())) > 0.3);
    CHECK(std::abs(turned.cardan_rad.y()) < 1e-9);
    CHECK(std::abs(turned.cardan_rad.z()) < 1e-9);
    CHECK(std::abs(turned.translation_mm.y()) < 1e-8);
  }
}

TEST_CASE("a weight off the line is the weight on it with the moment of its lever") {
  // Statics: moving a vertical force P forward by e adds the moment P e about +y. Dead weights keep their moment only while
  // the lever turns little, so the comparison is made where the joint turns less than 1 deg (cos 1 deg = 0.9998).
  constexpr double kWeight_N = 4.0;
  constexpr double kLever_mm = 25.0;
  const Specimen off = specimen_of(weighed(kWeight_N, kLever_mm));
  models::Case on_line = weighed(kWeight_N, 0.0);
  on_line.bench.moment_Nmm = kWeight_N * kLever_mm;
  const Specimen on = specimen_of(on_line);
  const full::WorkspacePtr work = full::make_workspace(on.model);
  full::State state = on.start;
  REQUIRE(full::solve(on.model, study::load_path(on, case_of(on, models::Motion::flexion)), 1.0, {}, *work, state));
  const study::PoseFigures with_moment = study::read_full_figures(on.mesh, state.poses, on.built.poses).overall;
  const study::PoseFigures with_lever = at_start(off);
  INFO("by the lever " << models::to_deg(with_lever.cardan_rad.x()) << " deg, by the moment "
                       << models::to_deg(with_moment.cardan_rad.x()) << " deg");
  REQUIRE(std::abs(models::to_deg(with_lever.cardan_rad.x())) < 1.0);
  CHECK(with_lever.cardan_rad.x() == Approx(with_moment.cardan_rad.x()).epsilon(2e-3));
}

TEST_CASE("at rest under a weight every free body is in balance") {
  models::Case the_case = neck(Level::C2, Level::C7);
  the_case.bench.dead_weight = models::TopForce{.force_N = 15.0, .line = models::AxialLine::body, .above_mm = 10.0};
  const Specimen specimen = specimen_of(the_case);
  const full::WorkspacePtr work = full::make_workspace(specimen.model);
  Eigen::VectorXd residual;
  full::residual_at(specimen.model, {.constant = specimen.constant, .growing = {}}, 0.0, 1.0, specimen.start, *work,
                    residual);
  CHECK(residual.cwiseAbs().maxCoeff() < 1e-5);
  // What the weight is balanced by: without it the same pose lacks 15 N and nothing else on the top.
  full::residual_at(specimen.model, {}, 0.0, 1.0, specimen.start, *work, residual);
  Eigen::Vector3d sum = Eigen::Vector3d::Zero();
  for (int i = 0; i < specimen.model.dofs; i += 6) sum += residual.segment<3>(i);
  CHECK((sum - Eigen::Vector3d(0.0, 0.0, -15.0)).norm() < 1e-5);
}

TEST_CASE("traction lengthens a neck and dead weight shortens it") {
  const auto height_mm = [](bool up) {
    models::Case the_case = neck(Level::C2, Level::C7);
    const models::TopForce force{.force_N = 20.0, .line = models::AxialLine::body};
    (up ? the_case.bench.traction : the_case.bench.dead_weight) = force;
    const Specimen specimen = specimen_of(the_case);
    return at_start(specimen).translation_mm.z();
  };
  CHECK(height_mm(true) > 0.0);
  CHECK(height_mm(false) < 0.0);
}

TEST_CASE("the three kinds of moment agree about a symmetric neck's own axis, and everywhere while rotations are small") {
  using models::MomentKind;
  const models::Case the_case = neck(Level::C0, Level::C7);
  // Flexion turns a symmetric neck about one fixed axis, on which the three are the same however far it goes.
  const Eigen::Vector3d plane = turned_deg(the_case, MomentKind::conservative, 1500.0, models::Motion::extension);
  REQUIRE(std::abs(plane.x()) > 30.0);
  // Rotation couples with bending: there they part.
  const Eigen::Vector3d coupled = turned_deg(the_case, MomentKind::conservative, 1500.0, models::Motion::left_rotation);
  const models::Case stiff = neck(Level::C4, Level::C6);
  const Eigen::Vector3d little = turned_deg(stiff, MomentKind::conservative, 100.0, models::Motion::left_rotation);
  REQUIRE(little.cwiseAbs().maxCoeff() < 2.0);
  for (const MomentKind kind : {MomentKind::fixed_axis, MomentKind::head_following}) {
    CHECK((turned_deg(the_case, kind, 1500.0, models::Motion::extension) - plane).norm() < 1e-5);
    const double large = (turned_deg(the_case, kind, 1500.0, models::Motion::left_rotation) - coupled).norm();
    const double small = (turned_deg(stiff, kind, 100.0, models::Motion::left_rotation) - little).norm();
    INFO("kinds part by " << large << " deg of " << coupled.norm() << ", and by " << small << " deg of " << little.norm());
    CHECK(large > 0.1);
    CHECK(small < 0.02 * little.norm());
    CHECK(small / little.norm() < 0.5 * large / coupled.norm());
  }
}

TEST_CASE("a lax neck that settles onto its ligaments under a light weight is a specimen, wherever the weight is") {
  // Nothing holds C0 on C1 at neutral: it tips over by some degrees under a newton, and then it is held.
  for (const Level bottom : {Level::C2, Level::C4, Level::T1})
    for (const double forward_mm : {-20.0, -10.0, 0.0, 10.0, 20.0})
      for (const double above_mm : {0.0, 40.0}) {
        models::Case the_case = neck(Level::C0, bottom);
        the_case.bench.dead_weight = models::TopForce{
            .force_N = 12.0, .line = models::AxialLine::condyles, .forward_mm = forward_mm, .above_mm = above_mm};
        const auto made = study::make_specimen(the_case, models::bare_construct(models::kIntactRow), tests::library(), {});
        INFO("to " << models::name(bottom) << ", " << forward_mm << " mm forward, " << above_mm
                   << " mm above: " << (made ? std::string() : made.error().reason));
        REQUIRE(made);
        if (std::abs(forward_mm) == 20.0) CHECK(at_start(*made).cardan_rad.x() * forward_mm > 0.0);
      }
}

TEST_CASE("a neck that its weight folds up is no specimen, and is told so with the share of the weight that it bore") {
  models::Case the_case = neck(Level::C0, Level::T1);
  the_case.bench.dead_weight =
      models::TopForce{.force_N = 80.0, .line = models::AxialLine::condyles, .forward_mm = 20.0, .above_mm = 40.0};
  const auto made = study::make_specimen(the_case, models::bare_construct(models::kIntactRow), tests::library(), {});
  REQUIRE_FALSE(made);
  INFO(made.error().reason);
  CHECK(made.error().status == study::Status::mechanism);
  CHECK_THAT(made.error().reason, Catch::Matchers::Contains("buckles") && Catch::Matchers::Contains(" % of it: "));
}
