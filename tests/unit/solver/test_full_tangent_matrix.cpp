// SPDX-License-Identifier: MIT
#include <Eigen/LU>
#include <catch2/catch.hpp>
#include <random>

#include "solver/core/full/tangent_matrix.hpp"
#include "solver/core/small_dense.hpp"

namespace core = opisthion::core;
namespace full = opisthion::core::full;
using opisthion::mesh::Matrix6;

namespace {

struct Filled {
  explicit Filled(int bodies) : matrix(6 * bodies, pairs_of(bodies)) {
    matrix.clear();
    expected.setZero(6 * bodies, 6 * bodies);
    scale.assign(static_cast<std::size_t>(6 * bodies), 1.0);
  }
  static std::vector<std::pair<int, int>> pairs_of(int bodies) {
    std::vector<std::pair<int, int>> pairs;
    for (int b = 1; b < bodies; ++b) pairs.emplace_back(6 * b, 6 * (b - 1));
    return pairs;
  }
  full::TangentMatrix matrix;
  Eigen::MatrixXd expected{};  ///< symmetric part
  std::vector<double> scale{};
};

/// A chain of bodies, each tied to the next; `sign`: of the last diagonal block.
void fill_chain(int bodies, double sign, std::mt19937& engine, Filled& out) {
  std::uniform_real_distribution<double> number(-1.0, 1.0);
  const auto block = [&]() { return Matrix6(Matrix6::NullaryExpr([&]() { return number(engine); })); };
  for (int b = 0; b < bodies; ++b) {
    const Matrix6 root = block();
    const Matrix6 own = (b + 1 == bodies ? sign : 1.0) * (root * root.transpose() + 20.0 * Matrix6::Identity());
    out.matrix.add(6 * b, 6 * b, own);
    out.expected.block<6, 6>(6 * b, 6 * b) = own;
    if (b == 0) continue;
    const Matrix6 across = block();
    out.matrix.add(6 * b, 6 * (b - 1), across);
    out.expected.block<6, 6>(6 * b, 6 * (b - 1)) = across;
    out.expected.block<6, 6>(6 * (b - 1), 6 * b) = across.transpose();
  }
}

}  // namespace

TEST_CASE("what has no mirror image is solved for on top of the symmetric factor, or by LU where that is not definite") {
  std::mt19937 engine(7);
  std::uniform_real_distribution<double> number(-1.0, 1.0);
  for (const int bodies : {3, 30})           // dense, and sparse
    for (const double sign : {1.0, -1.0}) {  // definite, and not
      Filled filled(bodies);
      fill_chain(bodies, sign, engine, filled);
      const Eigen::Index n = filled.expected.rows();
      const auto random = [&]() {
        return Eigen::VectorXd(Eigen::VectorXd::NullaryExpr(n, [&]() { return number(engine); }));
      };
      Eigen::MatrixXd whole = filled.expected;
      for (int i = 0; i < 5; ++i) {
        const Eigen::VectorXd left = random(), right = random();
        filled.matrix.add_product(left, right);
        whole += left * right.transpose();
      }
      Matrix6 block = Matrix6::Zero();
      block.bottomRightCorner<3, 3>() << 0, -3, 2, 3, 0, -1, -2, 1, 0;
      filled.matrix.add_unsymmetric(6, block);
      whole.block<6, 6>(6, 6) += block;
      Eigen::MatrixXd dense;
      filled.matrix.dense(dense);
      CHECK((dense - whole).norm() < 1e-13 * whole.norm());
      const bool definite = filled.matrix.factor(0.0, filled.scale);
      CHECK(definite == (sign > 0.0));
      REQUIRE(filled.matrix.factor_unsymmetric(definite));
      const Eigen::VectorXd right = random();
      Eigen::VectorXd x;
      filled.matrix.solve(right, x);
      CHECK((whole * x - right).norm() < 1e-11 * right.norm());
    }
}

TEST_CASE("a product that takes all stiffness of one direction away is told as singular") {
  std::mt19937 engine(9);
  Filled filled(2);
  fill_chain(2, 1.0, engine, filled);
  const Eigen::VectorXd direction = Eigen::VectorXd::LinSpaced(12, -1.0, 2.0);
  const Eigen::VectorXd force = filled.expected * direction;
  filled.matrix.add_product(-force, direction / direction.squaredNorm());
  REQUIRE(filled.matrix.factor(0.0, filled.scale));
  CHECK_FALSE(filled.matrix.factor_unsymmetric(true));
}

TEST_CASE("L D L^T of a dense matrix solves for one and for many right sides alike") {
  std::mt19937 engine(11);
  std::uniform_real_distribution<double> number(-1.0, 1.0);
  for (const Eigen::Index n : {1, 2, 3, 4, 5, 7, 12, 31}) {
    const Eigen::MatrixXd root = Eigen::MatrixXd::NullaryExpr(n, n, [&]() { return number(engine); });
    const Eigen::MatrixXd m = root * root.transpose() + Eigen::MatrixXd::Identity(n, n);
    Eigen::MatrixXd factor = m;
    Eigen::VectorXd scratch;
    REQUIRE(core::factor_lower(factor, m.diagonal(), 1e-13, scratch));
    const Eigen::MatrixXd right = Eigen::MatrixXd::NullaryExpr(n, 6, [&]() { return number(engine); });
    Eigen::MatrixXd many = right;
    core::solve_lower(factor, many);
    CHECK((many - m.partialPivLu().solve(right)).norm() < 1e-12 * right.norm());
    for (Eigen::Index k = 0; k < right.cols(); ++k) {
      Eigen::VectorXd one = right.col(k);
      core::solve_lower(factor, one);
      CHECK((one - many.col(k)).norm() < 1e-13 * (1.0 + many.col(k).norm()));
    }
  }
}
