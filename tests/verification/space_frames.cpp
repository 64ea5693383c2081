// SPDX-License-Identifier: MIT
// B3 and B4: textbook space frames, one element a member. Inch and kip.
#include <catch2/catch.hpp>
#include <numbers>

#include "tests/reference/beams.hpp"
#include "tests/reference/published_frames.hpp"
#include "tests/verification/frame_model.hpp"

using namespace opisthion;
using namespace opisthion::verification;

namespace {

/// Relative to the largest force or moment of the node; the references are printed to eight decimals.
void check_reaction(const Eigen::VectorXd& r, int node, const std::array<double, 6>& expected, double tolerance) {
  double force = 0.0, moment = 0.0;
  for (std::size_t i = 0; i < 3; ++i) {
    force = std::max(force, std::abs(expected[i]));
    moment = std::max(moment, std::abs(expected[i + 3]));
  }
  for (int i = 0; i < 6; ++i)
    CHECK_SMALL(std::abs(r(6 * node + i) - expected[static_cast<std::size_t>(i)]) / (i < 3 ? force : moment), tolerance);
}

}  // namespace

TEST_CASE("Logan's space frame of example 5.8") {
  using Book = reference::Logan58;
  mesh::Section s;
  s.axial_N = Book::kYoungs_ksi * Book::kArea;
  s.torsional_Nmm2 = Book::kShear_ksi * Book::kTorsion;
  s.bending_y_Nmm2 = s.bending_z_Nmm2 = Book::kYoungs_ksi * Book::kSecondMoment;
  s = reference::without_shear(s);
  Frame f;
  const BodyId joint = add_body(f.system, {0, 0, 0}, false);
  for (const Vector3& end : {Vector3(-100, 0, 0), Vector3(0, 0, -100), Vector3(0, -100, 0)})
    add_beam(f.system, add_body(f.system, end, true), joint, s);
  f.loads = {load_at(f.system, joint, {0, -50, 0}, {-1000, 0, 0})};
  const Eigen::VectorXd u = f.displacement();
  for (int i = 0; i < 6; ++i) {
    const auto at = static_cast<std::size_t>(i);
    CHECK_RELATIVE(u(i), Book::kFull[at], 1e-8);
    CHECK_RELATIVE(u(i), Book::kPublished[at], 5e-4);  // the book prints two to four digits
  }
  check_reaction(f.reactions(u), 1, Book::kReactionNode2, 2e-8);
}

TEST_CASE("Kassimali's space frame of example 8.4, roll angles and a member load") {
  using Book = reference::Kassimali84;
  mesh::Section s;
  s.axial_N = Book::kYoungs_ksi * Book::kArea;
  s.torsional_Nmm2 = Book::kShear_ksi * Book::kTorsion;
  s.bending_y_Nmm2 = Book::kYoungs_ksi * Book::kIy;
  s.bending_z_Nmm2 = Book::kYoungs_ksi * Book::kIz;
  s = reference::without_shear(s);
  const double degree = std::numbers::pi / 180.0;
  Frame f;
  const BodyId joint = add_body(f.system, {0, 0, 0}, false);
  const BodyId two = add_body(f.system, {-240, 0, 0}, true);
  const BodyId three = add_body(f.system, {0, -240, 0}, true);
  const BodyId four = add_body(f.system, {0, 0, -240}, true);
  add_beam(f.system, two, joint, s, frame_along(Vector3::UnitX(), Vector3::UnitY(), 0.0));
  add_beam(f.system, three, joint, s, frame_along(Vector3::UnitY(), -Vector3::UnitX(), 90.0 * degree));
  add_beam(f.system, four, joint, s, frame_along(Vector3::UnitZ(), Vector3::UnitY(), 30.0 * degree));
  // 0.25 kip/in along -Y on member 2-1 by consistent nodal loads: q L/2 = 30, q L^2/12 = 1200.
  f.loads = {load_at(f.system, joint, {0, -30, 0}, {-1800, 0, 1800.0 + 1200.0}),
             load_at(f.system, two, {0, -30, 0}, {0, 0, -1200})};

  // The book prints five digits of the joint's 6 x 6.
  const Eigen::MatrixXd k = f.stiffness();
  for (int i = 0; i < 6; ++i) CHECK_RELATIVE(k(i, i), Book::kDiagonal[static_cast<std::size_t>(i)], 5e-5);
  for (const Book::Entry& e : Book::kOffDiagonal) CHECK_RELATIVE(k(e.row - 1, e.column - 1), e.value, 5e-5);
  CHECK_RELATIVE(std::abs(k(3, 4)), Book::kEntry45, 5e-5);

  const Eigen::VectorXd u = f.displacement();
  for (int i = 0; i < 6; ++i) {
    const auto at = static_cast<std::size_t>(i);
    CHECK_RELATIVE(1000.0 * u(i), Book::kFullTimes1000[at], 1e-8);
    CHECK_RELATIVE(1000.0 * u(i), Book::kPublishedTimes1000[at], 5e-5);
  }
  const Eigen::VectorXd r = f.reactions(u);
  check_reaction(r, 1, Book::kReactionNode2, 1e-8);
  check_reaction(r, 2, Book::kReactionNode3, 1e-8);
  check_reaction(r, 3, Book::kReactionNode4, 1e-8);
}
