// SPDX-License-Identifier: MIT
#include "solver/study/verdict.hpp"

#include <catch2/catch.hpp>

using namespace opisthion::study;
using Catch::Matchers::Contains;

namespace {
Evidence good() {
  Evidence e;
  e.converged = true;
  e.iterations = 4;
  e.joint = "C1-C2";
  e.joint_rotation_deg = 1.2;
  e.strand_share = 0.1;
  e.regularisation_share = 1e-6;
  return e;
}
}  // namespace

TEST_CASE("a load that held with small rotations is solved and needs no reason") {
  const Verdict verdict = judge_load(good());
  CHECK(verdict.status == Status::solved);
  CHECK(verdict.causes.empty());
  CHECK(verdict.reason().empty());
}

TEST_CASE("a solve that failed is no answer, whatever else is known") {
  Evidence e = good();
  e.converged = false;
  e.residual = 3e-4;
  e.escapes = true;
  const Verdict verdict = judge_load(e);
  CHECK(verdict.status == Status::no_answer);
  CHECK_THAT(verdict.reason(), Contains("4 iterations") && Contains("3.0e-04"));
}

TEST_CASE("an escape is a mechanism and names its direction") {
  Evidence e = good();
  e.escapes = true;
  e.escape = "C1 slides forward on C2";
  const Verdict verdict = judge_load(e);
  CHECK(verdict.status == Status::mechanism);
  CHECK_THAT(verdict.reason(), Contains("C1 slides forward on C2"));
}

TEST_CASE("the limits of small displacement are 5 degrees and a third of the energy in strands (THEORY 5)") {
  Evidence e = good();
  e.joint_rotation_deg = 5.0;
  CHECK(judge_load(e).status == Status::solved);
  e.joint_rotation_deg = 5.01;
  CHECK(judge_load(e).status == Status::approximate);
  CHECK_THAT(judge_load(e).reason(), Contains("C1-C2 turns more than 5 deg, where small displacement misleads: 5.0 deg"));
  e = good();
  e.strand_share = 0.33;
  CHECK(judge_load(e).status == Status::solved);
  e.strand_share = 0.34;
  CHECK(judge_load(e).status == Status::approximate);
  CHECK_THAT(judge_load(e).reason(), Contains("strain energy: 34 %"));
}

TEST_CASE("regularisation that carries one per cent, or that moves a printed figure, is told with the mode it holds") {
  Evidence e = good();
  e.regularised_mode = "the dens fragment turns on C2 about the vertical axis";
  e.regularisation_share = 0.0099;
  CHECK(judge_load(e).status == Status::solved);
  e.regularisation_share = 0.01;
  CHECK(judge_load(e).status == Status::approximate);
  CHECK_THAT(judge_load(e).reason(), Contains("the dens fragment turns on C2 about the vertical axis): 1.0 %"));
  e = good();
  e.moved_figure = "overall rotation moves from 1.00 to 1.20 deg";
  CHECK(judge_load(e).status == Status::approximate);
  CHECK_THAT(judge_load(e).reason(), Contains("tenth of the regularisation: overall rotation moves"));
}

TEST_CASE("beyond its physical end a joint has come apart, unless ligaments were tightening") {
  Evidence e = good();
  e.beyond.push_back({.what = "small displacement puts C1-C2 beyond its physical end of 60 deg", .figure = "74.0 deg"});
  e.escape = "C1 turns to the left about the vertical axis on C2";
  CHECK(judge_load(e).status == Status::mechanism);
  CHECK_THAT(judge_load(e).reason(), Contains("within anatomy") && Contains("C1 turns to the left") && Contains("74.0 deg"));
  e.strand_share = 0.9;  // their true lengths would have stopped it earlier
  CHECK(judge_load(e).status == Status::approximate);
  CHECK_THAT(judge_load(e).reason(), Contains("physical end of 60 deg: 74.0 deg"));
}

TEST_CASE("a construct is as good as its worst load, and says which") {
  const Verdict solved{.status = Status::solved, .causes = {}};
  const Verdict far{.status = Status::approximate, .causes = {{"C1-C2 turns more than 5 deg", "9.0 deg"}}};
  const Verdict escapes{.status = Status::mechanism, .causes = {{"nothing holds this load", "C1 slides forward on C2"}}};
  CHECK(judge_construct({{"flexion", solved}}).status == Status::solved);
  CHECK(judge_construct({}).status == Status::no_answer);
  const ConstructVerdict two = judge_construct({{"flexion", far}, {"extension", far}, {"left bending", solved}});
  CHECK(two.status == Status::approximate);
  CHECK(two.reason == "C1-C2 turns more than 5 deg: flexion (9.0 deg), extension (9.0 deg)");
  const ConstructVerdict worst = judge_construct({{"flexion", far}, {"left rotation", escapes}});
  CHECK(worst.status == Status::mechanism);
  CHECK(worst.reason == "nothing holds this load: left rotation (C1 slides forward on C2)");
}

TEST_CASE("a joint that slides more than 5 mm is beyond small displacement even when it does not turn") {
  Evidence e = good();
  e.sliding_joint = "C1-C2";
  e.joint_slide_mm = 5.0;
  CHECK(judge_load(e).status == Status::solved);
  e.joint_slide_mm = 8.4;
  CHECK(judge_load(e).status == Status::approximate);
  CHECK_THAT(judge_load(e).reason(), Contains("C1-C2 slides more than 5 mm") && Contains("8.4 mm"));
}
