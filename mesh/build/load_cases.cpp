// SPDX-License-Identifier: MIT
#include <Eigen/Geometry>
#include <algorithm>

#include "mesh/build/load_line.hpp"
#include "mesh/build/measures.hpp"

namespace opisthion::mesh {

namespace {

/// A force and its opposite at one point, and the probe along it.
struct Push {
  LoadKind kind;
  std::string stem;  ///< "axial/C1"
  std::string name_forward, name_back;
  std::string line;
  Attachment at;
  Vector3 direction;
  double force_N;
};

class CaseList {
 public:
  explicit CaseList(Assembly& assembly) : assembly_(assembly) {}

  void add(Push push) {
    // A bench may load one level twice, along two lines: the second gets a number.
    std::string stem = push.stem;
    for (int i = 2; taken(stem); ++i) stem = push.stem + "/" + std::to_string(i);
    const std::string probe = "travel/" + stem;
    Mesh& mesh = assembly_.mesh();
    mesh.probes.push_back({.id = probe,
                           .kind = ProbeKind::travel,
                           .moving = push.at,
                           .base = {mesh.bottom, push.at.point_mm},
                           .axis = push.direction});
    for (const double way : {1.0, -1.0})
      mesh.program.cases.push_back({.id = stem + (way > 0.0 ? "/+" : "/-"),
                                    .kind = push.kind,
                                    .name = way > 0.0 ? push.name_forward : push.name_back,
                                    .line = push.line,
                                    .magnitude = way * push.force_N,
                                    .loads = {{.at = push.at, .force_N = way * push.force_N * push.direction}},
                                    .travel_probe = probe});
  }

 private:
  bool taken(const std::string& stem) const { return assembly_.mesh().find_probe("travel/" + stem) >= 0; }
  Assembly& assembly_;
};

void add_motions(Assembly& assembly) {
  const models::Bench& bench = assembly.the_case().bench;
  if (!bench.top) return;
  const Attachment top = assembly.on(*bench.top, assembly.reference_point(*bench.top));
  for (const models::Motion motion : models::kMotions)
    assembly.mesh().program.cases.push_back(
        {.id = std::string(name(motion)),
         .kind = LoadKind::motion,
         .name = std::string(title(motion)),
         .magnitude = bench.moment_Nmm,
         .loads = {{.at = top, .moment_Nmm = bench.moment_Nmm * models::moment_axis(motion)}}});
  for (const models::CombinedLoad& load : bench.combined) {
    const Vector3 moment_Nmm = bench.moment_Nmm * models::moment_share(load);
    assembly.mesh().program.cases.push_back({.id = "combined/" + load.name,
                                             .kind = LoadKind::combined,
                                             .name = load.name,
                                             .magnitude = moment_Nmm.norm(),
                                             .loads = {{.at = top, .moment_Nmm = moment_Nmm}}});
  }
}

MomentKind moment_kind(models::MomentKind kind) {
  switch (kind) {
    case models::MomentKind::conservative:
      return MomentKind::conservative;
    case models::MomentKind::fixed_axis:
      return MomentKind::fixed_axis;
    case models::MomentKind::head_following:
      return MomentKind::following;
  }
  return MomentKind::conservative;
}

}  // namespace

void add_load_cases(Assembly& assembly, const std::vector<PlacedAnchor>& anchors) {
  const models::Bench& bench = assembly.the_case().bench;
  LoadProgram& program = assembly.mesh().program;
  program.moment_kind = moment_kind(bench.moment_kind);
  program.steps = bench.steps;
  program.cycles = bench.cycles == models::kUnstatedCycles ? models::kUsualCycles : bench.cycles;
  program.hybrid = bench.hybrid;
  add_preload(assembly);
  add_motions(assembly);
  CaseList list(assembly);
  for (const models::ShearLoad& load : bench.shear) {
    const std::string level(name(load.level));
    const Vector3 at = assembly.reference_point(load.level);
    list.add({LoadKind::shear, "shear/" + level, "forward shear on " + level, "backward shear on " + level,
              "horizontal, forward, through the reference point of " + level + " (" + place_in_words(at) + ")",
              assembly.on(load.level, at), Vector3::UnitX(), load.force_N});
  }
  for (const models::AxialLoad& load : bench.axial) {
    const std::string level(name(load.level));
    const LoadLine line = load_line(assembly, load.level, load.line);
    list.add({LoadKind::axial, "axial/" + level, "traction on " + level, "compression on " + level, line.words,
              assembly.on(load.level, line.through), Vector3::UnitZ(), load.force_N});
  }
  for (const models::HeadLoad& load : bench.heads) {
    const auto found =
        std::find_if(anchors.begin(), anchors.end(), [&](const auto& placed) { return placed.anchor->name == load.anchor; });
    if (found == anchors.end()) continue;  // this construct has no such anchor
    if (!found->head.valid()) continue;    // a wire has no head to push
    const Vector3 at = found->path.lock_mm();
    const Vector3 direction = load.direction.normalized();
    list.add({LoadKind::head, "head/" + load.name, load.name + " along its direction", load.name + " against its direction",
              "along (" + coordinate_in_words(direction.x()) + ", " + coordinate_in_words(direction.y()) + ", " +
                  coordinate_in_words(direction.z()) + ") at the head of " + found->label + " (" + place_in_words(at) + ")",
              Attachment{found->head, at}, direction, load.force_N});
  }
}

}  // namespace opisthion::mesh
