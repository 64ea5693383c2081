// SPDX-License-Identifier: MIT
#include "solver/core/condense.hpp"

#include <algorithm>
#include <bit>
#include <cassert>
#include <cmath>
#include <cstdint>

#include "solver/core/at_index.hpp"
#include "solver/core/blocks.hpp"

namespace opisthion::core {
namespace {

using mesh::BodyId;
using mesh::Matrix6;

// A pivot below this share of the body's own stiffness is rounding: nothing holds it. Soft beds on stiff rods reach 1e-8.
constexpr double kLoosePivot = 1e-12;

/// Lists of nodes, one per elimination step, behind one another.
struct Touched {
  std::vector<std::size_t> first{};
  std::vector<int> nodes{};
  std::span<int> at(int step) { return {nodes.data() + first[at_index(step)], nodes.data() + first[at_index(step + 1)]}; }
};

/// Who touches whom, a row of bits a node. Nodes below `interior` condense away.
class Graph {
 public:
  Graph(int nodes, int interior)
      : nodes_(nodes), interior_(interior), words_((nodes + 63) / 64), bits_(at_index(nodes * words_), 0) {}

  void connect(int a, int b) {
    if (a == b) return;
    set(a, b);
    set(b, a);
  }

  /// Least degree first; `touched` gets what each node still touches when its turn comes.
  void eliminate(std::vector<int>& order, Touched& touched) {
    std::vector<char> gone(at_index(interior_), 0);
    order.clear();
    order.reserve(at_index(interior_));
    touched.first.reserve(at_index(interior_ + 1));
    touched.first.push_back(0);
    touched.nodes.reserve(at_index(4 * interior_));
    for (int step = 0; step < interior_; ++step) {
      int best = -1;
      int best_degree = nodes_ + 1;
      for (int k = 0; k < interior_; ++k) {
        if (gone[at_index(k)]) continue;
        const int degree = degree_of(k);
        if (degree < best_degree) {
          best_degree = degree;
          best = k;
        }
      }
      gone[at_index(best)] = 1;
      order.push_back(best);
      for (int w = 0; w < words_; ++w)
        for (std::uint64_t left = word(best, w); left != 0; left &= left - 1)
          touched.nodes.push_back(64 * w + std::countr_zero(left));
      touched.first.push_back(touched.nodes.size());
      for (const int i : touched.at(step)) {
        for (int w = 0; w < words_; ++w) word(i, w) |= word(best, w);
        clear(i, i);
        clear(i, best);
      }
    }
  }

 private:
  std::uint64_t& word(int row, int w) { return bits_[at_index(row * words_ + w)]; }
  void set(int row, int column) { word(row, column / 64) |= std::uint64_t{1} << (column % 64); }
  void clear(int row, int column) { word(row, column / 64) &= ~(std::uint64_t{1} << (column % 64)); }
  int degree_of(int row) {
    int degree = 0;
    for (int w = 0; w < words_; ++w) degree += std::popcount(word(row, w));
    return degree;
  }

  int nodes_, interior_, words_;
  std::vector<std::uint64_t> bits_;
};

/// Lower Cholesky factor of a 6x6 with the diagonal inverted; false when a pivot is lost.
bool factor(const Matrix6& k, const mesh::Vector6& own, Matrix6& l) {
  for (int j = 0; j < 6; ++j) {
    double pivot = k(j, j);
    for (int m = 0; m < j; ++m) pivot -= l(j, m) * l(j, m);
    if (!(pivot > kLoosePivot * own[j])) return false;
    l(j, j) = 1.0 / std::sqrt(pivot);
    for (int i = j + 1; i < 6; ++i) {
      double sum = k(i, j);
      for (int m = 0; m < j; ++m) sum -= l(i, m) * l(j, m);
      l(i, j) = sum * l(j, j);
    }
  }
  return true;
}

/// z := z L^-T, by columns so that the rows run side by side.
void divide(double* __restrict z, const Matrix6& l) {
  for (int j = 0; j < 6; ++j) {
    for (int m = 0; m < j; ++m) {
      const double f = l(j, m);
      for (int i = 0; i < 6; ++i) z[6 * j + i] -= f * z[6 * m + i];
    }
    for (int i = 0; i < 6; ++i) z[6 * j + i] *= l(j, j);
  }
}

/// c := c - a b^T.
void subtract_product(double* __restrict c, const double* __restrict a, const double* __restrict b) {
  for (int j = 0; j < 6; ++j) {
    for (int m = 0; m < 6; ++m) {
      const double f = b[6 * m + j];
      for (int i = 0; i < 6; ++i) c[6 * j + i] -= f * a[6 * m + i];
    }
  }
}

/// y := y - a x.
void subtract_times(double* __restrict y, const double* __restrict a, const double* __restrict x) {
  for (int m = 0; m < 6; ++m)
    for (int i = 0; i < 6; ++i) y[i] -= a[6 * m + i] * x[m];
}

/// y := u^-1 y, the diagonal of u inverted.
void solve_upper(const Matrix6& u, double* y) {
  for (int j = 5; j >= 0; --j) {
    y[j] *= u(j, j);
    for (int i = 0; i < j; ++i) y[i] -= u(i, j) * y[j];
  }
}

/// Blocks of the lower triangle in the order of elimination, made when first touched.
class Blocks {
 public:
  explicit Blocks(int nodes) : nodes_(nodes), index_(at_index(nodes * nodes), -1) {}
  void reserve(std::size_t count) { pool_.reserve(count); }
  Matrix6& at(int row, int column) {
    int& i = index_[at_index(row * nodes_ + column)];
    if (i < 0) {
      i = static_cast<int>(pool_.size());
      pool_.push_back(Matrix6::Zero());
    }
    return pool_[at_index(i)];
  }
  const Matrix6* find(int row, int column) const {
    const int i = index_[at_index(row * nodes_ + column)];
    return i < 0 ? nullptr : &pool_[at_index(i)];
  }
  void add(int a, int b, const Matrix6& ab) {
    if (a >= b)
      at(a, b) += ab;
    else
      at(b, a) += ab.transpose();
  }

 private:
  int nodes_;
  std::vector<int> index_;
  std::vector<Matrix6> pool_;
};

int place_of(const std::vector<BodyId>& sorted, BodyId id) {
  const auto found = std::lower_bound(sorted.begin(), sorted.end(), id);
  return found != sorted.end() && *found == id ? static_cast<int>(found - sorted.begin()) : -1;
}

}  // namespace

CondenseOutcome condense(const mesh::System& system, const mesh::Component& component, Recovery recovery) {
  CondenseOutcome outcome;
  CondensedComponent& out = outcome.component;
  out.ports = component.ports;
  out.interior = component.interior;
  const int interior = static_cast<int>(component.interior.size());
  const int ports = static_cast<int>(component.ports.size());
  const int nodes = interior + ports;
  const auto node_of = [&](BodyId id) {
    const int inside = place_of(component.interior, id);
    if (inside >= 0) return inside;
    const int port = place_of(component.ports, id);
    assert(port >= 0 && "an element of a component touches a body that is neither interior nor port");
    return interior + port;
  };

  Graph graph(nodes, interior);
  for (const int i : component.beams) {
    const mesh::Beam& beam = system.beams[at_index(i)];
    const int a = node_of(beam.a);
    const int b = node_of(beam.b);
    graph.connect(a, b);
    if (!beam.bone.valid()) continue;
    const int c = node_of(beam.bone);
    graph.connect(a, c);
    graph.connect(b, c);
  }
  for (const int i : component.cushions) {
    const mesh::Cushion& cushion = system.cushions[at_index(i)];
    graph.connect(node_of(cushion.a), node_of(cushion.b));
  }
  std::vector<int> order;
  Touched touched;
  graph.eliminate(order, touched);

  // place[node]: its turn; ports come last in their own order
  std::vector<int> place(at_index(nodes));
  for (int k = 0; k < interior; ++k) place[at_index(order[at_index(k)])] = k;
  for (int p = 0; p < ports; ++p) place[at_index(interior + p)] = interior + p;
  std::size_t count = at_index(ports * (ports + 1) / 2 + interior);
  for (int k = 0; k < interior; ++k) {
    const std::span<int> list = touched.at(k);
    for (int& i : list) i = place[at_index(i)];
    std::sort(list.begin(), list.end());
  }
  count += touched.nodes.size();
  Blocks blocks(nodes);
  blocks.reserve(count);

  for (const int i : component.beams) {
    const mesh::Beam& beam = system.beams[at_index(i)];
    const int a = place[at_index(node_of(beam.a))];
    const int b = place[at_index(node_of(beam.b))];
    const PairBlocks pair = beam_blocks(beam);
    blocks.add(a, a, pair.aa);
    blocks.add(b, b, pair.bb);
    blocks.add(a, b, pair.ab);
    if (!beam.bone.valid()) continue;
    const int c = place[at_index(node_of(beam.bone))];
    const BoneBlocks bone = bone_blocks(system, beam, pair);
    blocks.add(a, c, bone.ac);
    blocks.add(b, c, bone.bc);
    blocks.add(c, c, bone.cc);
  }
  for (const int i : component.cushions) {
    const mesh::Cushion& cushion = system.cushions[at_index(i)];
    const int a = place[at_index(node_of(cushion.a))];
    const int b = place[at_index(node_of(cushion.b))];
    const PairBlocks pair = cushion_blocks(system, cushion);
    blocks.add(a, a, pair.aa);
    blocks.add(b, b, pair.bb);
    blocks.add(a, b, pair.ab);
  }

  std::vector<mesh::Vector6> own(at_index(interior));
  for (int k = 0; k < interior; ++k) own[at_index(k)] = blocks.at(k, k).diagonal();
  std::vector<Matrix6> factors(at_index(interior));
  for (int k = 0; k < interior; ++k) {
    Matrix6& l = factors[at_index(k)];
    const int node = order[at_index(k)];
    if (!factor(blocks.at(k, k), own[at_index(k)], l)) {
      outcome.loose = component.interior[at_index(node)];
      return outcome;
    }
    const std::span<const int> list = touched.at(k);
    for (std::size_t i = 0; i < list.size(); ++i) {
      double* row = blocks.at(list[i], k).data();  // the pool is reserved: making a block moves no other
      divide(row, l);
      for (std::size_t j = 0; j <= i; ++j)
        subtract_product(blocks.at(list[i], list[j]).data(), row, blocks.at(list[j], k).data());
    }
  }

  out.stiffness.setZero(6 * ports, 6 * ports);
  for (int p = 0; p < ports; ++p) {
    for (int r = 0; r <= p; ++r) {
      const Matrix6* block = blocks.find(interior + p, interior + r);
      if (block == nullptr) continue;
      if (p == r) {
        out.stiffness.block<6, 6>(6 * p, 6 * p) = 0.5 * (*block + block->transpose());
      } else {
        out.stiffness.block<6, 6>(6 * p, 6 * r) = *block;
        out.stiffness.block<6, 6>(6 * r, 6 * p) = block->transpose();
      }
    }
  }
  out.force0.setZero(6 * ports);
  outcome.regular = true;
  if (recovery == Recovery::leave_out) return outcome;

  // Backwards: L^T x_k = -sum Z_ik^T x_i over what node k touched, Z the divided blocks.
  out.recovery.setZero(6 * interior, 6 * ports);
  out.interior0.setZero(6 * interior);
  const Eigen::Index stride = out.recovery.outerStride();
  const int columns = 6 * ports;
  for (int k = interior - 1; k >= 0; --k) {
    double* const rows = out.recovery.data() + 6 * order[at_index(k)];
    for (const int i : touched.at(k)) {
      const Matrix6 turned = blocks.find(i, k)->transpose();
      if (i >= interior) {
        out.recovery.block<6, 6>(6 * order[at_index(k)], 6 * (i - interior)) -= turned;
        continue;
      }
      const double* const other = out.recovery.data() + 6 * order[at_index(i)];
      for (int c = 0; c < columns; ++c) subtract_times(rows + c * stride, turned.data(), other + c * stride);
    }
    const Matrix6 l_transposed = factors[at_index(k)].transpose();
    for (int c = 0; c < columns; ++c) solve_upper(l_transposed, rows + c * stride);
  }
  return outcome;
}

}  // namespace opisthion::core
