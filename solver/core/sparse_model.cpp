// SPDX-License-Identifier: MIT
#include "solver/core/sparse_model.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cassert>
#include <cmath>

#include "solver/core/at_index.hpp"
#include "solver/core/blocks.hpp"
#include "solver/core/functional.hpp"
#include "solver/core/newton.hpp"

namespace opisthion::core {
namespace {

using mesh::BodyId;
using Triplets = std::vector<Eigen::Triplet<double>>;

void add(const SparseModel& model, Triplets& target, BodyId row, BodyId column, const mesh::Matrix6& block) {
  const int i = model.first_dof[at_index(row.value)];
  const int j = model.first_dof[at_index(column.value)];
  if (i < 0 || j < 0) return;
  for (int c = 0; c < 6; ++c) {
    for (int r = 0; r < 6; ++r) {
      target.emplace_back(i + r, j + c, block(r, c));
      if (i != j) target.emplace_back(j + c, i + r, block(r, c));
    }
  }
}

void add_pair(const SparseModel& model, Triplets& target, BodyId a, BodyId b, const PairBlocks& pair) {
  add(model, target, a, a, pair.aa);
  add(model, target, a, b, pair.ab);
  add(model, target, b, b, pair.bb);
}

/// Calls visit(row, column, product) for each entry of the lower triangle of a functional's outer product.
template <typename Visit>
void visit_outer(const Functional& f, const Visit& visit) {
  for (int a = 0; a < f.blocks; ++a) {
    for (int b = 0; b < f.blocks; ++b) {
      const std::size_t ia = at_index(a);
      const std::size_t ib = at_index(b);
      for (int j = 0; j < 6; ++j)
        for (int i = 0; i < 6; ++i)
          if (f.first_dof[ia] + i >= f.first_dof[ib] + j)
            visit(f.first_dof[ia] + i, f.first_dof[ib] + j, f.row[ia][i] * f.row[ib][j]);
    }
  }
}

/// Position of an entry in the value array of a compressed matrix.
int place_of(const Eigen::SparseMatrix<double>& m, int row, int column) {
  const int* from = m.innerIndexPtr() + m.outerIndexPtr()[column];
  const int* to = m.innerIndexPtr() + m.outerIndexPtr()[column + 1];
  const int* found = std::lower_bound(from, to, row);
  assert(found != to && *found == row);
  return static_cast<int>(found - m.innerIndexPtr());
}

}  // namespace

SparseModel sparse_model(const mesh::System& system) {
  SparseModel model;
  model.first_dof.assign(system.bodies.size(), -1);
  for (std::size_t i = 0; i < system.bodies.size(); ++i) {
    if (system.bodies[i].fixed) continue;
    model.first_dof[i] = model.dofs;
    model.dofs += 6;
  }
  model.force0.setZero(model.dofs);
  model.dof_scale.resize(at_index(model.dofs));
  for (int i = 0; i < model.dofs; ++i) model.dof_scale[at_index(i)] = i % 6 < 3 ? 1.0 : kRotationScale_mm;
  Triplets entries;
  for (const mesh::Beam& beam : system.beams) {
    const PairBlocks pair = beam_blocks(beam);
    add_pair(model, entries, beam.a, beam.b, pair);
    if (!beam.bone.valid()) continue;
    const BoneBlocks bone = bone_blocks(system, beam, pair);
    add(model, entries, beam.a, beam.bone, bone.ac);
    add(model, entries, beam.b, beam.bone, bone.bc);
    add(model, entries, beam.bone, beam.bone, bone.cc);
  }
  for (const mesh::Cushion& cushion : system.cushions)
    add_pair(model, entries, cushion.a, cushion.b, cushion_blocks(system, cushion));
  model.stiffness.resize(model.dofs, model.dofs);
  model.stiffness.setFromTriplets(entries.begin(), entries.end());
  entries.clear();
  for (const mesh::NeighbourPair& pair : system.neighbours) {
    const NeighbourBlocks blocks = neighbour_blocks(system, pair);
    add_pair(model, entries, pair.upper, pair.lower, {blocks.uu, blocks.ul, blocks.ll});
  }
  model.regularisation.resize(model.dofs, model.dofs);
  model.regularisation.setFromTriplets(entries.begin(), entries.end());
  model.functionals = functionals_of(system, model.first_dof);
  model.frictions = frictions_of(system);
  model.tightened = tightened_of(system);
  return model;
}

SparseModel sparse_model(const ReducedModel& whole) {
  SparseModel model;
  model.first_dof = whole.first_dof;
  model.dofs = whole.dofs;
  model.stiffness = whole.stiffness.sparseView();
  model.regularisation = whole.regularisation.sparseView();
  model.force0 = whole.force0;
  model.functionals = whole.functionals;
  model.dof_scale = whole.dof_scale;
  model.frictions = whole.frictions;
  model.tightened = whole.tightened;
  model.assembled = whole.assembled;
  return model;
}

Eigen::VectorXd load_vector(const mesh::System& system, const SparseModel& model, std::span<const mesh::BodyLoad> loads) {
  ReducedModel numbering;
  numbering.first_dof = model.first_dof;
  numbering.dofs = model.dofs;
  return load_vector(system, numbering, loads);
}

/// What the Newton loop asks of a solver, on the lower triangle.
class SparseBackend {
 public:
  SparseBackend(SparseSolver& solver, double regularisation) : s_(solver), regularisation_(regularisation) {
    double* values = s_.linear_.valuePtr();
    for (std::size_t i = 0; i < s_.stiffness_values_.size(); ++i)
      values[i] = s_.stiffness_values_[i] + regularisation * s_.regularisation_values_[i];
    const SparseModel& m = s_.model_;
    if (m.assembled.size() > 0) s_.work_.constant = m.force0 - regularisation * (m.regularisation * m.assembled);
  }
  int dofs() const { return s_.model_.dofs; }
  const double* force0() const { return (assembled().size() > 0 ? s_.work_.constant : s_.model_.force0).data(); }
  const Eigen::VectorXd& assembled() const { return s_.model_.assembled; }
  const std::vector<Tightened>& tightened() const { return s_.model_.tightened; }
  const std::vector<Functional>& functionals() const { return s_.model_.functionals; }
  const std::vector<double>& dof_scale() const { return s_.model_.dof_scale; }
  void multiply(const Eigen::VectorXd& q, Eigen::VectorXd& out) const {
    out.setZero();
    for_entries([&](int row, int column, double value) {
      out[row] += value * q[column];
      if (row != column) out[column] += value * q[row];
    });
  }
  double gross(const Eigen::VectorXd& q) const {
    Eigen::VectorXd sum = Eigen::VectorXd::Zero(q.size());
    for_entries([&](int row, int column, double value) {
      sum[row] += std::abs(value * q[column]);
      if (row != column) sum[column] += std::abs(value * q[row]);
    });
    return scaled_norm(sum, s_.model_.dof_scale);
  }
  bool factor(const std::vector<double>& law_stiffness) {
    double* values = s_.tangent_.valuePtr();
    std::copy_n(s_.linear_.valuePtr(), s_.linear_.nonZeros(), values);
    std::size_t place = 0;
    for (std::size_t j = 0; j < law_stiffness.size(); ++j)
      visit_outer(s_.model_.functionals[j], [&](int, int, double product) {
        values[s_.places_[place]] += law_stiffness[j] * product;
        ++place;
      });
    for (int i = 0; i < dofs(); ++i) {
      const double own = values[s_.tangent_.outerIndexPtr()[i]];  // the diagonal leads each column of a lower triangle
      if (!(own > 0.0)) return false;
      s_.diagonal_[i] = 1.0 / std::sqrt(own);
    }
    for (int j = 0; j < dofs(); ++j)
      for (int k = s_.tangent_.outerIndexPtr()[j]; k < s_.tangent_.outerIndexPtr()[j + 1]; ++k)
        values[k] *= s_.diagonal_[s_.tangent_.innerIndexPtr()[k]] * s_.diagonal_[j];
    s_.factor_.factorize(s_.tangent_);
    if (s_.factor_.info() != Eigen::Success) return false;
    return s_.factor_.vectorD().minCoeff() > kSingularPivot;
  }
  void solve(const Eigen::VectorXd& right, Eigen::VectorXd& out) const {
    out = right.cwiseProduct(s_.diagonal_);
    out = s_.factor_.solve(out).eval();
    out.array() *= s_.diagonal_.array();
  }
  double regularisation_energy(const Eigen::VectorXd& q) const {
    return 0.5 * regularisation_ * q.dot(s_.model_.regularisation * q);
  }

 private:
  template <typename Visit>
  void for_entries(const Visit& visit) const {
    for (int j = 0; j < s_.model_.dofs; ++j)
      for (int k = s_.linear_.outerIndexPtr()[j]; k < s_.linear_.outerIndexPtr()[j + 1]; ++k)
        visit(s_.linear_.innerIndexPtr()[k], j, s_.linear_.valuePtr()[k]);
  }
  SparseSolver& s_;
  double regularisation_;
};

SparseSolver::SparseSolver(const SparseModel& model) : model_(model) {
  Triplets pattern;
  const auto take = [&](const Eigen::SparseMatrix<double>& m) {
    for (int j = 0; j < model.dofs; ++j)
      for (Eigen::SparseMatrix<double>::InnerIterator it(m, j); it; ++it)
        if (it.row() >= j) pattern.emplace_back(static_cast<int>(it.row()), j, 0.0);
  };
  take(model.stiffness);
  take(model.regularisation);
  for (int i = 0; i < model.dofs; ++i) pattern.emplace_back(i, i, 0.0);
  for (const Functional& f : model.functionals)
    visit_outer(f, [&](int row, int column, double) { pattern.emplace_back(row, column, 0.0); });
  linear_.resize(model.dofs, model.dofs);
  linear_.setFromTriplets(pattern.begin(), pattern.end());
  linear_.makeCompressed();
  tangent_ = linear_;
  const auto values_of = [&](const Eigen::SparseMatrix<double>& m) {
    std::vector<double> values(static_cast<std::size_t>(linear_.nonZeros()), 0.0);
    for (int j = 0; j < model.dofs; ++j)
      for (Eigen::SparseMatrix<double>::InnerIterator it(m, j); it; ++it)
        if (it.row() >= j) values[at_index(place_of(linear_, static_cast<int>(it.row()), j))] = it.value();
    return values;
  };
  stiffness_values_ = values_of(model.stiffness);
  regularisation_values_ = values_of(model.regularisation);
  for (const Functional& f : model.functionals)
    visit_outer(f, [&](int row, int column, double) { places_.push_back(place_of(linear_, row, column)); });
  diagonal_.setOnes(model.dofs);
  factor_.analyzePattern(tangent_);
}

EquilibriumOutcome SparseSolver::solve(const Eigen::VectorXd& load, const EquilibriumOptions& options, Eigen::VectorXd& q) {
  assert(load.size() == model_.dofs && q.size() == model_.dofs);
  SparseBackend backend(*this, options.regularisation);
  return Newton<SparseBackend>(backend, load, options, work_).run(q);
}

}  // namespace opisthion::core
