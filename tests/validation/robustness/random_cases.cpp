// SPDX-License-Identifier: MIT
// Three hundred necks and constructs that nobody thought of, six motions each, in full kinematics. The bounds are those of
// the issue that asked for full kinematics (no answer in at most 1 of 300 cases; there is none), approximate in at most 1 of
// 10, and each mechanism told and confirmed by a run with its motion prescribed.
#include <algorithm>
#include <catch2/catch.hpp>
#include <chrono>
#include <cstdlib>
#include <iostream>
#include <map>
#include <string>
#include <vector>

#include "models/case/neck_alone.hpp"
#include "solver/study/compare.hpp"
#include "tests/support/example.hpp"
#include "tests/support/random_cases.hpp"
#include "tests/validation/robustness/run_case.hpp"

using namespace opisthion;

namespace {

constexpr std::uint64_t kFirst = 1;
constexpr int kCases = 300;
constexpr int kParts = 6;                // CTest runs them side by side
constexpr int kMostIterations = 10'000;  // of one load: some seconds
constexpr int kFresh = 20;
constexpr int kIntact = 60;

struct Tally {
  std::map<study::Status, int> loads{}, cases{};
  int assembly_mechanisms = 0;
  int not_finite = 0, untold = 0, unconfirmed = 0, contradicted = 0;
  int most_iterations = 0;
  std::vector<std::string> lines{};  ///< each load that is not solved, with its cause
};

int rank(study::Status status) {
  switch (status) {
    case study::Status::no_answer:
      return 3;
    case study::Status::mechanism:
      return 2;
    case study::Status::approximate:
      return 1;
    case study::Status::solved:
      return 0;
  }
  return 3;
}

void count(const tests::CaseRun& run, const std::string& name, Tally& tally) {
  study::Status worst = run.assembled ? study::Status::solved : run.assembly;
  if (!run.assembled) {
    tally.lines.push_back(name + ": " + std::string(study::name(run.assembly)) + ", " + run.assembly_reason);
    if (run.assembly == study::Status::mechanism) {
      ++tally.assembly_mechanisms;
      if (run.assembly_reason.find(':') == std::string::npos) ++tally.untold;  // which way it escapes
    }
  }
  for (const tests::LoadRun& load : run.loads) {
    ++tally.loads[load.status];
    if (rank(load.status) > rank(worst)) worst = load.status;
    tally.most_iterations = std::max(tally.most_iterations, load.iterations);
    if (study::has_figure(load.status) && !load.finite) ++tally.not_finite;
    if (load.status == study::Status::solved) continue;
    std::string line = name + ", " + load.load + ": " + std::string(study::name(load.status)) + ", " + load.reason;
    if (load.status == study::Status::mechanism) {
      if (!load.told) ++tally.untold;
      if (load.confirmed == tests::Confirmed::not_found) ++tally.unconfirmed;
      if (load.confirmed == tests::Confirmed::no) ++tally.contradicted;
      line += load.confirmed == tests::Confirmed::yes         ? " [confirmed"
              : load.confirmed == tests::Confirmed::not_found ? " [prescribed run finds no answer"
                                                              : " [NOT CONFIRMED";
      line += ", largest factor " + std::to_string(load.largest_factor) + "]";
    }
    tally.lines.push_back(line);
  }
  ++tally.cases[worst];
}

std::string label(const tests::RandomCase& random) {
  const models::Neck& neck = random.the_case.neck;
  return "case " + std::to_string(random.number) + " (" + std::string(tests::name(random.family)) + ", " +
         std::string(models::name(neck.upper)) + "-" + std::string(models::name(neck.lower)) + ")";
}

void print(const Tally& tally, std::uint64_t first, int cases, double seconds) {
  std::cout << "numbers " << first << " to " << first + static_cast<std::uint64_t>(cases) - 1 << ", " << seconds << " s\n";
  for (const auto& [what, of] : {std::pair{"loads", &tally.loads}, std::pair{"cases by their worst load", &tally.cases}}) {
    std::cout << "  " << what << ":";
    for (const auto& [status, n] : *of) std::cout << " " << n << " " << study::name(status);
    std::cout << "\n";
  }
  std::cout << "  " << tally.assembly_mechanisms
            << " pulled apart in tightening; mechanisms that the prescribed run contradicts: " << tally.contradicted
            << ", does not reach: " << tally.unconfirmed << "; most iterations of a load " << tally.most_iterations << "\n";
  for (const std::string& line : tally.lines) std::cout << "  " << line << "\n";
}

Tally run(std::uint64_t first, int cases) {
  Tally tally;
  const auto start = std::chrono::steady_clock::now();
  for (std::uint64_t number = first; number < first + static_cast<std::uint64_t>(cases); ++number) {
    const auto random = tests::random_case(number, tests::library());
    if (!random) {
      FAIL("no valid case for number " << number);
      return tally;
    }
    count(tests::run_case(random->the_case, random->the_case.constructs.front(), tests::library()), label(*random), tally);
  }
  print(tally, first, cases, std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count());
  return tally;
}

void holds(const Tally& tally, int cases) {
  const auto of = [](const std::map<study::Status, int>& counts, study::Status status) {
    const auto at = counts.find(status);
    return at == counts.end() ? 0 : at->second;
  };
  CHECK(of(tally.cases, study::Status::no_answer) == 0);
  CHECK(of(tally.cases, study::Status::approximate) <= cases / 10);
  CHECK(tally.not_finite == 0);
  CHECK(tally.untold == 0);
  CHECK(tally.contradicted == 0);
  CHECK(tally.unconfirmed == 0);
  CHECK(tally.most_iterations < kMostIterations);
}

void part(int i) {
  const int cases = kCases / kParts;
  holds(run(kFirst + static_cast<std::uint64_t>(i * cases), cases), cases);
}

}  // namespace

TEST_CASE("random cases 1 to 50 are answered in full kinematics") {
  part(0);
}
TEST_CASE("random cases 51 to 100 are answered in full kinematics") {
  part(1);
}
TEST_CASE("random cases 101 to 150 are answered in full kinematics") {
  part(2);
}
TEST_CASE("random cases 151 to 200 are answered in full kinematics") {
  part(3);
}
TEST_CASE("random cases 201 to 250 are answered in full kinematics") {
  part(4);
}
TEST_CASE("random cases 251 to 300 are answered in full kinematics") {
  part(5);
}

// Not reproducible on purpose, but for its printed number: OPISTHION_RANDOM_FIRST=<number> runs the same again. Bounds are
// looser, for a small sample scatters: none of the outright faults, no answer at most once, a quarter approximate.
TEST_CASE("fresh random cases are answered in full kinematics") {
  const char* given = std::getenv("OPISTHION_RANDOM_FIRST");
  const auto now = static_cast<std::uint64_t>(std::chrono::system_clock::now().time_since_epoch().count());
  const std::uint64_t first = given != nullptr ? std::strtoull(given, nullptr, 10) : 1000 + now / 1000 % 1'000'000'000ULL;
  std::cout << "first number of the fresh cases: OPISTHION_RANDOM_FIRST=" << first << "\n";
  INFO("OPISTHION_RANDOM_FIRST=" << first);
  const Tally tally = run(first, kFresh);
  const auto no_answer = tally.cases.find(study::Status::no_answer);
  CHECK((no_answer == tally.cases.end() || no_answer->second <= 1));
  CHECK(tally.not_finite == 0);
  CHECK(tally.untold <= 1);
  CHECK(tally.contradicted <= 1);
}

TEST_CASE("no intact neck is a mechanism or without an answer under any random bench") {
  Tally tally;
  for (std::uint64_t number = kFirst; number < kFirst + kIntact; ++number) {
    const auto random = tests::random_case(number, tests::library());
    REQUIRE(random);
    const models::Case intact = models::intact_case(random->the_case);
    count(tests::run_case(intact, intact.constructs.front(), tests::library()), label(*random), tally);
  }
  print(tally, kFirst, kIntact, 0.0);
  CHECK(tally.cases[study::Status::mechanism] == 0);
  CHECK(tally.cases[study::Status::no_answer] == 0);
}

TEST_CASE("a random case is the same whenever it is drawn, and so is its answer") {
  for (const std::uint64_t number : {3ULL, 7ULL, 57ULL}) {
    const auto first = tests::random_case(number, tests::library());
    const auto again = tests::random_case(number, tests::library());
    REQUIRE(first);
    REQUIRE(again);
    REQUIRE(first->the_case == again->the_case);
    const auto a = tests::run_case(first->the_case, first->the_case.constructs.front(), tests::library());
    const auto b = tests::run_case(again->the_case, again->the_case.constructs.front(), tests::library());
    REQUIRE(a.loads.size() == b.loads.size());
    for (std::size_t i = 0; i < a.loads.size(); ++i) {
      CHECK(a.loads[i].status == b.loads[i].status);
      CHECK(a.loads[i].iterations == b.loads[i].iterations);
      CHECK(a.loads[i].reason == b.loads[i].reason);
    }
  }
}
