// SPDX-License-Identifier: MIT
// Geometric stiffness against finite differences of each element's exact potential, and its silence when all moves as one.
#include <catch2/catch.hpp>

#include <Eigen/Geometry>

#include "solver/core/prestress.hpp"
#include "tests/reference/random.hpp"
#include "tests/verification/frame_model.hpp"

using namespace opisthion;
using namespace opisthion::verification;

namespace {

/// Pose of each body along the exponential retraction: position + u, exp(theta).
struct Poses {
  const System& system;
  const Eigen::VectorXd& q;
  Matrix3 rotation(BodyId id) const {
    const Vector3 turn = q.segment<3>(6 * id.value + 3);
    const double angle = turn.norm();
    return angle == 0.0 ? Matrix3::Identity() : Eigen::AngleAxisd(angle, turn / angle).toRotationMatrix();
  }
  Vector3 place(BodyId id) const { return mesh::body(system, id).position_mm + q.segment<3>(6 * id.value); }
  Vector3 point(BodyId id, const Vector3& at) const {
    return place(id) + rotation(id) * (at - mesh::body(system, id).position_mm);
  }
  /// A point of the world in the axes that body `id` carries, moved back to the reference pose.
  Vector3 seen_from(BodyId id, const Vector3& world) const {
    return mesh::body(system, id).position_mm + rotation(id).transpose() * (world - place(id));
  }
};

double length_of(const mesh::Strand& strand, const Poses& poses) {
  double sum = 0.0;
  for (std::size_t i = 0; i + 1 < strand.path.size(); ++i)
    sum += (poses.point(strand.path[i + 1].body, strand.path[i + 1].point_mm) -
            poses.point(strand.path[i].body, strand.path[i].point_mm))
               .norm();
  return sum;
}
/// f/|grad f| of the paraboloid through the point of contact.
double gap_of(const mesh::Pad& pad, const Poses& poses) {
  const auto height = [&](const Vector3& y) {
    return y.z() - 0.5 * (pad.curvature_sagittal_per_mm * y.x() * y.x() + pad.curvature_coronal_per_mm * y.y() * y.y());
  };
  const auto local = [&](const Vector3& p) { return Vector3(pad.global_from_surface.transpose() * (p - pad.vertex_mm)); };
  const Vector3 y = local(poses.seen_from(pad.b, poses.point(pad.a.body, pad.a.point_mm)));
  const Vector3 gradient(-pad.curvature_sagittal_per_mm * y.x(), -pad.curvature_coronal_per_mm * y.y(), 1.0);
  return (height(y) - height(local(pad.a.point_mm))) / gradient.norm();
}
double ring_of(const mesh::Ring& ring, const Poses& poses) {
  return ring.anterior.dot(poses.seen_from(ring.ring, poses.point(ring.dens, ring.axis_point_mm)) - ring.axis_point_mm);
}

double slip_of(const mesh::Slip& slip, const Poses& poses) {
  if (!slip.turning)
    return slip.direction.dot(poses.seen_from(slip.b, poses.point(slip.a.body, slip.a.point_mm)) - slip.a.point_mm);
  const Eigen::AngleAxisd turn(Matrix3(poses.rotation(slip.b).transpose() * poses.rotation(slip.a.body)));
  return turn.angle() * slip.direction.dot(turn.axis());
}
/// Work of a force and a moment on what two bodies move at one point, in their mean frame.
double cushion_of(BodyId a, BodyId b, const Vector3& point_mm, const Vector3& force, const Vector3& moment,
                  const Poses& poses) {
  const Eigen::AngleAxisd turn(Matrix3(poses.rotation(a).transpose() * poses.rotation(b)));
  const Matrix3 mean = poses.rotation(a) * Eigen::AngleAxisd(0.5 * turn.angle(), turn.axis()).toRotationMatrix();
  return force.dot(mean.transpose() * (poses.point(b, point_mm) - poses.point(a, point_mm))) +
         turn.angle() * moment.dot(turn.axis());
}
core::ForceGroup cushion_group(const System& s, BodyId a, BodyId b, const Vector3& point_mm, const Vector3& force,
                               const Vector3& moment) {
  core::ForceGroup group{.bodies = {a, b}, .force = Eigen::VectorXd(12), .points_mm = {point_mm, point_mm}};
  group.force << -force, -((point_mm - mesh::body(s, a).position_mm).cross(force) + moment), force,
      (point_mm - mesh::body(s, b).position_mm).cross(force) + moment;
  return group;
}

Eigen::MatrixXd dense(const core::BlockList& blocks, std::size_t bodies) {
  Eigen::MatrixXd k = Eigen::MatrixXd::Zero(6 * static_cast<Eigen::Index>(bodies), 6 * static_cast<Eigen::Index>(bodies));
  for (const core::BlockEntry& entry : blocks) k.block<6, 6>(6 * entry.row.value, 6 * entry.column.value) += entry.block;
  return k;
}

/// d'Kd by central differences of the potential along d, by Richardson's extrapolation from two steps.
template <typename Potential>
double second_difference(const Potential& potential, const System& system, const Eigen::VectorXd& d) {
  const auto at = [&](double t) {
    const Eigen::VectorXd q = t * d;
    return potential(Poses{system, q});
  };
  const auto plain = [&](double h) { return (at(h) - 2.0 * at(0.0) + at(-h)) / (h * h); };
  const double h = 2e-2;
  return (4.0 * plain(0.5 * h) - plain(h)) / 3.0;
}

System three_bodies(reference::Random& random) {
  System s;
  for (int i = 0; i < 3; ++i) add_bone(s, Vector3(0, 0, 20.0 * i) + random.vector(5.0), false);
  return s;
}
Eigen::VectorXd direction(reference::Random& random, const System& s) {
  Eigen::VectorXd d(6 * static_cast<Eigen::Index>(s.bodies.size()));
  for (Eigen::Index i = 0; i < d.size(); ++i) d[i] = random.between(-1, 1) * (i % 6 < 3 ? 1.0 : 0.1);
  return d;
}
mesh::Strand random_strand(reference::Random& random, const System& s) {
  mesh::Strand strand;
  for (const int b : {0, 1, 2}) strand.path.push_back({{b}, mesh::body(s, {b}).position_mm + random.vector(10.0)});
  return strand;
}
mesh::Pad random_pad(reference::Random& random, const System& s) {
  mesh::Pad pad;
  pad.a = {{1}, mesh::body(s, {1}).position_mm + random.vector(10.0)};
  pad.b = {2};
  pad.vertex_mm = pad.a.point_mm + random.vector(2.0);
  pad.global_from_surface = random.frame();
  pad.curvature_sagittal_per_mm = random.between(-0.1, 0.1);
  pad.curvature_coronal_per_mm = random.between(-0.1, 0.1);
  return pad;
}
mesh::Ring random_ring(reference::Random& random, const System& s) {
  mesh::Ring ring;
  ring.dens = {0};
  ring.ring = {1};
  const Matrix3 frame = random.frame();
  ring.axis = frame.col(2);
  ring.anterior = frame.col(0);
  ring.axis_point_mm = mesh::body(s, {0}).position_mm + random.vector(10.0);
  ring.ligament_gain = 1.4;
  return ring;
}

mesh::Slip random_slip(reference::Random& random, const System& s, bool turning) {
  mesh::Slip slip;
  slip.a = {{2}, mesh::body(s, {2}).position_mm + random.vector(10.0)};
  slip.b = {1};
  slip.direction = random.frame().col(0);
  slip.turning = turning;
  return slip;
}

}  // namespace

TEST_CASE("geometric stiffness of strand, pad, ring, friction and cushion is the second variation of their potential") {
  reference::Random random(91);
  double worst = 0.0;
  for (int i = 0; i < 60; ++i) {
    const System s = three_bodies(random);
    const double force = random.between(5, 200);
    const Eigen::VectorXd d = direction(random, s);
    const auto compare = [&](const core::BlockList& blocks, const auto& potential, double size) {
      const Eigen::MatrixXd k = dense(blocks, s.bodies.size());
      CHECK((k - k.transpose()).norm() <= 1e-12 * k.norm());
      const double by_hand = d.dot(k * d), by_difference = second_difference(potential, s, d);
      const double off = std::abs(by_hand - by_difference) / size;
      worst = std::max(worst, off);
      CAPTURE(i, by_hand, by_difference);
      CHECK(off < 1e-6);
    };
    const double size = force * d.squaredNorm() / 10.0;  // force times motion^2 over the elements' own length
    core::BlockList blocks;
    const mesh::Strand strand = random_strand(random, s);
    core::add_strand_prestress(strand, {}, s, force, blocks);
    compare(
        blocks, [&](const Poses& p) { return force * length_of(strand, p); }, size);
    blocks.clear();
    const mesh::Pad pad = random_pad(random, s);
    core::add_pad_prestress(pad, s, force, blocks);
    compare(
        blocks, [&](const Poses& p) { return -force * gap_of(pad, p); }, size);
    blocks.clear();
    const mesh::Ring ring = random_ring(random, s);
    core::add_ring_prestress(ring, s, force, 0.5 * force, blocks);
    compare(
        blocks,
        [&](const Poses& p) { return force * ring_of(ring, p) - 0.5 * force * ring.ligament_gain * ring_of(ring, p); },
        size);
    for (const bool turning : {false, true}) {
      blocks.clear();
      const mesh::Slip slip = random_slip(random, s, turning);
      core::add_slip_prestress(slip, s, force, blocks);
      compare(
          blocks, [&](const Poses& p) { return force * slip_of(slip, p); }, size);
    }
    blocks.clear();
    const Vector3 point = mesh::body(s, {1}).position_mm + random.vector(10.0);
    const Vector3 pull = force * random.frame().col(0), moment = 5.0 * force * random.frame().col(0);
    core::add_group_prestress(cushion_group(s, {1}, {2}, point, pull, moment), s, blocks);
    compare(
        blocks, [&](const Poses& p) { return cushion_of({1}, {2}, point, pull, moment, p); }, size);
  }
  note_figure("prestress: worst difference to finite differences", worst, 0, worst, 1e-6);
}

TEST_CASE("forces in balance add no stiffness when everything moves as one") {
  // Strands, a pad, a ring and friction between free bodies; a linear group carries what is left over at each body.
  reference::Random random(92);
  double worst = 0.0;
  for (int i = 0; i < 40; ++i) {
    System s = three_bodies(random);
    core::BlockList blocks;
    const double h = 1e-5;
    const mesh::Strand strand = random_strand(random, s);
    const mesh::Pad pad = random_pad(random, s);
    const mesh::Ring ring = random_ring(random, s);
    core::add_strand_prestress(strand, {}, s, 120.0, blocks);
    core::add_pad_prestress(pad, s, 80.0, blocks);
    core::add_ring_prestress(ring, s, 50.0, 0.0, blocks);
    const mesh::Slip slides = random_slip(random, s, false), turns = random_slip(random, s, true);
    core::add_slip_prestress(slides, s, 30.0, blocks);
    core::add_slip_prestress(turns, s, 200.0, blocks);
    // Forces at the bodies from the rows that the model uses.
    s.strands = {strand};
    s.pads = {pad};
    s.rings = {ring};
    s.rings[0].has_ligament = false;
    s.slips = {slides, turns};
    s.strands[0].law = mesh::two_slopes(0, 0);
    const core::ReducedModel model = core::reduce_nothing(s);
    core::ForceGroup group{.bodies = {{0}, {1}, {2}}, .force = Eigen::VectorXd::Zero(18)};
    const double forces[] = {120.0, 80.0, 50.0, 30.0, 200.0};
    for (std::size_t f = 0; f < 5; ++f)
      for (int b = 0; b < model.functionals[f].blocks; ++b)
        group.force.segment<6>(model.functionals[f].first_dof[static_cast<std::size_t>(b)]) -=
            forces[f] * model.functionals[f].row[static_cast<std::size_t>(b)];
    core::add_group_prestress(group, s, blocks);
    const Eigen::MatrixXd k = dense(blocks, 3);
    const Vector3 turn = random.vector(1.0), shift = random.vector(20.0);
    Eigen::VectorXd rigid(18);
    for (int b = 0; b < 3; ++b) rigid.segment<6>(6 * b) << shift + turn.cross(mesh::body(s, {b}).position_mm), turn;
    const double share = std::abs(rigid.dot(k * rigid)) / (k.norm() * rigid.squaredNorm());
    worst = std::max(worst, share);
    CHECK(share < 1e-10);
    CHECK(k.norm() > h);
  }
  note_figure("prestress: worst energy of a rigid motion", worst, 0, worst, 1e-10);
}

TEST_CASE("a ring's force does not resist turning about the dens axis") {
  reference::Random random(93);
  for (int i = 0; i < 20; ++i) {
    const System s = three_bodies(random);
    const mesh::Ring ring = random_ring(random, s);
    core::BlockList blocks;
    core::add_ring_prestress(ring, s, 50.0, 20.0, blocks);
    Eigen::VectorXd q = Eigen::VectorXd::Zero(18);
    // The ring turns about the axis: to second order its reference point leaves the tangent, which the potential sees.
    const Vector3 arm = mesh::body(s, ring.ring).position_mm - ring.axis_point_mm;
    q.segment<6>(6) << ring.axis.cross(arm), ring.axis;
    const Vector3 sag = ring.axis.cross(ring.axis.cross(arm));  // twice the second-order motion
    const double force = 50.0 - 20.0 * ring.ligament_gain;
    CHECK(std::abs(q.dot(dense(blocks, 3) * q) - force * ring.anterior.dot(sag)) < 1e-9 * 50.0 * arm.squaredNorm());
  }
}

TEST_CASE("a moment that a linear part carries rides in the mean frame of its bodies") {
  // Turned by a and b, the ends have turned by log(exp(-t) exp(a)) = a - t - (t x a)/2 in the mean frame, t = (a + b)/2
  // (Baker, Campbell, Hausdorff): M and -M there do the work -M . (t x (a - b))/2 to second order.
  mesh::System s;
  s.bodies.resize(2);
  core::ForceGroup group{.bodies = {mesh::BodyId{0}, mesh::BodyId{1}}, .force = Eigen::VectorXd::Zero(12)};
  const Eigen::Vector3d moment(3, -2, 5), a(0.1, 0.4, -0.2), b(-0.3, 0.2, 0.5);
  group.force.segment<3>(3) = moment;
  group.force.segment<3>(9) = -moment;
  core::BlockList blocks;
  core::add_group_prestress(group, s, blocks);
  Eigen::VectorXd q = Eigen::VectorXd::Zero(12);
  q.segment<3>(3) = a;
  q.segment<3>(9) = b;
  double twice = 0.0;
  for (const core::BlockEntry& e : blocks)
    twice += q.segment<6>(6 * e.row.value).dot(e.block * q.segment<6>(6 * e.column.value));
  const Eigen::Vector3d mean = 0.5 * (a + b);
  CHECK(0.5 * twice == Approx(-0.5 * moment.dot(mean.cross(a - b))));
}
