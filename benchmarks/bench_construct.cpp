// SPDX-License-Identifier: MIT
// One construct in six motions, from a meshed system to six equilibria, two ways in the same run:
//   from scratch  sparse assembly of every body, Eigen's SimplicialLDLT (analysed once, reused over the six motions)
//   condensed     the changed side condensed again, the other side kept, dense solve on the kept unknowns
// In every repetition one side's metal is a little different, so that neither way can keep what it computed before.
// benchmarks/check_ratio.py divides the two medians.
#include <benchmark/benchmark.h>

#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <iterator>
#include <span>
#include <string>
#include <vector>

#include "mesh/build/build.hpp"
#include "models/xml/native/embedded_library.hpp"
#include "models/xml/native/parse.hpp"
#include "models/xml/read_case.hpp"
#include "solver/core/condense.hpp"
#include "solver/core/equilibrium.hpp"
#include "solver/core/reduced.hpp"
#include "solver/core/sparse_model.hpp"

namespace {

using namespace opisthion;

[[noreturn]] void give_up(const std::string& why) {
  std::fprintf(stderr, "bench_construct: %s\n", why.c_str());
  std::exit(1);
}

struct Input {
  models::ParameterTable parameters{};
  models::Case the_case{};
};

const Input& input() {
  static const Input made = [] {
    Input out;
    out.parameters = models::read_embedded_library().table;
    std::ifstream file(OPISTHION_EXAMPLES_DIR "/one_side_only.xml");
    const std::string text{std::istreambuf_iterator<char>(file), {}};
    const auto tree = models::xml::parse(text);
    if (!tree) give_up("the example is not XML");
    auto read = models::read_case(*tree, out.parameters);
    if (!read) give_up("the example is no case");
    out.the_case = std::move(read->the_case);
    for (const models::ParameterChange& change : out.the_case.changes) out.parameters.change(change.id, change.value);
    return out;
  }();
  return made;
}

struct Ready {
  mesh::Mesh mesh{};
  std::vector<const mesh::LoadCase*> motions{};
};

Ready ready(std::size_t construct, int elements_per_span) {
  auto built = mesh::build(input().the_case, input().the_case.constructs[construct], input().parameters,
                           {.rod_elements_per_span = elements_per_span});
  if (!built) give_up("construct cannot be built");
  Ready out{.mesh = std::move(*built)};
  for (const mesh::LoadCase& load_case : out.mesh.program.cases)
    if (load_case.kind == mesh::LoadKind::motion) out.motions.push_back(&load_case);
  if (out.motions.size() != 6) give_up("six motions wanted");
  return out;
}

/// Another rod stiffness in the first component: one side changed.
void change_one_side(mesh::System& system, const mesh::Component& component, int repetition) {
  const double factor = 1.0 + 1e-6 * static_cast<double>(repetition % 7 - 3);
  for (const int beam : component.beams) system.beams[static_cast<std::size_t>(beam)].section.bending_y_Nmm2 *= factor;
}

constexpr core::EquilibriumOptions kOptions{};

// The passes are functions of their own so that callgrind can count them without what only makes them ready.
[[gnu::noinline]] int from_scratch_pass(Ready& work, int repetition) {
  change_one_side(work.mesh.system, work.mesh.components.front(), repetition);
  const core::SparseModel model = core::sparse_model(work.mesh.system);
  core::SparseSolver solver(model);
  for (const mesh::LoadCase* motion : work.motions) {
    Eigen::VectorXd q = Eigen::VectorXd::Zero(model.dofs);
    if (!solver.solve(core::load_vector(work.mesh.system, model, motion->loads), kOptions, q)) give_up("no equilibrium");
    benchmark::DoNotOptimize(q.data());
  }
  return model.dofs;
}

[[gnu::noinline]] int condensed_pass(Ready& work, std::vector<core::CondensedComponent>& components,
                                     core::EquilibriumWorkspace& workspace, int repetition) {
  change_one_side(work.mesh.system, work.mesh.components.front(), repetition);
  components.front() = core::condense(work.mesh.system, work.mesh.components.front(), core::Recovery::leave_out).component;
  const core::ReducedModel model = core::reduce(work.mesh.system, components);
  for (const mesh::LoadCase* motion : work.motions) {
    Eigen::VectorXd q = Eigen::VectorXd::Zero(model.dofs);
    if (!core::solve_equilibrium(model, core::load_vector(work.mesh.system, model, motion->loads), kOptions, workspace, q))
      give_up("no equilibrium");
    benchmark::DoNotOptimize(q.data());
  }
  return model.dofs;
}

void from_scratch(benchmark::State& state) {
  Ready work = ready(static_cast<std::size_t>(state.range(0)), static_cast<int>(state.range(1)));
  int repetition = 0;
  int unknowns = 0;
  for (auto _ : state) unknowns = from_scratch_pass(work, repetition++);
  state.counters["unknowns"] = unknowns;
  state.SetLabel(input().the_case.constructs[static_cast<std::size_t>(state.range(0))].name);
}

void condensed(benchmark::State& state) {
  Ready work = ready(static_cast<std::size_t>(state.range(0)), static_cast<int>(state.range(1)));
  std::vector<core::CondensedComponent> components;
  for (const mesh::Component& component : work.mesh.components)
    components.push_back(core::condense(work.mesh.system, component, core::Recovery::leave_out).component);
  core::EquilibriumWorkspace workspace;
  int repetition = 0;
  int unknowns = 0;
  for (auto _ : state) unknowns = condensed_pass(work, components, workspace, repetition++);
  state.counters["unknowns"] = unknowns;
  state.SetLabel(input().the_case.constructs[static_cast<std::size_t>(state.range(0))].name);
}

/// What the solver from scratch does once a model: pattern, places of the entries, SimplicialLDLT's analysis. A program that
/// keeps it from one construct to the next would save no more than this, so check_ratio.py takes it off.
void analyse(benchmark::State& state) {
  const Ready work = ready(static_cast<std::size_t>(state.range(0)), static_cast<int>(state.range(1)));
  const core::SparseModel model = core::sparse_model(work.mesh.system);
  for (auto _ : state) {
    core::SparseSolver solver(model);
    benchmark::DoNotOptimize(&solver);
  }
}

/// What the two ways spend their time on, for one construct.
void part(benchmark::State& state, const std::string& which) {
  Ready work = ready(1, 8);
  mesh::System& system = work.mesh.system;
  std::vector<core::CondensedComponent> components;
  for (const mesh::Component& component : work.mesh.components)
    components.push_back(core::condense(system, component, core::Recovery::leave_out).component);
  const core::ReducedModel small = core::reduce(system, components);
  const core::SparseModel large = core::sparse_model(system);
  core::SparseSolver solver(large);
  core::EquilibriumWorkspace workspace;
  Eigen::VectorXd q;
  for (auto _ : state) {
    if (which == "from_scratch/assemble") {
      benchmark::DoNotOptimize(core::sparse_model(system).dofs);
    } else if (which == "from_scratch/solve_six") {
      for (const mesh::LoadCase* motion : work.motions) {
        q = Eigen::VectorXd::Zero(large.dofs);
        if (!solver.solve(core::load_vector(system, large, motion->loads), kOptions, q)) give_up("no equilibrium");
      }
    } else if (which == "condensed/condense_one_side") {
      benchmark::DoNotOptimize(core::condense(system, work.mesh.components.front(), core::Recovery::leave_out).regular);
    } else if (which == "condensed/reduce") {
      benchmark::DoNotOptimize(core::reduce(system, components).dofs);
    } else {
      for (const mesh::LoadCase* motion : work.motions) {
        q = Eigen::VectorXd::Zero(small.dofs);
        if (!core::solve_equilibrium(small, core::load_vector(system, small, motion->loads), kOptions, workspace, q))
          give_up("no equilibrium");
      }
    }
  }
}

/// The two ways agree, or their times mean nothing.
void check_agreement() {
  for (std::size_t construct = 0; construct < input().the_case.constructs.size(); ++construct) {
    const Ready work = ready(construct, 8);
    std::vector<core::CondensedComponent> components;
    for (const mesh::Component& component : work.mesh.components)
      components.push_back(core::condense(work.mesh.system, component).component);
    const core::ReducedModel small = core::reduce(work.mesh.system, components);
    const core::SparseModel large = core::sparse_model(work.mesh.system);
    core::SparseSolver solver(large);
    core::EquilibriumWorkspace workspace;
    for (const mesh::LoadCase* motion : work.motions) {
      Eigen::VectorXd a = Eigen::VectorXd::Zero(small.dofs);
      Eigen::VectorXd b = Eigen::VectorXd::Zero(large.dofs);
      const bool solved = core::solve_equilibrium(small, core::load_vector(work.mesh.system, small, motion->loads), kOptions,
                                                  workspace, a) &&
                          solver.solve(core::load_vector(work.mesh.system, large, motion->loads), kOptions, b);
      if (!solved) give_up("no equilibrium");
      const auto top = static_cast<std::size_t>(work.mesh.top.value);
      const auto small_top = a.segment<6>(small.first_dof[top]);
      const auto large_top = b.segment<6>(large.first_dof[top]);
      if ((small_top - large_top).norm() > 1e-8 * large_top.norm()) give_up("the two ways disagree");
    }
  }
}

void arguments(benchmark::internal::Benchmark* bench) {
  bench->ArgNames({"construct", "elements"})->Unit(benchmark::kMicrosecond);
  for (std::size_t i = 0; i < input().the_case.constructs.size(); ++i) bench->Args({static_cast<int>(i), 8});
}

}  // namespace

int main(int argc, char** argv) {
  check_agreement();
  benchmark::RegisterBenchmark("from_scratch", from_scratch)->Apply(arguments);
  benchmark::RegisterBenchmark("condensed", condensed)->Apply(arguments);
  benchmark::RegisterBenchmark("analyse", analyse)->Apply(arguments);
  for (const char* which : {"from_scratch/assemble", "from_scratch/solve_six", "condensed/condense_one_side",
                            "condensed/reduce", "condensed/solve_six"})
    benchmark::RegisterBenchmark(("part/" + std::string(which)).c_str(), part, std::string(which))
        ->Unit(benchmark::kMicrosecond);
  benchmark::Initialize(&argc, argv);
  if (benchmark::ReportUnrecognizedArguments(argc, argv)) return 2;
  benchmark::RunSpecifiedBenchmarks();
  return 0;
}
