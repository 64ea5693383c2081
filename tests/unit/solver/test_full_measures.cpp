// SPDX-License-Identifier: MIT
// Strain measures in finite geometry: derivatives against differences of their own value, the reference pose against small
// kinematics, rigid motions and mirrors, and exact answers for taut and sliding wires.
#include <catch2/catch.hpp>

#include <Eigen/Dense>
#include <cmath>
#include <functional>

#include "solver/core/full/measures.hpp"
#include "solver/core/functional.hpp"
#include "solver/core/response.hpp"
#include "tests/reference/random.hpp"
#include "tests/unit/solver/small_systems.hpp"
#include "tests/verification/frame_model.hpp"

using namespace opisthion;
using core::full::measure;
using core::full::Measure;
using core::full::Order;
using core::full::Pose;
using core::full::Poses;
using mesh::BodyId;
using mesh::BodyKind;
using mesh::Matrix3;
using mesh::System;
using mesh::Vector3;
using mesh::Vector6;
using reference::Random;

namespace {

std::size_t at(int i) {
  return static_cast<std::size_t>(i);
}

System bodies(Random& random, int count) {
  System s;
  for (int i = 0; i < count; ++i) tests::add_body(s, Vector3(0, 0, 15.0 * i) + random.vector(5.0), BodyKind::bone);
  return s;
}
/// Every body moved by up to 4 mm and turned by up to 1 rad.
Poses random_poses(Random& random, const System& s) {
  Poses out = core::full::reference_poses(s);
  for (Pose& pose : out) {
    Vector6 step;
    step << random.vector(4.0), random.vector(1.0).normalized() * random.between(0.1, 1.0);
    pose = core::full::moved(pose, step);
  }
  return out;
}
mesh::Attachment random_point(Random& random, const System& s, int body) {
  return {{body}, mesh::body(s, {body}).position_mm + random.vector(8.0)};
}
mesh::Pad random_pad(Random& random, const System& s) {
  mesh::Pad pad;
  pad.a = random_point(random, s, 1);
  pad.b = {2};
  pad.vertex_mm = pad.a.point_mm + random.vector(2.0);
  pad.global_from_surface = random.frame();
  pad.curvature_sagittal_per_mm = random.between(-0.1, 0.1);
  pad.curvature_coronal_per_mm = random.between(-0.1, 0.1);
  return pad;
}
/// z - (s x^2 + c y^2)/2 of the pad's point in the reference pose.
double height_of(const mesh::Pad& pad) {
  const Vector3 y = pad.global_from_surface.transpose() * (pad.a.point_mm - pad.vertex_mm);
  return y.z() - 0.5 * (pad.curvature_sagittal_per_mm * y.x() * y.x() + pad.curvature_coronal_per_mm * y.y() * y.y());
}
void put_on_surface(mesh::Pad& pad) {
  pad.vertex_mm += height_of(pad) * pad.global_from_surface.col(2);
}
mesh::Ring random_ring(Random& random, const System& s) {
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
/// A rod's node on bone 0 under a loop of wire: two legs of bone and metal, metal that slips along itself through the loop.
/// The rod meets the legs at 70 degrees or so.
System wired_rod(Random& random) {
  System s = bodies(random, 2);
  const Vector3 rod = mesh::body(s, {0}).position_mm + random.vector(3.0) + Vector3(-12, 0, 0);
  const BodyId node = tests::add_body(s, rod, BodyKind::metal);
  const Vector3 outward = -Vector3::UnitX();
  const Vector3 axis = (Vector3::UnitZ() + random.vector(0.2)).normalized();
  const Vector3 aside = 2.5 * axis.cross(outward).normalized();
  const Vector3 front = rod - 9.0 * outward;
  s.strands.push_back({{{{0}, front + aside}, {node, rod + aside}, {node, rod - aside}, {{0}, front - aside}},
                       mesh::ToeLinear{0, 0, 800},
                       {}});
  s.slips.push_back({.a = {node, rod - 1.7 * outward},
                     .b = {0},
                     .direction = axis,
                     .stiffness = 500.0,
                     .cap_per_N = 0.3,
                     .normal = {{mesh::NormalForce::Of::strand, 0, 2.0}}});
  return s;
}

using Value = std::function<double(const Poses&, Order, Measure&)>;
template <typename Geometry>
Value value_of(const Geometry& geometry) {
  return [geometry](const Poses& poses, Order order, Measure& out) {
    measure(geometry, poses, order, out);
    return out.value;
  };
}

/// The bodies of `m` moved by `step` (six each).
Poses moved_by(const Poses& poses, const Measure& m, const Eigen::VectorXd& step) {
  Poses out = poses;
  for (std::size_t i = 0; i < m.bodies.size(); ++i) {
    Pose& pose = out[at(m.bodies[i].value)];
    pose = core::full::moved(pose, step.segment<6>(6 * static_cast<Eigen::Index>(i)));
  }
  return out;
}

struct Off {
  double gradient = 0.0, hessian = 0.0, curvature = 0.0, asymmetry = 0.0;
  void take(const Off& other) {
    gradient = std::max(gradient, other.gradient);
    hessian = std::max(hessian, other.hessian);
    curvature = std::max(curvature, other.curvature);
    asymmetry = std::max(asymmetry, other.asymmetry);
  }
};

/// Relative differences: gradient to differences of the value, Hessian to differences of the gradient in the chart, and d^T
/// H d to second differences of the value alone. Central, two steps, Richardson's extrapolation.
Off off_of(const Value& value, const Poses& poses, Random& random) {
  Measure m, other;
  value(poses, Order::hessian, m);
  const Eigen::Index size = m.gradient.size();
  const auto value_at = [&](const Eigen::VectorXd& step) { return value(moved_by(poses, m, step), Order::value, other); };
  const auto gradient_at = [&](const Eigen::VectorXd& step) {
    value(moved_by(poses, m, step), Order::gradient, other);
    Eigen::VectorXd g = other.gradient;  // in the chart: spins are L(theta) times increments
    for (Eigen::Index i = 3; i < size; i += 6)
      g.segment<3>(i) = core::full::left_jacobian(step.segment<3>(i)).transpose() * g.segment<3>(i).eval();
    return g;
  };
  Off out;
  Eigen::VectorXd g(size);
  Eigen::MatrixXd h(size, size);
  for (Eigen::Index j = 0; j < size; ++j) {
    const auto unit = [&](double t) -> Eigen::VectorXd { return t * Eigen::VectorXd::Unit(size, j); };
    const double step = j % 6 < 3 ? 2e-2 : 2e-3;
    const auto slope = [&](double t) { return (value_at(unit(t)) - value_at(unit(-t))) / (2.0 * t); };
    const auto bend = [&](double t) -> Eigen::VectorXd {
      return (gradient_at(unit(t)) - gradient_at(unit(-t))) / (2.0 * t);
    };
    g[j] = (4.0 * slope(0.5 * step) - slope(step)) / 3.0;
    h.col(j) = (4.0 * bend(0.5 * step) - bend(step)) / 3.0;
  }
  out.gradient = (g - m.gradient).norm() / m.gradient.norm();
  out.hessian = (h - m.hessian).norm() / std::max(1.0, m.hessian.norm());
  out.asymmetry = (m.hessian - m.hessian.transpose()).norm();
  Eigen::VectorXd d(size);
  for (Eigen::Index i = 0; i < size; ++i) d[i] = random.between(-1, 1) * (i % 6 < 3 ? 1.0 : 0.1);
  const auto second = [&](double t) {
    return (value_at(t * d) - 2.0 * value_at(Eigen::VectorXd::Zero(size)) + value_at(-t * d)) / (t * t);
  };
  const double step = 2e-2;
  out.curvature = std::abs((4.0 * second(0.5 * step) - second(step)) / 3.0 - d.dot(m.hessian * d)) / std::max(1.0, d.norm());
  return out;
}

void check_derivatives(const char* what, const Off& worst) {
  CAPTURE(what);
  verification::note_figure(what, worst.gradient, 0, worst.gradient, 1e-6);
  verification::note_figure(what, worst.hessian, 0, worst.hessian, 1e-6);
  verification::note_figure(what, worst.curvature, 0, worst.curvature, 1e-6);
  CHECK(worst.gradient < 1e-6);
  CHECK(worst.hessian < 1e-6);
  CHECK(worst.curvature < 1e-6);
  CHECK(worst.asymmetry < 1e-13);
}

/// One of each kind on three bodies, strands first, and the same seen in a mirror (y to -y).
struct Kinds {
  std::vector<Value> values{};
  std::vector<const char*> names{};
  void add(const char* name, Value value) {
    names.push_back(name);
    values.push_back(std::move(value));
  }
};

System one_of_each(Random& random) {
  System s = wired_rod(random);
  s.strands.push_back({{random_point(random, s, 0), random_point(random, s, 1)}, {}, {}});
  s.strands.push_back({{random_point(random, s, 1), random_point(random, s, 0), random_point(random, s, 0),
                        random_point(random, s, 2), random_point(random, s, 1)},
                       {},
                       {}});
  s.pads.push_back(random_pad(random, s));
  s.rings.push_back(random_ring(random, s));
  const Vector3 direction = random.vector(1.0).normalized();
  s.slips.push_back({.a = random_point(random, s, 1), .b = {0}, .direction = direction});
  s.slips.push_back({.a = random_point(random, s, 1), .b = {2}, .direction = direction, .turning = true});
  return s;
}

Kinds kinds_of(const System& s) {
  Kinds out;
  const char* strands[] = {"wire that metal slips through", "strand", "strand through one body twice"};
  for (int i = 0; i < 3; ++i) out.add(strands[i], value_of(core::full::strand_geometry(s, i)));
  out.add("pad", value_of(core::full::pad_geometry(s, s.pads[0])));
  out.add("arch", value_of(core::full::arch_geometry(s, s.rings[0])));
  out.add("ring ligament", value_of(core::full::ring_ligament_geometry(s, s.rings[0])));
  out.add("slide", value_of(core::full::slip_geometry(s, s.slips[1])));
  out.add("turn", value_of(core::full::turn_geometry(s.slips[2])));
  return out;
}

const Matrix3 kMirror = Vector3(1, -1, 1).asDiagonal();

System mirrored(System s) {
  for (mesh::Body& body : s.bodies) body.position_mm = kMirror * body.position_mm;
  for (mesh::Strand& strand : s.strands)
    for (mesh::Attachment& point : strand.path) point.point_mm = kMirror * point.point_mm;
  for (mesh::Pad& pad : s.pads) {
    pad.a.point_mm = kMirror * pad.a.point_mm;
    pad.vertex_mm = kMirror * pad.vertex_mm;
    pad.global_from_surface = kMirror * pad.global_from_surface * kMirror;  // a paraboloid is even in its own y
  }
  for (mesh::Ring& ring : s.rings) {
    ring.axis_point_mm = kMirror * ring.axis_point_mm;
    ring.anterior = kMirror * ring.anterior;
  }
  for (mesh::Slip& slip : s.slips) {
    slip.a.point_mm = kMirror * slip.a.point_mm;
    slip.direction = (slip.turning ? -1.0 : 1.0) * (kMirror * slip.direction);  // a turn is axial
  }
  return s;
}

/// Per body: translations by one 3x3, rotations by another.
Eigen::MatrixXd on_bodies(const Matrix3& translations, const Matrix3& rotations, Eigen::Index size) {
  Eigen::MatrixXd out = Eigen::MatrixXd::Zero(size, size);
  for (Eigen::Index i = 0; i < size; i += 6) {
    out.block<3, 3>(i, i) = translations;
    out.block<3, 3>(i + 3, i + 3) = rotations;
  }
  return out;
}

Eigen::VectorXd row_of(const core::Functional& functional, std::size_t count) {
  Eigen::VectorXd out = Eigen::VectorXd::Zero(6 * static_cast<Eigen::Index>(count));
  for (int b = 0; b < functional.blocks; ++b) out.segment<6>(functional.first_dof[at(b)]) += functional.row[at(b)];
  return out;
}
Eigen::VectorXd gradient_on_system(const Measure& m, std::size_t count) {
  Eigen::VectorXd out = Eigen::VectorXd::Zero(6 * static_cast<Eigen::Index>(count));
  for (std::size_t i = 0; i < m.bodies.size(); ++i)
    out.segment<6>(6 * m.bodies[i].value) += m.gradient.segment<6>(6 * static_cast<Eigen::Index>(i));
  return out;
}
Eigen::MatrixXd hessian_on_system(const Measure& m, std::size_t count) {
  const Eigen::Index size = 6 * static_cast<Eigen::Index>(count);
  Eigen::MatrixXd out = Eigen::MatrixXd::Zero(size, size);
  for (std::size_t i = 0; i < m.bodies.size(); ++i)
    for (std::size_t j = 0; j < m.bodies.size(); ++j)
      out.block<6, 6>(6 * m.bodies[i].value, 6 * m.bodies[j].value) +=
          m.hessian.block<6, 6>(6 * static_cast<Eigen::Index>(i), 6 * static_cast<Eigen::Index>(j));
  return out;
}
Eigen::MatrixXd dense(const core::BlockList& blocks, std::size_t count) {
  const Eigen::Index size = 6 * static_cast<Eigen::Index>(count);
  Eigen::MatrixXd out = Eigen::MatrixXd::Zero(size, size);
  for (const core::BlockEntry& entry : blocks) out.block<6, 6>(6 * entry.row.value, 6 * entry.column.value) += entry.block;
  return out;
}
std::vector<int> all_free(const System& s) {
  std::vector<int> first;
  for (std::size_t i = 0; i < s.bodies.size(); ++i) first.push_back(6 * static_cast<int>(i));
  return first;
}

}  // namespace

TEST_CASE("derivatives of every strain measure at large rotations are those of its value") {
  Random random(2026);
  std::vector<Off> worst(8);
  Kinds kinds;
  for (int round = 0; round < 12; ++round) {
    const System s = one_of_each(random);
    kinds = kinds_of(s);
    const Poses poses = random_poses(random, s);
    for (std::size_t k = 0; k < kinds.values.size(); ++k) worst[k].take(off_of(kinds.values[k], poses, random));
  }
  for (std::size_t k = 0; k < kinds.values.size(); ++k) check_derivatives(kinds.names[k], worst[k]);
}

TEST_CASE("a cable over twelve bodies has the derivatives of its length") {
  Random random(77);
  System s = bodies(random, 12);
  mesh::Strand cable;
  for (int i = 0; i < 12; ++i) cable.path.push_back(random_point(random, s, i));
  s.strands.push_back(cable);
  const core::full::StrandGeometry geometry = core::full::strand_geometry(s, 0);
  CHECK(geometry.bodies.size() == 12);
  check_derivatives("cable over twelve bodies", off_of(value_of(geometry), random_poses(random, s), random));
}

TEST_CASE("a large rigid motion of all bodies changes no strain measure and turns its derivatives") {
  Random random(5);
  double worst_value = 0.0, worst_gradient = 0.0, worst_hessian = 0.0;
  for (int round = 0; round < 20; ++round) {
    const System s = one_of_each(random);
    const Poses poses = random_poses(random, s);
    const Matrix3 turn = random.frame();
    const Vector3 shift = random.vector(100.0);
    Poses carried = poses;
    for (Pose& pose : carried) pose = {turn * pose.position_mm + shift, turn * pose.rotation};
    for (const Value& value : kinds_of(s).values) {
      Measure before, after;
      value(poses, Order::hessian, before);
      value(carried, Order::hessian, after);
      const Eigen::MatrixXd by = on_bodies(turn, turn, before.gradient.size());
      worst_value = std::max(worst_value, std::abs(before.value - after.value));
      worst_gradient = std::max(worst_gradient, (by * before.gradient - after.gradient).norm() / before.gradient.norm());
      worst_hessian = std::max(worst_hessian, (by * before.hessian * by.transpose() - after.hessian).norm() /
                                                  std::max(1.0, before.hessian.norm()));
    }
  }
  CHECK_SMALL(worst_value, 1e-12);
  CHECK_SMALL(worst_gradient, 1e-12);
  CHECK_SMALL(worst_hessian, 1e-12);
}

TEST_CASE("strain measures in a mirror are mirrored") {
  Random random(6);
  double worst = 0.0;
  for (int round = 0; round < 20; ++round) {
    const System s = one_of_each(random);
    const Poses poses = random_poses(random, s);
    Poses seen = poses;
    for (Pose& pose : seen) pose = {kMirror * pose.position_mm, kMirror * pose.rotation * kMirror};
    const Kinds left = kinds_of(s);
    const Kinds right = kinds_of(mirrored(s));
    for (std::size_t k = 0; k < left.values.size(); ++k) {
      Measure a, b;
      left.values[k](poses, Order::hessian, a);
      right.values[k](seen, Order::hessian, b);
      CAPTURE(left.names[k]);
      const Eigen::MatrixXd by = on_bodies(kMirror, -kMirror, a.gradient.size());
      const double off = std::abs(a.value - b.value) + (by * a.gradient - b.gradient).norm() / a.gradient.norm() +
                         (by * a.hessian * by - b.hessian).norm() / std::max(1.0, a.hessian.norm());
      worst = std::max(worst, off);
      CHECK(off < 1e-12);
    }
  }
  verification::note_figure("measures in a mirror", worst, 0, worst, 1e-12);
}

TEST_CASE("in the reference pose strain measures are the laws and the geometric stiffness of small kinematics") {
  Random random(8);
  double worst_row = 0.0, worst_stiffness = 0.0;
  for (int round = 0; round < 30; ++round) {
    System s = one_of_each(random);
    put_on_surface(s.pads[0]);
    const std::size_t count = s.bodies.size();
    const std::vector<core::Functional> rows = core::functionals_of(s, all_free(s));
    const Kinds kinds = kinds_of(s);
    const Poses poses = core::full::reference_poses(s);
    // rows: three strands, pad, arch, ring ligament, then slips, of which kinds_of leaves the first (fed by the wire) out
    const std::size_t row[] = {0, 1, 2, 3, 4, 5, 7, 8};
    REQUIRE(rows.size() == 9);
    for (std::size_t k = 0; k < kinds.values.size(); ++k) {
      Measure m;
      CAPTURE(kinds.names[k]);
      CHECK(kinds.values[k](poses, Order::hessian, m) == 0.0);
      const Eigen::VectorXd expected = row_of(rows[row[k]], count);
      const double off = (gradient_on_system(m, count) - expected).norm() / expected.norm();
      worst_row = std::max(worst_row, off);
      CHECK(off < 1e-12);
      core::BlockList blocks;
      if (k < 3) {
        const std::vector<core::SlidesAlong> slides = core::slides_of(s, static_cast<int>(k));
        CHECK(slides.size() == (k == 0 ? 1U : 0U));
        core::add_strand_prestress(s.strands[k], slides, s, 150.0, blocks);
      } else if (k == 3) {
        core::add_pad_prestress(s.pads[0], s, 150.0, blocks);
      } else if (k == 4) {
        core::add_ring_prestress(s.rings[0], s, 150.0, 0.0, blocks);
      } else if (k == 5) {
        core::add_ring_prestress(s.rings[0], s, 0.0, 150.0, blocks);
      } else {
        continue;
      }
      const Eigen::MatrixXd stiffness = dense(blocks, count);
      const double off_stiffness = (150.0 * hessian_on_system(m, count) - stiffness).norm() / stiffness.norm();
      worst_stiffness = std::max(worst_stiffness, off_stiffness);
      CHECK(off_stiffness < 1e-10);
    }
  }
  verification::note_figure("reference pose: rows", worst_row, 0, worst_row, 1e-12);
  verification::note_figure("reference pose: geometric stiffness", worst_stiffness, 0, worst_stiffness, 1e-10);
}

TEST_CASE("laws of a whole neck have the rows of small kinematics in the reference pose") {
  System s = tests::neck(4, 0);
  for (mesh::Body& body : s.bodies) body.fixed = false;
  for (mesh::Pad& pad : s.pads) put_on_surface(pad);
  const std::vector<core::Functional> rows = core::functionals_of(s, all_free(s));
  const Poses poses = core::full::reference_poses(s);
  const std::size_t count = s.bodies.size();
  std::size_t next = 0;
  const auto compare = [&](const auto& geometry) {
    Measure m;
    measure(geometry, poses, Order::gradient, m);
    CHECK(m.value == 0.0);
    CHECK((gradient_on_system(m, count) - row_of(rows[next++], count)).norm() < 1e-12 * m.gradient.norm());
  };
  for (std::size_t i = 0; i < s.strands.size(); ++i) compare(core::full::strand_geometry(s, static_cast<int>(i)));
  for (const mesh::Pad& pad : s.pads) compare(core::full::pad_geometry(s, pad));
  for (const mesh::Ring& ring : s.rings) {
    compare(core::full::arch_geometry(s, ring));
    compare(core::full::ring_ligament_geometry(s, ring));
  }
  CHECK(next == 18);
}

TEST_CASE(
    "a pad whose point stands off a curved surface differs from small kinematics by its distance times the curvature") {
  // grad (f/|grad f|) = n - g H n/|grad f| with g the distance: small kinematics keeps n alone.
  Random random(9);
  double most = 0.0;
  for (int round = 0; round < 30; ++round) {
    System s = bodies(random, 3);
    const mesh::Pad pad = random_pad(random, s);
    s.pads.push_back(pad);
    const std::vector<core::Functional> rows = core::functionals_of(s, all_free(s));
    Measure m;
    measure(core::full::pad_geometry(s, pad), core::full::reference_poses(s), Order::gradient, m);
    const Vector3 gradient = core::pad_gradient(pad);
    const double steep = gradient.norm();
    const Matrix3 bending = pad.global_from_surface *
                            Vector3(-pad.curvature_sagittal_per_mm, -pad.curvature_coronal_per_mm, 0.0).asDiagonal() *
                            pad.global_from_surface.transpose();
    const Vector3 off = height_of(pad) / (steep * steep * steep) * (bending * gradient);
    const Eigen::VectorXd difference = gradient_on_system(m, 3) - row_of(rows[0], 3);
    CHECK((difference.segment<3>(6) - off).norm() < 1e-13);
    CHECK((difference.segment<3>(12) + off).norm() < 1e-13);
    most = std::max(most, off.norm());
  }
  CHECK(most > 1e-3);  // it does differ
}

TEST_CASE("asked for less, a strain measure gives the same value and leaves the derivatives alone") {
  Random random(10);
  const System s = one_of_each(random);
  const Poses poses = random_poses(random, s);
  for (const Value& value : kinds_of(s).values) {
    Measure all, part;
    value(poses, Order::hessian, all);
    part.gradient = Eigen::VectorXd::Constant(2, 7.0);
    part.hessian = Eigen::MatrixXd::Constant(2, 2, 8.0);
    CHECK(value(poses, Order::value, part) == all.value);
    CHECK(part.gradient == Eigen::VectorXd::Constant(2, 7.0));
    CHECK(value(poses, Order::gradient, part) == all.value);
    CHECK(part.gradient == all.gradient);
    CHECK(part.hessian == Eigen::MatrixXd::Constant(2, 2, 8.0));
    CHECK(part.bodies == all.bodies);
  }
}

TEST_CASE("a strand on one body keeps its length and a segment without length pulls in no direction") {
  Random random(11);
  System s = bodies(random, 2);
  const mesh::Attachment point = random_point(random, s, 0);
  const mesh::Attachment same{{1}, point.point_mm};
  const mesh::Attachment far = random_point(random, s, 1);
  s.strands.push_back({{random_point(random, s, 0), point}, {}, {}});
  s.strands.push_back({{point, same, far}, {}, {}});
  Measure m;
  measure(core::full::strand_geometry(s, 0), random_poses(random, s), Order::hessian, m);
  CHECK(std::abs(m.value) < 1e-13);
  CHECK(m.gradient == Eigen::VectorXd::Zero(6));
  CHECK(m.hessian == Eigen::MatrixXd::Zero(6, 6));
  const core::full::StrandGeometry touching = core::full::strand_geometry(s, 1);
  CHECK(std::abs(touching.reference_length_mm - (far.point_mm - point.point_mm).norm()) < 1e-13);
  measure(touching, core::full::reference_poses(s), Order::hessian, m);
  CHECK(m.value == 0.0);
  CHECK(m.gradient == Eigen::VectorXd::Zero(12));
  CHECK(m.hessian == Eigen::MatrixXd::Zero(12, 12));
  Poses apart = core::full::reference_poses(s);
  apart[0].position_mm += Vector3(0, 0.3, 0);  // opened by a hand's 0.3 mm: now it has a direction
  measure(touching, apart, Order::hessian, m);
  CHECK(m.value == Approx(0.3).epsilon(1e-12));
  CHECK(m.gradient.head<3>().isApprox(Vector3::UnitY(), 1e-12));
}

TEST_CASE("metal that slips along itself through its loop does not lengthen the wire however far") {
  Random random(12);
  System s = wired_rod(random);
  const Vector3 axis = s.slips[0].direction;
  const core::full::StrandGeometry looped = core::full::strand_geometry(s, 0);
  REQUIRE(looped.slides.size() == 2);
  s.slips.clear();
  const core::full::StrandGeometry fast = core::full::strand_geometry(s, 0);
  CHECK(fast.slides.empty());
  const auto length_after = [&](const core::full::StrandGeometry& strand, const Vector3& shift) {
    Poses poses = core::full::reference_poses(s);
    poses[2].position_mm += shift;
    const Matrix3 turn = Eigen::AngleAxisd(2.0, Vector3(1, 2, 3).normalized()).toRotationMatrix();
    for (Pose& pose : poses)
      pose = {turn * pose.position_mm, turn * pose.rotation};  // all turned with it: rides on the bone
    Measure m;
    measure(strand, poses, Order::value, m);
    return m.value;
  };
  // The legs run along x: the part of the rod's axis across them slides, at any length. Legs are 9 mm: slipping 6 mm along
  // would cost 2 (sqrt(81 + 36) - 9) if the rod were tied to them.
  const Vector3 across = (axis - axis.x() * Vector3::UnitX()).normalized();
  CHECK(std::abs(length_after(looped, 6.0 * across)) < 1e-12);
  CHECK(length_after(fast, 6.0 * across) == Approx(2.0 * (std::sqrt(117.0) - 9.0)).epsilon(1e-12));
  // Off the bone both lengthen alike; sideways the loop holds.
  CHECK(length_after(looped, Vector3(-0.5, 0, 0)) == Approx(1.0).epsilon(1e-12));
  const Vector3 sideways = Vector3::UnitX().cross(across);
  CHECK(length_after(looped, 6.0 * sideways) == Approx(2.0 * (std::sqrt(117.0) - 9.0)).epsilon(1e-12));
}

TEST_CASE("a rod that meets its wire's legs almost along itself has no way to slide square to them") {
  Random random(13);
  System s = wired_rod(random);
  s.slips[0].direction = (Vector3::UnitX() + Vector3(0, 0, 0.3)).normalized();
  CHECK(core::full::strand_geometry(s, 0).slides.empty());
}

TEST_CASE("slides at one end of a leg that are listed twice or askew are taken out once") {
  Random random(14);
  System s = wired_rod(random);
  const Poses poses = random_poses(random, s);
  Measure once, twice;
  measure(core::full::strand_geometry(s, 0), poses, Order::hessian, once);
  s.slips.push_back(s.slips[0]);
  s.slips.back().direction *= -1.0;
  measure(core::full::strand_geometry(s, 0), poses, Order::hessian, twice);
  CHECK(once.value == twice.value);
  CHECK(once.hessian == twice.hessian);
  // A second way, 60 degrees from the first: what both span is free, so nothing across the legs lengthens them.
  const Vector3 axis = s.slips[0].direction;
  s.slips.back().direction = 0.5 * axis + std::sqrt(0.75) * Vector3::UnitX().cross(axis).normalized();
  const core::full::StrandGeometry both = core::full::strand_geometry(s, 0);
  REQUIRE(both.slides.size() == 4);
  Poses shifted = core::full::reference_poses(s);
  shifted[2].position_mm += Vector3(0, 3, -4);
  measure(both, shifted, Order::value, once);
  CHECK(std::abs(once.value) < 1e-12);
}

TEST_CASE("distance to a plane is exact however its body turns") {
  System s;
  tests::add_body(s, Vector3(1, 2, 3), BodyKind::bone);
  tests::add_body(s, Vector3(-4, 0, 7), BodyKind::bone);
  mesh::Pad pad;
  pad.a = {{0}, Vector3(5, 5, 5)};
  pad.b = {1};
  pad.vertex_mm = Vector3(5, 5, 4.2);
  Poses poses = core::full::reference_poses(s);
  const Matrix3 turn = Eigen::AngleAxisd(2.5, Vector3(1, -1, 2).normalized()).toRotationMatrix();
  poses[1] = {Vector3(3, -2, 1), turn};
  Measure m;
  measure(core::full::pad_geometry(s, pad), poses, Order::value, m);
  const Vector3 vertex = Vector3(3, -2, 1) + turn * (pad.vertex_mm - s.bodies[1].position_mm);
  CHECK(m.value == Approx(0.8 - turn.col(2).dot(pad.a.point_mm - vertex)).epsilon(1e-13));
}

TEST_CASE("turning is counted about the axis that rides on the second body and up to half a turn") {
  System s;
  tests::add_body(s, Vector3(0, 0, 0), BodyKind::bone);
  tests::add_body(s, Vector3(0, 0, 9), BodyKind::bone);
  const mesh::Slip slip{.a = {{0}, Vector3::Zero()}, .b = {1}, .direction = Vector3::UnitZ(), .turning = true};
  const Matrix3 lie = Eigen::AngleAxisd(M_PI / 2, Vector3::UnitX()).toRotationMatrix();  // z of the second body is now -y
  Poses poses = core::full::reference_poses(s);
  poses[1].rotation = lie;
  poses[0].rotation = Eigen::AngleAxisd(3.0, -Vector3::UnitY()).toRotationMatrix() * lie;
  Measure m;
  measure(core::full::turn_geometry(slip), poses, Order::gradient, m);
  CHECK(m.value == Approx(3.0).epsilon(1e-13));
  CHECK((m.gradient.segment<3>(3) + Vector3::UnitY()).norm() < 1e-12);
}

TEST_CASE("a taut wire pushed sideways gives way by the exact large displacement") {
  // verification.md C2: T0 = 20 N, L = 30 mm, 1 mm wire, EA = 151581.845536 N, lateral force at mid.
  const double axial = 151581.845536;
  System s;
  tests::add_body(s, Vector3(0, 0, 0), BodyKind::bone, true);
  tests::add_body(s, Vector3(15, 0, 0), BodyKind::metal);
  tests::add_body(s, Vector3(30, 0, 0), BodyKind::bone, true);
  const mesh::ScalarLaw law = mesh::ToeLinear{.slack = -20.0 * 30.0 / axial, .stiffness = axial / 30.0};
  s.strands.push_back({{{{0}, Vector3(0, 0, 0)}, {{1}, Vector3(15, 0, 0)}, {{2}, Vector3(30, 0, 0)}}, law, {}});
  const core::full::StrandGeometry wire = core::full::strand_geometry(s, 0);
  Poses poses = core::full::reference_poses(s);
  Measure m;
  const auto tangent = [&](const core::Response& r) {
    return r.stiffness * m.gradient[8] * m.gradient[8] + r.force * m.hessian(8, 8);
  };
  measure(wire, poses, Order::hessian, m);
  REQUIRE(m.bodies[1] == BodyId{1});
  CHECK_RELATIVE(tangent(core::respond(law, m.value)), 2.6666666667, 1e-10);
  const auto pushed = [&](double force) {
    poses = core::full::reference_poses(s);
    double residual = 1.0;
    for (int i = 0; i < 50 && std::abs(residual) > 1e-13; ++i) {
      measure(wire, poses, Order::hessian, m);
      const core::Response r = core::respond(law, m.value);
      residual = force - r.force * m.gradient[8];
      poses[1].position_mm.z() += residual / tangent(r);
    }
    CHECK(std::abs(residual) < 1e-12);
    return poses[1].position_mm.z();
  };
  CHECK_RELATIVE(pushed(0.1), 0.0366696419, 1e-8);
  CHECK_RELATIVE(pushed(1.0), 0.2127834256, 1e-9);
  CHECK_RELATIVE(pushed(10.0), 0.5736982283, 1e-9);
}

TEST_CASE("a wire on a frictionless ring along an oblique rod is held by its tension alone") {
  // verification.md C5: n = (1, 1, 0)/sqrt 2, rod along x, k = 100, T = 20, L = 25; the sliding coordinate condensed.
  System s;
  tests::add_body(s, Vector3(0, 0, 0), BodyKind::bone, true);
  tests::add_body(s, 25.0 / std::sqrt(2.0) * Vector3(1, 1, 0), BodyKind::metal);
  s.strands.push_back({{{{0}, s.bodies[0].position_mm}, {{1}, s.bodies[1].position_mm}}, {}, {}});
  Measure m;
  measure(core::full::strand_geometry(s, 0), core::full::reference_poses(s), Order::hessian, m);
  const auto condensed = [&](double tension) {
    const Eigen::Matrix2d k =
        100.0 * m.gradient.segment<2>(6) * m.gradient.segment<2>(6).transpose() + tension * m.hessian.block<2, 2>(6, 6);
    return k(1, 1) - k(0, 1) * k(1, 0) / k(0, 0);
  };
  CHECK_RELATIVE(condensed(20.0), 1.5873015873, 1e-10);
  CHECK(std::abs(condensed(0.0)) < 1e-12);
}
