// SPDX-License-Identifier: MIT
#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <cstdio>

#include "mesh/build/measures.hpp"

namespace opisthion::mesh {

using models::Level;
using models::Side;

namespace {

/// One decimal.
std::string coordinate(double value) {
  // A zero that rounding gave a sign is written without it.
  char text[64];
  std::snprintf(text, sizeof text, "%.1f", std::abs(value) < 0.05 ? 0.0 : value);
  return text;
}

std::string place(const Vector3& p) {
  return "x " + coordinate(p.x()) + ", y " + coordinate(p.y()) + ", z " + coordinate(p.z()) + " mm";
}

Vector3 midpoint(const Assembly& assembly, Level level, std::string_view slug) {
  return 0.5 * (assembly.point(level, slug, Side::left) + assembly.point(level, slug, Side::right));
}

struct Line {
  Vector3 through;
  std::string words;
};

Line axial_line(const Assembly& assembly, const models::AxialLoad& load) {
  switch (load.line) {
    case models::AxialLine::lateral_masses: {
      const Vector3 p = midpoint(assembly, Level::C1, "lateral_mass_centre");
      return {p, "vertical, midway between the lateral masses of C1 (" + place(p) + ")"};
    }
    case models::AxialLine::dens: {
      const Vector3 p = assembly.point(Level::C1, "ring_reference");
      return {p, "vertical, through the dens axis at the arch of C1 (" + place(p) + ")"};
    }
    case models::AxialLine::condyles: {
      const Vector3 p = midpoint(assembly, Level::C0, "condyle_contact_centre");
      return {p, "vertical, midway between the condyles (" + place(p) + ")"};
    }
    case models::AxialLine::body: {
      const Vector3 p = assembly.point(load.level, "body_centre");
      return {p, "vertical, through the body centre of " + std::string(name(load.level)) + " (" + place(p) + ")"};
    }
  }
  return {};
}

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
}

}  // namespace

void add_load_cases(Assembly& assembly, const std::vector<PlacedAnchor>& anchors) {
  const models::Bench& bench = assembly.the_case().bench;
  add_motions(assembly);
  CaseList list(assembly);
  for (const models::ShearLoad& load : bench.shear) {
    const std::string level(name(load.level));
    const Vector3 at = assembly.reference_point(load.level);
    list.add({LoadKind::shear, "shear/" + level, "forward shear on " + level, "backward shear on " + level,
              "horizontal, forward, through the reference point of " + level + " (" + place(at) + ")",
              assembly.on(load.level, at), Vector3::UnitX(), load.force_N});
  }
  for (const models::AxialLoad& load : bench.axial) {
    const std::string level(name(load.level));
    const Line line = axial_line(assembly, load);
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
              "along (" + coordinate(direction.x()) + ", " + coordinate(direction.y()) + ", " + coordinate(direction.z()) +
                  ") at the head of " + found->label + " (" + place(at) + ")",
              Attachment{found->head, at}, direction, load.force_N});
  }
}

}  // namespace opisthion::mesh
