// SPDX-License-Identifier: MIT
#pragma once
// A few cases for tests of the mesh: C1-C2 with an old dens fracture held six ways, C0-C3 intact. Invented.
#include <string>
#include <vector>

#include "models/case/case.hpp"

namespace opisthion::tests {

inline models::Anchor anchor(models::AnchorKind kind, models::Level level, models::Side side) {
  const std::string called = std::string(name(level)).append(" ").append(name(side)).append(" ").append(title(kind));
  return {.name = called, .kind = kind, .level = level, .side = side};
}

/// C1 lateral mass and one kind at C2, joined by a rod, on one side.
inline void add_side(models::Construct& construct, models::AnchorKind at_c2, models::Side side) {
  const models::Anchor upper = anchor(models::AnchorKind::lateral_mass, models::Level::C1, side);
  const models::Anchor lower = anchor(at_c2, models::Level::C2, side);
  construct.anchors.push_back(upper);
  construct.anchors.push_back(lower);
  construct.rods.push_back({.name = std::string(name(side)), .through = {{.anchor = upper.name}, {.anchor = lower.name}}});
}

inline models::Construct screw_rod(models::AnchorKind left, models::AnchorKind right) {
  models::Construct construct{.name = "screws and rods"};
  add_side(construct, left, models::Side::left);
  add_side(construct, right, models::Side::right);
  return construct;
}

inline models::Construct one_sided(models::AnchorKind kind) {
  models::Construct construct{.name = "one-sided"};
  add_side(construct, kind, models::Side::left);
  return construct;
}

inline models::Construct two_transarticular() {
  models::Construct construct{.name = "two transarticular"};
  for (const models::Side side : {models::Side::left, models::Side::right})
    construct.anchors.push_back(anchor(models::AnchorKind::transarticular, models::Level::C2, side));
  return construct;
}

/// Screw and rod on the left, transarticular on the right.
inline models::Construct hybrid() {
  models::Construct construct{.name = "hybrid"};
  add_side(construct, models::AnchorKind::pars, models::Side::left);
  construct.anchors.push_back(anchor(models::AnchorKind::transarticular, models::Level::C2, models::Side::right));
  return construct;
}

inline models::Case c1_c2_dens_nonunion() {
  using models::AnchorKind;
  models::Case c;
  c.name = "C1-C2, old dens fracture";
  c.neck = {.upper = models::Level::C1,
            .lower = models::Level::C2,
            .instabilities = {{.kind = models::InstabilityKind::dens_nonunion}}};
  c.bench = {.top = models::Level::C1, .bottom = models::Level::C2, .shear = {{}}, .axial = {{}}};
  c.constructs = {screw_rod(AnchorKind::pars, AnchorKind::pars),
                  screw_rod(AnchorKind::pedicle, AnchorKind::pedicle),
                  screw_rod(AnchorKind::laminar, AnchorKind::laminar),
                  two_transarticular(),
                  hybrid(),
                  one_sided(AnchorKind::pars)};
  return c;
}

inline models::Case c0_c3_intact() {
  models::Case c;
  c.name = "C0-C3, intact";
  c.neck = {.upper = models::Level::C0, .lower = models::Level::C3};
  c.bench = {.top = models::Level::C0, .bottom = models::Level::C3};
  c.constructs = {{.name = "none"}};
  return c;
}

}  // namespace opisthion::tests
