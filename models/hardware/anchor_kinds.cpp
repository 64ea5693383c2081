// SPDX-License-Identifier: MIT
#include "models/hardware/anchor_kinds.hpp"

#include <algorithm>
#include <cassert>

namespace opisthion::models {

namespace {

constexpr LevelRange only(Level level) {
  return {level, level};
}

constexpr LevelRange kC0 = only(Level::C0);
constexpr LevelRange kC1 = only(Level::C1);
constexpr LevelRange kC2 = only(Level::C2);
constexpr LevelRange kSubaxial{Level::C3, Level::C7};
constexpr LevelRange kThoracic{Level::T1, Level::T3};

const FitRule kIsthmus{.at = kC2,
                       .limit = "rule.C2.isthmus_height",
                       .generic = "anatomy.C2.isthmus_height",
                       .side = &SideAnatomy::isthmus_height_mm,
                       .must_exceed = true,
                       .grows = true};
const FitRule kInternal{.at = kC2,
                        .limit = "rule.C2.internal_height",
                        .generic = "anatomy.C2.internal_height",
                        .side = &SideAnatomy::internal_height_mm,
                        .must_exceed = true,
                        .grows = true};

FitRule c1_width(std::string_view limit) {
  return {.at = kC1,
          .limit = limit,
          .generic = "anatomy.C1.lateral_mass_width",
          .side = &SideAnatomy::lateral_mass_width_mm,
          .grows = true};
}

FitRule condyle(std::string_view limit, std::string_view generic, LevelRange at) {
  return {.at = at, .limit = limit, .generic = generic, .measured_at = MeasuredAt::generic_adult, .grows = true};
}

FitRule canal(std::string_view limit) {
  return {.limit = limit,
          .generic = "anatomy.{level}.canal",
          .measured_at = MeasuredAt::whole_level,
          .level = &LevelAnatomy::canal_mm};
}

AnchorKindRow lateral_mass() {
  return {.kind = AnchorKind::lateral_mass,
          .title = "lateral mass",
          .word = "lateral_mass",
          .levels = {kC1, kSubaxial},
          .purchase_in_ids = true,
          .paths = kSubaxial,
          // A straight screw through the far cortex points at the transverse foramen; the artery enters that of C6.
          .artery_straight_through = LevelRange{Level::C3, Level::C6},
          .needs = {.lateral_mass = true},
          .rules = {c1_width("rule.C1.lateral_mass.width"),
                    {.at = kC1,
                     .limit = "rule.C1.lateral_mass.depth",
                     .generic = "anatomy.C1.lateral_mass_depth",
                     .side = &SideAnatomy::lateral_mass_depth_mm},
                    {.at = kC1,
                     .limit = "rule.length_beyond",
                     .generic = "anatomy.C1.lateral_mass_depth",
                     .side = &SideAnatomy::lateral_mass_depth_mm,
                     .against_length = true},
                    {.at = kSubaxial,
                     .limit = "rule.{level}.lateral_mass.height",
                     .generic = "anatomy.{level}.lateral_mass_height",
                     .side = &SideAnatomy::lateral_mass_height_mm,
                     .grows = true},
                    {.at = kSubaxial,
                     .limit = "rule.{level}.lateral_mass.width",
                     .generic = "anatomy.{level}.lateral_mass_width",
                     .side = &SideAnatomy::lateral_mass_width_mm,
                     .grows = true}}};
}

AnchorKindRow posterior_arch() {
  return {.kind = AnchorKind::posterior_arch,
          .title = "posterior arch",
          .word = "posterior_arch",
          .levels = {kC1},
          .artery = kC1,
          .bony_bridge_misleads = true,
          .needs = {.lamina = true, .lateral_mass = true, .ring = true},
          .rules = {{.at = kC1,
                     .limit = "rule.C1.posterior_arch.height",
                     .generic = "anatomy.C1.posterior_arch_height",
                     .side = &SideAnatomy::arch_height_mm,
                     .grows = true},
                    c1_width("rule.C1.posterior_arch.width")}};
}

AnchorKindRow posterior_arch_short() {
  return {.kind = AnchorKind::posterior_arch_short,
          .title = "short posterior arch",
          .word = "posterior_arch_short",
          .levels = {kC1},
          .artery = kC1,
          .bony_bridge_misleads = true,
          .needs = {.lamina = true, .ring = true},
          .rules = {{.at = kC1,
                     .limit = "rule.C1.posterior_arch.height",
                     .generic = "anatomy.C1.posterior_arch_height",
                     .side = &SideAnatomy::arch_height_mm,
                     .grows = true}}};
}

AnchorKindRow pars() {
  return {.kind = AnchorKind::pars,
          .title = "pars",
          .word = "pars",
          .levels = {kC2},
          .artery = kC2,
          .needs = {.lateral_mass = true},
          // Shorter than a transarticular screw: it stops before the groove, so it needs height for itself, no room above.
          .rules = {{.at = kC2,
                     .limit = "rule.C2.pars.isthmus_height",
                     .generic = "anatomy.C2.isthmus_height",
                     .side = &SideAnatomy::isthmus_height_mm,
                     .grows = true}}};
}

AnchorKindRow pedicle() {
  FitRule width{.at = kC2,
                .limit = "rule.{level}.pedicle.width",
                .generic = "anatomy.{level}.pedicle_width",
                .side = &SideAnatomy::pedicle_width_mm,
                .must_exceed = true,  // C2: not safe at 4 mm; below: possible from 4.5 mm up
                .grows = true};
  FitRule below_c2 = width;
  below_c2.at = {kSubaxial.upper, kThoracic.lower};
  below_c2.must_exceed = false;
  return {.kind = AnchorKind::pedicle,
          .title = "pedicle",
          .word = "pedicle",
          .levels = {{Level::C2, Level::T3}},
          .artery = LevelRange{Level::C2, Level::C6},  // it enters the transverse foramen of C6 in most
          .needs = {.lateral_mass = true, .body = true},
          .rules = {kIsthmus, kInternal, width, below_c2}};
}

AnchorKindRow laminar() {
  return {.kind = AnchorKind::laminar,
          .title = "laminar",
          .word = "laminar",
          .levels = {{Level::C2, Level::C7}},
          .needs = {.lamina = true},
          .rules = {{.limit = "rule.{level}.laminar.thickness",
                     .generic = "anatomy.{level}.lamina_thickness",
                     .measured_at = MeasuredAt::other_side,
                     .side = &SideAnatomy::lamina_thickness_mm,
                     .grows = true},
                    {.limit = "rule.{level}.laminar.height",
                     .generic = "anatomy.{level}.lamina_height",
                     .side = &SideAnatomy::lamina_height_mm,
                     .grows = true,
                     .alone = "rule.{level}.laminar.single_height"}}};
}

AnchorKindRow transarticular() {
  return {.kind = AnchorKind::transarticular,
          .title = "transarticular",
          .word = "transarticular",
          .levels = {kC2},
          .ends_in = Level::C1,
          .artery = kC2,
          .needs = {.lateral_mass = true},
          .rules = {kIsthmus, kInternal}};
}

AnchorKindRow transarticular_side() {
  return {.kind = AnchorKind::transarticular_side,
          .title = "transarticular from the side",
          .word = "transarticular_side",
          .levels = {kC1},
          .ends_in = Level::C2,
          .artery = kC1,
          .needs = {.lateral_mass = true, .body = true},
          .rules = {{.at = kC1,
                     .limit = "rule.C1.transarticular_side.depth",
                     .generic = "anatomy.C1.lateral_mass_depth",
                     .side = &SideAnatomy::lateral_mass_depth_mm,
                     .grows = true}}};
}

AnchorKindRow transarticular_above() {
  return {.kind = AnchorKind::transarticular_above,
          .title = "transarticular to the occiput",
          .word = "transarticular_above",
          .levels = {kC1},
          .ends_in = Level::C0,
          .artery = kC1,
          .needs = {.lateral_mass = true},
          .rules = {c1_width("rule.C1.transarticular_above.width"),
                    condyle("rule.C1.transarticular_above.condyle_height", "anatomy.C0.condyle_height", kC1)}};
}

AnchorKindRow condyle_screw() {
  return {.kind = AnchorKind::condyle,
          .title = "condyle",
          .word = "condyle",
          .levels = {kC0},
          .rules = {condyle("rule.C0.condyle.height", "anatomy.C0.condyle_height", kC0),
                    condyle("rule.C0.condyle.width", "anatomy.C0.condyle_width", kC0)}};
}

AnchorKindRow keel() {
  return {.kind = AnchorKind::keel,
          .title = "keel",
          .word = "keel",
          .levels = {kC0},
          .midline = true,
          .on_squama = true,
          .purchase_in_ids = true,
          .rules = {{.at = kC0,
                     .limit = "rule.C0.keel.safe_length",
                     .generic = "anatomy.C0.keel_thickness",
                     .measured_at = MeasuredAt::its_place},
                    {.at = kC0,
                     .limit = "rule.length_beyond",
                     .generic = "anatomy.C0.keel_thickness",
                     .measured_at = MeasuredAt::its_place,
                     .against_length = true}}};
}

AnchorKindRow paramedian() {
  const FitRule thickness{.at = kC0,
                          .limit = "rule.C0.paramedian.thickness",
                          .generic = "anatomy.C0.thickness_paramedian",
                          .measured_at = MeasuredAt::generic_adult};
  FitRule path = thickness;
  path.limit = "rule.length_beyond";
  path.against_length = true;
  return {.kind = AnchorKind::paramedian,
          .title = "paramedian",
          .word = "paramedian",
          .levels = {kC0},
          .on_squama = true,
          .purchase_in_ids = true,
          .rules = {thickness, path}};
}

AnchorKindRow sublaminar_wire() {
  return {.kind = AnchorKind::sublaminar_wire,
          .title = "sublaminar wire",
          .word = "sublaminar_wire",
          .grip = Grip::wire,
          .levels = {{Level::C1, Level::C7}},
          .needs = {.lamina = true},
          .rules = {canal("rule.{level}.canal.wire")}};
}

AnchorKindRow occipital_wire() {
  return {.kind = AnchorKind::occipital_wire,
          .title = "occipital wire",
          .word = "occipital_wire",
          .grip = Grip::wire,
          .levels = {kC0},
          .on_squama = true,
          .rules = {{.at = kC0,
                     .limit = "rule.C0.occipital_wire.thickness",
                     .generic = "anatomy.C0.thickness_paramedian",
                     .measured_at = MeasuredAt::generic_adult}}};
}

AnchorKindRow hook() {
  return {.kind = AnchorKind::hook,
          .title = "hook",
          .word = "hook",
          .grip = Grip::hook,
          .levels = {{Level::C1, Level::C2}, {Level::C7, Level::T3}},
          .needs = {.lamina = true},
          .rules = {canal("rule.{level}.canal.hook")}};
}

}  // namespace

const std::vector<AnchorKindRow>& anchor_kinds() {
  static const std::vector<AnchorKindRow> rows{lateral_mass(),
                                               posterior_arch(),
                                               posterior_arch_short(),
                                               pars(),
                                               pedicle(),
                                               laminar(),
                                               transarticular(),
                                               transarticular_side(),
                                               transarticular_above(),
                                               condyle_screw(),
                                               keel(),
                                               paramedian(),
                                               sublaminar_wire(),
                                               occipital_wire(),
                                               hook()};
  return rows;
}

const AnchorKindRow& anchor_kind(AnchorKind kind) {
  const AnchorKindRow& row = anchor_kinds()[static_cast<std::size_t>(kind)];
  assert(row.kind == kind && "rows stand in the order of AnchorKind");
  return row;
}

std::string_view title(AnchorKind kind) {
  return anchor_kind(kind).title;
}

Grip grip_of(AnchorKind kind) {
  return anchor_kind(kind).grip;
}

bool is_midline(AnchorKind kind) {
  return anchor_kind(kind).midline;
}

bool crosses_a_joint(AnchorKind kind) {
  return anchor_kind(kind).ends_in.has_value();
}

bool sits_at(AnchorKind kind, Level level) {
  const auto& levels = anchor_kind(kind).levels;
  return std::any_of(levels.begin(), levels.end(), [level](const LevelRange& range) { return range.contains(level); });
}

Level ends_at(AnchorKind kind, Level entry) {
  return anchor_kind(kind).ends_in.value_or(entry);
}

bool runs_near_artery(AnchorKind kind, Level entry) {
  const auto& range = anchor_kind(kind).artery;
  return range && range->contains(entry);
}

}  // namespace opisthion::models
