// SPDX-License-Identifier: MIT
#include "solver/study/full_figures.hpp"

#include <Eigen/Geometry>
#include <catch2/catch.hpp>

#include "models/quantity/units.hpp"
#include "solver/study/helical_axis.hpp"

using namespace opisthion;
using namespace opisthion::study;
using core::full::Poses;
using Eigen::AngleAxisd;
using Eigen::Matrix3d;
using Eigen::Vector3d;

namespace {

Matrix3d turn(double angle_deg, const Vector3d& axis) {
  return AngleAxisd(models::to_rad(angle_deg), axis.normalized()).toRotationMatrix();
}
/// By Eigen's own products, not by ours: intrinsic y, x', z''.
Matrix3d by_sequence(double flexion_deg, double bending_deg, double rotation_deg) {
  return turn(flexion_deg, Vector3d::UnitY()) * turn(bending_deg, Vector3d::UnitX()) * turn(rotation_deg, Vector3d::UnitZ());
}

constexpr mesh::BodyId kC2{0}, kC1{1}, kC0{2};
const Vector3d kAtC1{3.0, 0.0, 40.0};
const Vector3d kAtC0{-2.0, 0.0, 65.0};

/// Three bodies, two joints, and the probes of the canal.
mesh::Mesh neck() {
  mesh::Mesh out;
  out.system.bodies = {{.position_mm = {0.0, 0.0, 20.0}, .fixed = true, .port = true},
                       {.position_mm = kAtC1, .port = true},
                       {.position_mm = kAtC0, .port = true}};
  out.top = kC0;
  out.bottom = kC2;
  out.joints = {{.name = "C0-C1", .upper = kC0, .lower = kC1}, {.name = "C1-C2", .upper = kC1, .lower = kC2}};
  const auto travel = [&out](std::string id, mesh::Attachment moving, mesh::Attachment base, const Vector3d& axis,
                             double at_reference) {
    out.probes.push_back({.id = std::move(id),
                          .kind = mesh::ProbeKind::travel,
                          .moving = moving,
                          .base = base,
                          .axis = axis,
                          .value_at_reference = at_reference});
  };
  travel("C1-C2/translation/x", {kC1, kAtC1}, {kC2, kAtC1}, Vector3d::UnitX(), 0.0);
  travel("C0-C1/translation/x", {kC0, kAtC0}, {kC1, kAtC0}, Vector3d::UnitX(), 0.0);
  travel("atlas_dens_interval", {kC1, {14.0, 0.0, 42.0}}, {kC2, {12.0, 0.0, 42.0}}, Vector3d::UnitX(), 2.0);
  travel("c1_slip", {kC1, {0.0, 0.0, 42.0}}, {kC2, {0.0, 0.0, 42.0}}, Vector3d::UnitX(), 0.0);
  travel("cord_room/arch_to_dens", {kC2, {2.0, 0.0, 42.0}}, {kC1, {-18.0, 0.0, 42.0}}, Vector3d::UnitX(), 20.0);
  travel("cord_room/arch_to_C2", {kC2, {1.0, 0.0, 30.0}}, {kC1, {-18.0, 0.0, 42.0}}, Vector3d::UnitX(), 19.0);
  return out;
}

/// Everything carried along by one rigid motion.
Poses carried(const Poses& poses, const Matrix3d& rotation, const Vector3d& move) {
  Poses out = poses;
  for (auto& pose : out) {
    pose.rotation = rotation * pose.rotation;
    pose.position_mm = rotation * pose.position_mm + move;
  }
  return out;
}

}  // namespace

TEST_CASE("Cardan angles of a turn about one axis are that angle under its own name and sign") {
  const Poses neutral = core::full::reference_poses(neck().system);
  const std::array<Vector3d, 3> axes{Vector3d::UnitY(), Vector3d::UnitX(), Vector3d::UnitZ()};
  for (int i = 0; i < 3; ++i) {
    Poses now = neutral;
    now[1].rotation = turn(37.0, axes[static_cast<std::size_t>(i)]);
    const PoseFigures joint = read_full_figures(neck(), now, neutral).joints[1];
    Vector3d expected = Vector3d::Zero();
    expected[i] = models::to_rad(37.0);
    CHECK((joint.cardan_rad - expected).norm() < 1e-14);
    CHECK((joint.vector_rad - models::to_rad(37.0) * axes[static_cast<std::size_t>(i)]).norm() < 1e-14);
  }
}

TEST_CASE("Cardan angles read back from a rotation that was made by the sequence flexion, bending, rotation") {
  for (const Vector3d& deg : {Vector3d(25.0, -12.0, 61.0), Vector3d(-140.0, 80.0, -170.0), Vector3d(3.0, 89.0, 1.0)}) {
    const Vector3d read = cardan_of(by_sequence(deg[0], deg[1], deg[2])) / models::kRad_per_deg;
    CHECK((read - deg).norm() < 1e-11);
  }
  // At 90 deg of bending only flexion minus rotation is known: the matrix must still be the one that was given.
  const Matrix3d gimbal = by_sequence(20.0, 90.0, 50.0);
  const Vector3d read = cardan_of(gimbal) / models::kRad_per_deg;
  CHECK((by_sequence(read[0], read[1], read[2]) - gimbal).norm() < 1e-12);
}

TEST_CASE("a joint is read from its neutral pose, in the lower body's axes") {
  const mesh::Mesh mesh = neck();
  Poses neutral = core::full::reference_poses(mesh.system);
  neutral[1].rotation = turn(9.0, {1.0, 2.0, -1.0});
  neutral[1].position_mm += Vector3d(0.5, -0.2, 0.1);
  Poses now = neutral;
  const Matrix3d since = by_sequence(10.0, -4.0, 30.0);
  now[1].rotation = since * neutral[1].rotation;
  now[1].position_mm = neutral[1].position_mm + Vector3d(1.0, 2.0, 3.0);
  const PoseFigures joint = read_full_figures(mesh, now, neutral).joints[1];
  CHECK((joint.cardan_rad / models::kRad_per_deg - Vector3d(10.0, -4.0, 30.0)).norm() < 1e-12);
  CHECK((joint.translation_mm - Vector3d(1.0, 2.0, 3.0)).norm() < 1e-12);
  CHECK((joint.point_at_neutral_mm - kAtC1 - Vector3d(0.5, -0.2, 0.1)).norm() < 1e-12);
}

TEST_CASE("no figure knows where the whole neck stands") {
  const mesh::Mesh mesh = neck();
  Poses neutral = core::full::reference_poses(mesh.system);
  neutral[2].rotation = turn(4.0, {0.0, 1.0, 0.2});
  Poses now = neutral;
  now[1] = {.position_mm = kAtC1 + Vector3d(1.0, -2.0, 0.5), .rotation = turn(31.0, {0.3, 0.1, 1.0})};
  now[2] = {.position_mm = kAtC0 + Vector3d(3.0, -5.0, 1.0), .rotation = turn(52.0, {-0.2, 0.4, 1.0})};
  const FullFigures still = read_full_figures(mesh, now, neutral);
  const FullFigures moved = read_full_figures(mesh, carried(now, turn(71.0, {1.0, -2.0, 0.7}), {9.0, -30.0, 4.0}), neutral);
  for (std::size_t i = 0; i < 2; ++i) {
    CHECK((moved.joints[i].cardan_rad - still.joints[i].cardan_rad).norm() < 1e-13);
    CHECK((moved.joints[i].vector_rad - still.joints[i].vector_rad).norm() < 1e-13);
    CHECK((moved.joints[i].translation_mm - still.joints[i].translation_mm).norm() < 1e-12);
  }
  CHECK((moved.overall.cardan_rad - still.overall.cardan_rad).norm() < 1e-13);
  CHECK(*moved.measures.atlas_dens_interval_mm == Approx(*still.measures.atlas_dens_interval_mm).margin(1e-12));
  CHECK(*moved.measures.cord_room_mm == Approx(*still.measures.cord_room_mm).margin(1e-12));
  CHECK(*moved.measures.c1_slip_mm == Approx(*still.measures.c1_slip_mm).margin(1e-12));
}

TEST_CASE("measures are read in finite geometry: the axis rides on the base body") {
  const mesh::Mesh mesh = neck();
  const Poses neutral = core::full::reference_poses(mesh.system);
  Poses now = neutral;
  // C1 turned by 90 deg about the vertical through the origin: its arch's point (14, 0) comes to (0, 14), its posterior
  // arch's
  // (-18, 0) to (0, -18).
  now[1] = {.position_mm = turn(90.0, Vector3d::UnitZ()) * kAtC1, .rotation = turn(90.0, Vector3d::UnitZ())};
  const Measures measures = read_full_figures(mesh, now, neutral).measures;
  CHECK(*measures.atlas_dens_interval_mm == Approx(0.0 - 12.0).margin(1e-12));  // along x of C2: 0 - 12
  CHECK(*measures.c1_slip_mm == Approx(0.0).margin(1e-12));                     // the ring's centre is on the axis
  // The room's base is C1: its own x axis is +y now. Dens (2, 0): (2, 0) - (0, -18) along y is 18, and C2's back 18, too.
  CHECK(*measures.cord_room_mm == Approx(18.0).margin(1e-12));
}

TEST_CASE("the room for the cord is the least of its distances, and slip counts from neutral") {
  const mesh::Mesh mesh = neck();
  Poses neutral = core::full::reference_poses(mesh.system);
  neutral[1].position_mm += Vector3d(1.0, 0.0, 0.0);
  Poses now = neutral;
  now[1].position_mm += Vector3d(2.5, 0.0, 0.0);
  const Measures measures = read_full_figures(mesh, now, neutral).measures;
  CHECK(*measures.c1_slip_mm == Approx(2.5).margin(1e-12));
  CHECK(*measures.cord_room_mm == Approx(19.0 - 3.5).margin(1e-12));
  CHECK(*measures.atlas_dens_interval_mm == Approx(2.0 + 3.5).margin(1e-12));
}

TEST_CASE("at vanishing motion a probe is the linear one: the difference falls fourfold per halving") {
  const mesh::Mesh mesh = neck();
  const mesh::Probe& probe = mesh.probes[static_cast<std::size_t>(mesh.find_probe("cord_room/arch_to_dens"))];
  const Vector3d dp(0.3, -0.2, 0.1), dt(0.02, -0.03, 0.05);
  std::array<double, 2> difference{};
  for (std::size_t k = 0; k < 2; ++k) {
    const double size = k == 0 ? 1.0 : 0.5;
    Poses now = core::full::reference_poses(mesh.system);
    now[1] = {.position_mm = kAtC1 + size * dp,
              .rotation = AngleAxisd(size * dt.norm(), dt.normalized()).toRotationMatrix()};
    // load.hpp: value at reference + axis . (displacement of moving - displacement of base)
    const Vector3d base = size * dp + (size * dt).cross(probe.base.point_mm - kAtC1);
    difference[k] = std::abs(probe_value(mesh, probe, now) - (20.0 - probe.axis.dot(base)));
  }
  CHECK(difference[0] / difference[1] == Approx(4.0).epsilon(0.1));
}

TEST_CASE("overall goes from the potted bottom to the potted top, whatever the joints between do") {
  const mesh::Mesh mesh = neck();
  const Poses neutral = core::full::reference_poses(mesh.system);
  Poses now = neutral;
  now[1].rotation = turn(20.0, Vector3d::UnitZ());
  now[2].rotation = turn(50.0, Vector3d::UnitZ());
  const FullFigures figures = read_full_figures(mesh, now, neutral);
  CHECK(rotation_deg(figures.overall, models::Motion::left_rotation) == Approx(50.0));
  CHECK(rotation_deg(figures.overall, models::Motion::right_rotation) == Approx(-50.0));
  CHECK(rotation_deg(figures.joints[0], models::Motion::left_rotation) == Approx(30.0));
  CHECK(largest_rotation(as_figures(figures)).joint == 0);
  mesh::Mesh topless = mesh;
  topless.top = {};
  CHECK(read_full_figures(topless, now, neutral).overall.vector_rad.norm() == 0.0);
}

TEST_CASE("joints are told with the sign of the motion asked for and the sequence's own components beside it") {
  const mesh::Mesh mesh = neck();
  const Poses neutral = core::full::reference_poses(mesh.system);
  Poses now = neutral;
  now[1].rotation = by_sequence(-6.0, 2.0, 1.0);
  const std::vector<JointMotion> joints =
      joint_motions(mesh, read_full_figures(mesh, now, neutral), models::Motion::extension);
  CHECK(joints[1].joint == "C1-C2");
  CHECK(joints[1].rotation_deg == Approx(6.0));
  CHECK(joints[1].rotations_deg[0] == Approx(-6.0));
  CHECK(joints[1].rotations_deg[1] == Approx(2.0));
  CHECK(joints[1].rotations_deg[2] == Approx(1.0));
  CHECK(joints[1].translation_point == "reference point of the upper body at (3.0, 0.0, 40.0) mm");
  CHECK_FALSE(joints[1].floats);
}

TEST_CASE("a screw motion of C1 on a C2 that moves itself reads back as its own helical axis") {
  const mesh::Mesh mesh = neck();
  const Poses neutral = core::full::reference_poses(mesh.system);
  const Vector3d direction = Vector3d(0.1, -0.2, 1.0).normalized();
  const Vector3d through(4.0, 1.0, 38.0);
  const double along_mm = 1.7;
  const Matrix3d rotation = turn(41.0, direction);
  Poses now = neutral;
  now[1] = {.position_mm = rotation * (kAtC1 - through) + through + along_mm * direction, .rotation = rotation};
  now = carried(now, turn(33.0, {1.0, 1.0, 0.2}), {5.0, 6.0, 7.0});
  const PoseFigures joint = read_full_figures(mesh, now, neutral).joints[1];
  const auto axis = helical_axis(joint.vector_rad, joint.translation_mm, joint.point_at_neutral_mm);
  REQUIRE(axis);
  CHECK((axis->direction - direction).norm() < 1e-12);
  CHECK(axis->rotation_deg == Approx(41.0));
  CHECK(axis->translation_mm == Approx(along_mm));
  CHECK((axis->point_mm - through).cross(direction).norm() < 1e-11);
}
