// SPDX-License-Identifier: MIT
#include "solver/study/full/full_verdict.hpp"

#include <catch2/catch.hpp>

using namespace opisthion;
using study::Evidence;
using study::Status;

namespace {

Evidence settled() {
  Evidence e;
  e.full = true;
  e.converged = true;
  return e;
}

}  // namespace

TEST_CASE("in full kinematics a load is solved when nothing speaks against it") {
  CHECK(study::judge_full(settled()).status == Status::solved);
}

TEST_CASE("a figure that hangs on the steps in which friction let go is approximate, and says by how much") {
  Evidence e = settled();
  e.steps = "the neck turns by 3.59 deg in 10 steps, 3.45 in 40";
  const study::Verdict verdict = study::judge_full(e);
  CHECK(verdict.status == Status::approximate);
  CHECK(verdict.reason().find("3.59 deg in 10 steps, 3.45 in 40") != std::string::npos);
}

TEST_CASE("an equilibrium that does not stand, or that floats, or has no neutral, is approximate") {
  Evidence unstable = settled();
  unstable.stands = false;
  CHECK(study::judge_full(unstable).status == Status::approximate);
  Evidence floating = settled();
  floating.floats = "C1 slides up on C2";
  CHECK(study::judge_full(floating).reason().find("C1 slides up on C2") != std::string::npos);
  Evidence from_rest = settled();
  from_rest.from_rest = true;
  CHECK(study::judge_full(from_rest).status == Status::approximate);
}

TEST_CASE("what runs away is a mechanism with the share of the load that was held") {
  Evidence e = settled();
  e.escapes = true;
  e.load_fraction = 0.65;
  e.escape = "C3 tilts forward on C4";
  const study::Verdict verdict = study::judge_full(e);
  CHECK(verdict.status == Status::mechanism);
  CHECK(verdict.reason().find("65 %") != std::string::npos);
  CHECK(verdict.reason().find("C3 tilts forward on C4") != std::string::npos);
}
