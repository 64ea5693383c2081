// SPDX-License-Identifier: MIT
#include "solver/study/shares.hpp"

#include <catch2/catch.hpp>

#include "solver/study/compare.hpp"

using namespace opisthion;
using namespace opisthion::study;

namespace {
ConstructResult row(RowKind kind, double rotation_deg, Status status = Status::solved) {
  ConstructResult out{.row = kind, .name = std::string(name(kind)), .status = status};
  out.motions.push_back({.motion = models::Motion::flexion, .status = status, .rotation_deg = rotation_deg});
  return out;
}
}  // namespace

TEST_CASE("a construct has its share of the intact and of the injured neck, the injured neck that of the intact one") {
  std::vector<ConstructResult> rows{row(RowKind::intact, 20.0), row(RowKind::injured, 40.0), row(RowKind::construct, 3.0)};
  share_out(rows);
  CHECK_FALSE(rows[0].motions[0].percent_of_intact);
  CHECK(*rows[1].motions[0].percent_of_intact == Approx(200.0));
  CHECK_FALSE(rows[1].motions[0].percent_of_injured);
  CHECK(*rows[2].motions[0].percent_of_intact == Approx(15.0));
  CHECK(*rows[2].motions[0].percent_of_injured == Approx(7.5));
}

TEST_CASE("no share where either side is not solved, or where the neck turns by less than a bench can see") {
  for (const Status status : {Status::approximate, Status::mechanism, Status::no_answer}) {
    std::vector<ConstructResult> rows{row(RowKind::intact, 20.0, status), row(RowKind::construct, 3.0)};
    share_out(rows);
    CHECK_FALSE(rows[1].motions[0].percent_of_intact);
    rows = {row(RowKind::intact, 20.0), row(RowKind::construct, 3.0, status)};
    share_out(rows);
    CHECK_FALSE(rows[1].motions[0].percent_of_intact);
  }
  std::vector<ConstructResult> rows{row(RowKind::intact, 0.2), row(RowKind::construct, 0.1)};
  share_out(rows);
  CHECK_FALSE(rows[1].motions[0].percent_of_intact);
}

TEST_CASE("a case without rows of the neck has no shares, and the neck is not compared with constructs") {
  std::vector<ConstructResult> rows{row(RowKind::construct, 3.0), row(RowKind::construct, 3.1)};
  share_out(rows);
  CHECK_FALSE(rows[0].motions[0].percent_of_intact);
  CHECK(not_distinguishable(rows).size() == 1);
  rows[0].row = RowKind::intact;
  CHECK(not_distinguishable(rows).empty());
}
