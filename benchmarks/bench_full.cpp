// SPDX-License-Identifier: MIT
// Speed of full kinematics. One construct, six motions, ten steps each, C0-C4, one core, condensed, assembly and neutral
// included, to load fraction 1: over random cases, screw constructs and wired ones apart; the same with every beam on its
// own (no condensation) at the same tolerance in the same run; and the ten constructs of C1-C2 in full.
//   bench_full [cases a family [file.csv]]
// Wall times are medians of kRepetitions runs of each case; loads that do not come to the whole load are left out and
// counted.
#include <algorithm>
#include <array>
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <iterator>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "models/xml/native/embedded_library.hpp"
#include "models/xml/native/parse.hpp"
#include "models/xml/read_case.hpp"
#include "solver/core/full/path.hpp"
#include "solver/study/assess.hpp"
#include "solver/study/full/run.hpp"
#include "tests/support/random_cases.hpp"

namespace {

using namespace opisthion;
using Clock = std::chrono::steady_clock;

constexpr int kRepetitions = 3;
constexpr int kSteps = 10;
constexpr double kScrewTarget_ms = 10.0, kWiredTarget_ms = 30.0, kWholeTarget_ms = 500.0, kTenTarget_ms = 1000.0;

[[noreturn]] void give_up(const std::string& why) {
  std::fprintf(stderr, "bench_full: %s\n", why.c_str());
  std::exit(1);
}

double since_ms(Clock::time_point start) {
  return std::chrono::duration<double, std::milli>(Clock::now() - start).count();
}

const models::ParameterTable& library() {
  static const models::EmbeddedLibrary embedded = models::read_embedded_library();
  return embedded.table;
}

struct Pass {
  double all_ms = 0.0;
  double ready_ms = 0.0;  ///< of it: mesh, condensing, assembly
  int iterations = 0;
  int unknowns = 0;
  bool whole = false;  ///< every load came to its end
};

/// From the case to the end of six paths. `closely`: and all that a verdict looks at.
Pass pass(const models::Case& the_case, study::Metal metal, bool closely) {
  Pass out;
  const auto start = Clock::now();
  const auto specimen = study::make_specimen(the_case, the_case.constructs.front(), library(), {.metal = metal});
  out.ready_ms = since_ms(start);
  if (!specimen) return out;
  const core::full::WorkspacePtr work = core::full::make_workspace(specimen->model);
  out.unknowns = specimen->model.dofs;
  out.whole = true;
  const mesh::LoadCase* before = nullptr;
  study::FullMiddle known;  // of `before`: opposite motions share their neutral
  for (const mesh::LoadCase& load_case : specimen->mesh.program.cases) {
    if (load_case.kind != mesh::LoadKind::motion) continue;
    const study::FullMiddle* opposite = before != nullptr && study::opposed(*before, load_case) ? &known : nullptr;
    const study::FullRun run = study::run_load(*specimen, load_case, kSteps,
                                               closely ? study::Look::closely : study::Look::figures, *work, opposite);
    before = &load_case;
    known = run.middle;
    out.iterations += run.path.iterations;
    out.whole = out.whole && run.middle.found && run.path.end == core::full::PathEnd::reached;
  }
  out.all_ms = since_ms(start);
  return out;
}

Pass median_pass(const models::Case& the_case, study::Metal metal, bool closely) {
  std::vector<Pass> all;
  for (int i = 0; i < kRepetitions; ++i) all.push_back(pass(the_case, metal, closely));
  std::sort(all.begin(), all.end(), [](const Pass& a, const Pass& b) { return a.all_ms < b.all_ms; });
  return all[all.size() / 2];
}

double share_of(std::vector<double> values, double share) {
  if (values.empty()) return 0.0;
  std::sort(values.begin(), values.end());
  const auto at = static_cast<std::size_t>(share * static_cast<double>(values.size()));
  return values[std::min(at, values.size() - 1)];
}

void family(tests::Family which, double target_ms, int cases, std::FILE* csv) {
  std::vector<double> paths, verdicts, whole, ratios;
  int left_out = 0;
  long iterations = 0;
  std::uint64_t number = 1;
  for (; static_cast<int>(paths.size()) < cases && number < static_cast<std::uint64_t>(20 * cases); ++number) {
    auto random = tests::random_case(number, library(),
                                     {.family = which, .span = models::JointId{models::Level::C0, models::Level::C4}});
    if (!random) continue;
    random->the_case.bench.moment_kind = models::MomentKind::conservative;  // the default of a bench
    const Pass condensed = median_pass(random->the_case, study::Metal::condensed, false);
    if (!condensed.whole) {
      ++left_out;
      continue;
    }
    const Pass closely = median_pass(random->the_case, study::Metal::condensed, true);
    const Pass beams = pass(random->the_case, study::Metal::corotational, false);
    paths.push_back(condensed.all_ms);
    verdicts.push_back(closely.all_ms);
    iterations += condensed.iterations;
    if (beams.whole) {
      whole.push_back(beams.all_ms);
      ratios.push_back(beams.all_ms / condensed.all_ms);
    }
    std::fprintf(csv, "%s,%llu,%d,%.2f,%.2f,%.2f,%d,%d,%.1f,%d\n", std::string(tests::name(which)).c_str(),
                 static_cast<unsigned long long>(number), condensed.unknowns, condensed.all_ms, condensed.ready_ms,
                 closely.all_ms, condensed.iterations, beams.unknowns, beams.all_ms, beams.whole ? 1 : 0);
  }
  const double p95 = share_of(paths, 0.95);
  std::printf(
      "%-18s %3zu cases (%d left out: no whole load), six motions, ms: median %.1f, 95th percentile %.1f (target %.0f: %s), "
      "with all that a verdict looks at %.1f / %.1f; iterations a step %.1f\n",
      std::string(tests::name(which)).c_str(), paths.size(), left_out, share_of(paths, 0.5), p95, target_ms,
      p95 <= target_ms ? "met" : "NOT MET", share_of(verdicts, 0.5), share_of(verdicts, 0.95),
      paths.empty() ? 0.0 : static_cast<double>(iterations) / (6.0 * kSteps * static_cast<double>(paths.size())));
  std::printf(
      "%-18s beam by beam, ms: median %.0f, 95th percentile %.0f (target %.0f: %s); ratio median %.1f, 5th percentile "
      "%.1f\n",
      "", share_of(whole, 0.5), share_of(whole, 0.95), kWholeTarget_ms,
      share_of(whole, 0.95) <= kWholeTarget_ms ? "met" : "NOT MET", share_of(ratios, 0.5), share_of(ratios, 0.05));
}

/// All rows of the C1-C2 case in full, friction at its limits and refined rods included, as the program runs it on one core.
void ten_constructs() {
  std::ifstream file(OPISTHION_EXAMPLES_DIR "/old_dens_fracture.xml");
  const std::string text{std::istreambuf_iterator<char>(file), {}};
  const auto tree = models::xml::parse(text);
  if (!tree) give_up("the example is not XML");
  const auto read = models::read_case(*tree, library());
  if (!read) give_up("the example is no case");
  std::array<double, 2> best{};
  for (const bool friction_range : {false, true}) {
    std::vector<double> all;
    for (int i = 0; i < kRepetitions; ++i) {
      const auto start = Clock::now();
      const study::Assessment assessment =
          study::assess(read->the_case, library(), {.kinematics = study::Kinematics::full, .friction_range = friction_range},
                        [](int count, const std::function<void(int)>& work) {
                          for (int k = 0; k < count; ++k) work(k);
                        });
      if (assessment.constructs.empty()) give_up("no construct was assessed");
      all.push_back(since_ms(start));
    }
    best[friction_range ? 1 : 0] = share_of(all, 0.5);
  }
  std::printf("ten constructs of C1-C2 in full, one core, ms: %.0f (target %.0f: %s); with friction at its limits %.0f\n",
              best[0], kTenTarget_ms, best[0] <= kTenTarget_ms ? "met" : "NOT MET", best[1]);
}

}  // namespace

int main(int argc, char** argv) {
  const int cases = argc > 1 ? std::atoi(argv[1]) : 40;
  if (cases < 1) give_up("usage: bench_full [cases a family [file.csv]]");
  std::FILE* csv = argc > 2 ? std::fopen(argv[2], "w") : std::tmpfile();
  if (csv == nullptr) give_up("cannot write the csv");
  std::fprintf(
      csv, "family,number,unknowns,six_motions_ms,ready_ms,verdict_ms,iterations,whole_unknowns,whole_ms,whole_reached\n");
  family(tests::Family::screws_and_rods, kScrewTarget_ms, cases, csv);
  family(tests::Family::wired_rods, kWiredTarget_ms, cases, csv);
  std::fclose(csv);
  ten_constructs();
  return 0;
}
