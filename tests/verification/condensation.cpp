// SPDX-License-Identifier: MIT
// Section 4, two routes to one answer: condensed against whole against sparse, sums of parts, mirror image, element order.
#include <Eigen/SparseCholesky>
#include <catch2/catch.hpp>

#include "solver/core/assemble.hpp"
#include "solver/core/friction.hpp"
#include "tests/verification/random_system.hpp"

using namespace opisthion;
using namespace opisthion::verification;

namespace {

std::vector<mesh::BodyLoad> some_loads(const System& s, std::uint64_t start) {
  reference::Random random(start);
  std::vector<mesh::BodyLoad> loads;
  for (const int b : {1, 2}) {
    mesh::BodyLoad load = load_at(s, {b}, random.vector(40), random.vector(1500));
    load.at.point_mm += random.vector(10);
    loads.push_back(load);
  }
  return loads;
}

/// Linear parts assembled here, from the elements' own matrices, in a sparse matrix on all free bodies.
Eigen::SparseMatrix<double> assemble_sparse(const System& s, const core::ReducedModel& numbering) {
  std::vector<Eigen::Triplet<double>> entries;
  const auto add = [&](const std::vector<BodyId>& bodies, const Eigen::MatrixXd& k) {
    for (std::size_t i = 0; i < bodies.size(); ++i)
      for (std::size_t j = 0; j < bodies.size(); ++j) {
        const int fi = numbering.first_dof[static_cast<std::size_t>(bodies[i].value)];
        const int fj = numbering.first_dof[static_cast<std::size_t>(bodies[j].value)];
        if (fi < 0 || fj < 0) continue;
        for (int r = 0; r < 6; ++r)
          for (int c = 0; c < 6; ++c)
            entries.emplace_back(fi + r, fj + c, k(6 * static_cast<int>(i) + r, 6 * static_cast<int>(j) + c));
      }
  };
  for (const mesh::Beam& b : s.beams) {
    std::vector<BodyId> bodies{b.a, b.b};
    if (b.bone.valid() && !b.foundation.none()) bodies.push_back(b.bone);
    const Eigen::MatrixXd k = core::beam_stiffness_global(s, b);
    REQUIRE(k.rows() == 6 * static_cast<Eigen::Index>(bodies.size()));
    add(bodies, k);
  }
  for (const mesh::Cushion& c : s.cushions) add({c.a, c.b}, core::cushion_stiffness_global(s, c));
  Eigen::SparseMatrix<double> k(numbering.dofs, numbering.dofs);
  k.setFromTriplets(entries.begin(), entries.end());
  return k;
}

/// Largest difference over the bodies kept in both, relative to the largest motion.
double difference(const System& s, const core::ReducedModel& a, const Eigen::VectorXd& q, const core::ReducedModel& b,
                  const Eigen::VectorXd& r) {
  double most = 0.0, worst = 0.0;
  for (int i = 0; i < static_cast<int>(s.bodies.size()); ++i) {
    const auto at = static_cast<std::size_t>(i);
    if (a.first_dof[at] < 0 || b.first_dof[at] < 0) continue;
    most = std::max(most, scaled_norm(of_body(a, q, {i})));
    worst = std::max(worst, scaled_norm(of_body(a, q, {i}) - of_body(b, r, {i})));
  }
  return worst / most;
}

Eigen::MatrixXd scaled(const core::ReducedModel& m) {
  Eigen::VectorXd d(m.dofs);
  for (int i = 0; i < m.dofs; ++i) d(i) = 1.0 / m.dof_scale[static_cast<std::size_t>(i)];
  return d.asDiagonal() * m.stiffness * d.asDiagonal();
}

template <class T>
void shuffle(std::vector<T>& v, reference::Random& random) {
  for (std::size_t i = v.size(); i > 1; --i)
    std::swap(v[i - 1], v[static_cast<std::size_t>(random.whole(0, static_cast<int>(i) - 1))]);
}

}  // namespace

TEST_CASE("condensed, whole and sparse linear models give one answer") {
  for (std::uint64_t start = 1; start <= 20; ++start) {
    const System s = random_neck(start, {.one_sided = false, .cross_link = start % 2 == 0});
    const core::ReducedModel full = core::reduce_nothing(s);
    const Condensed small = condensed(s);
    CHECK(small.model.dofs == 12);
    CHECK(small.parts.size() == (start % 2 == 0 ? 1 : 2));
    const auto loads = some_loads(s, start);
    const Eigen::VectorXd f = core::load_vector(s, full, loads);
    const Eigen::VectorXd q = solve(full, f, 0.0), r = solve(small.model, core::load_vector(s, small.model, loads), 0.0);
    CHECK_SMALL(difference(s, full, q, small.model, r), 1e-10);

    const Eigen::SparseMatrix<double> k = assemble_sparse(s, full);
    CHECK_SMALL((full.stiffness - Eigen::MatrixXd(k)).norm() / full.stiffness.norm(), 1e-14);
    const Eigen::SimplicialLDLT<Eigen::SparseMatrix<double>> factor(k);
    const Eigen::VectorXd sparse = factor.solve(f);
    CHECK_SMALL(difference(s, full, q, full, sparse), 1e-10);

    // Metal that condensed away comes back.
    double most = 0.0, worst = 0.0;
    for (const core::CondensedComponent& part : small.parts) {
      Eigen::VectorXd ports(6 * static_cast<Eigen::Index>(part.ports.size()));
      for (std::size_t i = 0; i < part.ports.size(); ++i)
        ports.segment<6>(6 * static_cast<Eigen::Index>(i)) = of_body(small.model, r, part.ports[i]);
      const Eigen::VectorXd interior = part.recovery * ports + part.interior0;
      for (std::size_t i = 0; i < part.interior.size(); ++i) {
        const Vector6 expected = of_body(full, q, part.interior[i]);
        most = std::max(most, scaled_norm(expected));
        worst = std::max(worst, scaled_norm(Vector6(interior.segment<6>(6 * static_cast<Eigen::Index>(i))) - expected));
      }
    }
    CHECK(most > 0.0);
    CHECK_SMALL(worst / most, 1e-10);
  }
}

TEST_CASE("with strands, pads, ring and curves condensed and whole models give one answer") {
  int open = 0, closed = 0;
  for (std::uint64_t start = 1; start <= 20; ++start) {
    const System s = random_neck(start, {.one_sided = true, .cross_link = start % 2 == 0});
    const core::ReducedModel full = core::reduce_nothing(s);
    const Condensed small = condensed(s);
    CHECK(small.model.dofs == 24);  // two bones and two pieces of metal that a law touches
    const auto loads = some_loads(s, start);
    const Eigen::VectorXd q = solve(full, core::load_vector(s, full, loads)),
                          r = solve(small.model, core::load_vector(s, small.model, loads));
    CHECK_SMALL(difference(s, full, q, small.model, r), 1e-10);
    REQUIRE(full.functionals.size() == small.model.functionals.size());
    for (std::size_t i = 0; i < full.functionals.size(); ++i) {
      CHECK(std::abs(full.functionals[i].at(q) - small.model.functionals[i].at(r)) < 1e-10);
      if (const auto* toe = std::get_if<mesh::ToeLinear>(&full.functionals[i].law))
        (full.functionals[i].at(q) > toe->slack ? closed : open)++;
    }
    CHECK_RELATIVE(core::energy_at(small.model, r, 1.0), core::energy_at(full, q, 1.0), 1e-10);
    Eigen::VectorXd residual;
    core::residual_at(full, q, core::load_vector(s, full, loads), 1.0, residual);
    CHECK_SMALL(residual.norm() / core::load_vector(s, full, loads).norm(), 1e-9);
  }
  CHECK(open > 20);
  CHECK(closed > 20);
}

TEST_CASE("the stiffness of a neck with two sides is that of joints, left and right") {
  for (std::uint64_t start = 1; start <= 20; ++start) {
    const System whole = random_neck(start, {.one_sided = false});
    const Eigen::MatrixXd k = scaled(condensed(whole).model);
    Eigen::MatrixXd sum = Eigen::MatrixXd::Zero(k.rows(), k.cols());
    for (int part = 0; part < 3; ++part) {
      const System alone =
          random_neck(start, {.joints = part == 0, .left = part == 1, .right = part == 2, .one_sided = false});
      const Condensed c = condensed(alone);
      REQUIRE(c.model.dofs == 12);
      sum += scaled(c.model);
    }
    CHECK_SMALL((k - sum).norm() / k.norm(), 1e-12);
    CHECK_SMALL((k - sum).cwiseAbs().maxCoeff() / k.cwiseAbs().maxCoeff(), 1e-12);
  }
}

TEST_CASE("a mirrored neck under a mirrored load moves as the mirror image") {
  for (std::uint64_t start = 1; start <= 10; ++start) {
    const System s = random_neck(start, {.one_sided = true});
    const System m = mirrored(s);
    const Vector3 mirror(1, -1, 1);
    auto loads = some_loads(s, start);
    const Condensed a = condensed(s), b = condensed(m);
    const Eigen::VectorXd q = solve(a.model, core::load_vector(s, a.model, loads));
    for (mesh::BodyLoad& l : loads) {
      l.at.point_mm = mirror.cwiseProduct(l.at.point_mm);
      l.force_N = mirror.cwiseProduct(l.force_N);
      l.moment_Nmm = -mirror.cwiseProduct(l.moment_Nmm);
    }
    const Eigen::VectorXd r = solve(b.model, core::load_vector(m, b.model, loads));
    double most = 0.0, worst = 0.0;
    for (int i = 0; i < static_cast<int>(s.bodies.size()); ++i) {
      Vector6 u = of_body(a.model, q, {i});
      u.head<3>() = mirror.cwiseProduct(u.head<3>().eval());
      u.tail<3>() = -mirror.cwiseProduct(u.tail<3>().eval());
      most = std::max(most, scaled_norm(u));
      worst = std::max(worst, scaled_norm(of_body(b.model, r, {i}) - u));
    }
    CHECK(most > 0.0);
    CHECK_SMALL(worst / most, 1e-10);
  }
}

TEST_CASE("the order of the elements does not change the answer") {
  for (std::uint64_t start = 1; start <= 10; ++start) {
    const System s = random_neck(start, {.one_sided = true});
    System t = s;
    reference::Random random(start + 7);
    shuffle(t.beams, random);
    shuffle(t.cushions, random);
    shuffle(t.strands, random);
    shuffle(t.pads, random);
    const auto loads = some_loads(s, start);
    const Condensed a = condensed(s), b = condensed(t);
    const Eigen::VectorXd q = solve(a.model, core::load_vector(s, a.model, loads));
    const Eigen::VectorXd r = solve(b.model, core::load_vector(t, b.model, loads));
    CHECK_SMALL(difference(s, a.model, q, b.model, r), 1e-10);
  }
}

TEST_CASE("tightened, locked last and rubbing, condensed, whole and sparse models give one answer") {
  int locked = 0, slid = 0, stuck = 0, with_prestress = 0;
  for (std::uint64_t start = 1; start <= 24; ++start) {
    System s = random_neck(start, {.one_sided = true, .cross_link = start % 2 == 0});
    reference::Random random(start + 500);
    const bool lock_last = start % 3 == 0;
    // Strands between bones are tightened; two pieces of metal rub on the bone they touch.
    for (std::size_t i = 0; i < s.strands.size(); ++i) {
      mesh::Strand& strand = s.strands[i];
      if (mesh::body(s, strand.path.back().body).kind == mesh::BodyKind::metal) continue;
      auto& law = std::get<mesh::ToeLinear>(strand.law);
      law.toe = 0.0;
      if (i % 2 == 0) strand.tighten_N = random.between(5, 60);
    }
    for (int i = 0; i < 3; ++i)
      s.slips.push_back({.a = s.pads[0].a,
                         .b = s.pads[0].b,
                         .direction = random.frame().col(0),
                         .turning = i == 2,
                         .stiffness = i == 2 ? 4e4 : 300.0,
                         .cap_per_N = i == 2 ? 2.0 : 0.4,
                         .normal = {{mesh::NormalForce::Of::pad, 0, 1.0}, {mesh::NormalForce::Of::strand, 0, 0.5}}});
    std::vector<mesh::Component> components = mesh::find_components(s);
    std::vector<core::CondensedComponent> parts;
    for (mesh::Component& component : components) {
      component.locked_last = lock_last;
      core::CondenseOutcome part = core::condense(s, component);
      REQUIRE(part.regular);
      parts.push_back(part.component);
    }
    core::Assembly small = core::assemble(s, components, parts);
    core::Assembly whole = core::assemble_whole(s, components);
    CAPTURE(start, lock_last, static_cast<int>(small.status), static_cast<int>(whole.status));
    REQUIRE(small.status == core::AssemblyStatus::assembled);
    REQUIRE(whole.status == core::AssemblyStatus::assembled);
    REQUIRE(small.buckles == whole.buckles);
    CHECK(small.friction_held == whole.friction_held);
    locked += lock_last;
    with_prestress += small.buckles ? 0 : 1;
    CHECK_SMALL(difference(s, whole.model, whole.q, small.model, small.q), 1e-10);
    for (const core::Tightened& t : small.model.tightened) {
      const core::Functional& f = small.model.functionals[static_cast<std::size_t>(t.functional)];
      CHECK_RELATIVE(core::respond(f.law, f.at(small.q)).force, t.force_N, 1e-9);
    }
    // The assembled pose is in equilibrium without load, and what regularisation held there is little.
    Eigen::VectorXd left;
    core::residual_at(small.model, small.q, Eigen::VectorXd::Zero(small.model.dofs), 1.0, left);
    CHECK(left.norm() < 1e-6);
    CHECK(small.imbalance_N < 0.05);

    auto loads = some_loads(s, start);
    for (mesh::BodyLoad& load : loads) load.force_N *= 0.5, load.moment_Nmm *= 0.5;
    Eigen::VectorXd q = whole.q, r = small.q, p = whole.q;
    core::EquilibriumWorkspace work;
    const core::EquilibriumOptions options;
    const auto by_whole = core::solve_with_friction(whole.model, core::load_vector(s, whole.model, loads), options, work, q);
    const auto by_small = core::solve_with_friction(small.model, core::load_vector(s, small.model, loads), options, work, r);
    core::SparseModel sparse = core::sparse_model(core::assemble_whole(s, components).model);
    core::SparseSolver solver(sparse);
    const auto by_sparse = core::solve_with_friction(sparse, solver, core::load_vector(s, sparse, loads), options, p);
    if (!by_whole) {  // a branch of the assembled state: all three say so
      CHECK(!by_small);
      CHECK(!by_sparse);
      continue;
    }
    REQUIRE(by_small);
    REQUIRE(by_sparse);
    CHECK(by_small.caps_settled);
    CHECK_SMALL(difference(s, whole.model, q, small.model, r), 1e-9);
    CHECK_SMALL(difference(s, whole.model, q, whole.model, p), 1e-9);
    CHECK_RELATIVE(by_small.energy_Nmm, by_whole.energy_Nmm, 1e-8);
    const std::size_t at_cap = core::sliding(small.model, r).size();
    CHECK(at_cap == core::sliding(whole.model, q).size());
    slid += static_cast<int>(at_cap);
    stuck += 3 - static_cast<int>(at_cap);
  }
  CHECK(locked == 8);
  CHECK(slid > 5);
  CHECK(stuck > 5);
  CHECK(with_prestress > 5);
}
