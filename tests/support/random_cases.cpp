// SPDX-License-Identifier: MIT
#include "tests/support/random_cases.hpp"

#include <algorithm>
#include <array>
#include <iterator>
#include <optional>
#include <string>
#include <vector>

#include "mesh/build/build.hpp"
#include "models/case/validate.hpp"
#include "models/hardware/allowed_anchors.hpp"

namespace opisthion::tests {
namespace {

using namespace models;
using Family = tests::Family;

constexpr std::array<JointId, 17> kSpans{{{Level::C0, Level::C2},
                                          {Level::C0, Level::C3},
                                          {Level::C0, Level::C4},
                                          {Level::C0, Level::C4},
                                          {Level::C0, Level::C5},
                                          {Level::C1, Level::C2},
                                          {Level::C1, Level::C2},
                                          {Level::C1, Level::C3},
                                          {Level::C1, Level::C4},
                                          {Level::C2, Level::C5},
                                          {Level::C3, Level::C5},
                                          {Level::C3, Level::C6},
                                          {Level::C3, Level::C7},
                                          {Level::C4, Level::C7},
                                          {Level::C5, Level::T1},
                                          {Level::C5, Level::T2},
                                          {Level::C2, Level::T1}}};
constexpr int kMostTries = 400;

Level below(Level level) {
  return static_cast<Level>(static_cast<int>(level) + 1);
}
int count(Level upper, Level lower) {
  return static_cast<int>(lower) - static_cast<int>(upper) + 1;
}

class Drawer {
 public:
  Drawer(Dice& dice, const Wish& wish, const ParameterTable& parameters) : dice_(dice), parameters_(parameters) {
    span_ = wish.span ? *wish.span : dice_.one_of(kSpans);
    family_ = wish.family ? *wish.family : drawn_family();
  }

  std::optional<RandomCase> draw() {
    RandomCase out{.family = family_};
    case_ = &out.the_case;
    case_->name = std::string(tests::name(family_));
    neck();
    bench();
    Construct construct{.name = "drawn"};
    construct_ = &construct;
    if (!build()) return std::nullopt;
    case_->constructs.push_back(construct);
    if (has_error(validate(*case_, parameters_))) return std::nullopt;
    if (!mesh::build(*case_, construct, parameters_, {})) return std::nullopt;  // a rod that would have to bend too sharply
    return out;
  }

 private:
  Family drawn_family() {
    const int at = dice_.below(100);
    if (at < 42) return Family::screws_and_rods;
    if (at < 58) return Family::wired_rods;
    if (at < 70) return Family::mixed_rods;
    if (at < 78) return Family::joint_screws;
    if (at < 88) return Family::ties;
    if (at < 95) return Family::plates;
    return Family::bare;
  }

  bool in_neck(Level level) const { return span_.upper <= level && level <= span_.lower; }
  bool in_neck(JointId joint) const { return in_neck(joint.upper) && in_neck(joint.lower); }
  Level any_level() {
    return static_cast<Level>(static_cast<int>(span_.upper) + dice_.below(count(span_.upper, span_.lower)));
  }
  JointId any_joint() {
    const auto upper = static_cast<Level>(static_cast<int>(span_.upper) + dice_.below(count(span_.upper, span_.lower) - 1));
    return {upper, below(upper)};
  }
  Side any_side() { return dice_.percent(50) ? Side::left : Side::right; }

  void neck() {
    Neck& neck = case_->neck;
    neck.upper = span_.upper;
    neck.lower = span_.lower;
    neck.bone.quality = static_cast<BoneQuality>(dice_.below(3));
    if (dice_.percent(20)) neck.bone.density_mg_per_cm3 = dice_.between(60.0, 350.0);
    for (int i = static_cast<int>(span_.upper); i <= static_cast<int>(span_.lower); ++i)
      if (dice_.percent(40)) neck.anatomy.push_back(anatomy(static_cast<Level>(i)));
    if (dice_.percent(15))
      neck.joints.push_back({.joint = any_joint(), .state = dice_.percent(70) ? JointState::stiff : JointState::fused});
    if (dice_.percent(10) && neck.joints.empty()) {
      JointCondition slipped{.joint = any_joint(), .slip_mm = dice_.between(-2.0, 4.0)};
      if (dice_.percent(50)) slipped.reduced_mm = dice_.between(0.0, 1.0) * slipped.slip_mm;
      neck.joints.push_back(slipped);
    }
    const int injuries = dice_.below(4);
    for (int i = 0; i < injuries; ++i) instability();
    if (span_.upper == Level::C0 && dice_.percent(10)) neck.head_flexion_rad = dice_.between(-0.15, 0.15);
  }

  LevelAnatomy anatomy(Level level) {
    LevelAnatomy out{.level = level};
    if (level > Level::C0 && dice_.percent(50)) out.canal_mm = dice_.between(12.0, 20.0);
    if (level == Level::C0) {
      out.keel_upper_mm = dice_.between(10.0, 16.0);
      out.keel_middle_mm = dice_.between(7.0, 12.0);
      out.keel_lower_mm = dice_.between(5.0, 8.0);
    }
    for (SideAnatomy* side : {&out.left, &out.right}) {
      if (level > Level::C0 && level < Level::C7) side->artery = static_cast<Artery>(dice_.below(6));
      if (level == Level::C2) {
        side->isthmus_height_mm = dice_.between(3.5, 8.0);
        side->internal_height_mm = dice_.between(1.5, 6.0);
      }
      if (level >= Level::C2) {
        side->pedicle_width_mm = dice_.between(3.0, 7.5);
        side->lamina_thickness_mm = dice_.between(3.0, 6.5);
      }
      if (level >= Level::C3 && level <= Level::C7) side->lateral_mass_height_mm = dice_.between(8.0, 15.0);
    }
    return out;
  }

  void instability() {
    Instability out{.kind = static_cast<InstabilityKind>(dice_.below(kInstabilityKindCount))};
    switch (out.kind) {
      case InstabilityKind::alar_rupture:
        if (dice_.percent(60)) out.side = any_side();
        break;
      case InstabilityKind::lateral_mass_loss:
        out.side = any_side();
        out.height_mm = dice_.between(0.5, 4.0);
        break;
      case InstabilityKind::ring_fracture:
        out.side = any_side();
        break;
      case InstabilityKind::lateral_mass_destroyed:
        out.level = any_level();
        out.side = any_side();
        break;
      case InstabilityKind::body_destroyed:
      case InstabilityKind::laminectomy:
        out.level = any_level();
        break;
      case InstabilityKind::facetectomy:
        out.joint = any_joint();
        if (dice_.percent(60)) out.side = any_side();
        out.share = dice_.between(0.2, 1.0);
        break;
      case InstabilityKind::posterior_ligament_section:
        out.joint = any_joint();
        break;
      default:
        break;
    }
    // Only what this neck can have: each is held against the rules by itself.
    Case trial = *case_;
    trial.neck.instabilities.push_back(out);
    trial.bench.top = span_.upper;
    trial.bench.bottom = span_.lower;
    trial.constructs.push_back({.name = "bare"});
    if (!has_error(validate(trial, parameters_))) case_->neck.instabilities.push_back(out);
  }

  void bench() {
    Bench& bench = case_->bench;
    bench.top = span_.upper;
    bench.bottom = span_.lower;
    bench.moment_Nmm = dice_.between(1000.0, 2500.0);
    constexpr std::array kSteps{5, 10, 10, 10, 20};
    bench.steps = dice_.one_of(kSteps);
    const int kind = dice_.below(10);
    bench.moment_kind = kind == 8   ? MomentKind::fixed_axis
                        : kind == 9 ? MomentKind::head_following
                                    : MomentKind::conservative;
  }

  bool build() {
    switch (family_) {
      case Family::screws_and_rods:
        return rods(100);
      case Family::wired_rods:
        return dice_.percent(25) ? loop() : rods(0);
      case Family::mixed_rods:
        return rods(60);
      case Family::joint_screws:
        return joint_screws();
      case Family::ties:
        return ties();
      case Family::plates:
        return plates();
      case Family::bare:
        return true;
    }
    return true;
  }

  std::string called(Level level, Side side, std::string_view what = {}) {
    return std::string(models::name(level)) + " " + std::string(models::name(side)) + (what.empty() ? "" : " ") +
           std::string(what);
  }

  void wear(Anchor& anchor) {
    if (grip_of(anchor.kind) == Grip::screw) {
      if (dice_.percent(15)) anchor.state = static_cast<AnchorState>(1 + dice_.below(3));
      if (dice_.percent(15)) anchor.purchase = dice_.percent(50) ? Purchase::unicortical : Purchase::bicortical;
    } else if (dice_.percent(25)) {
      anchor.tension_N = dice_.percent(30) ? 0.0 : dice_.between(10.0, 120.0);
    }
    if (anchor.kind == AnchorKind::hook && dice_.percent(50)) anchor.facing = HookFacing::up;
  }

  /// A kind that fits there: a screw, or what is wired or hooked.
  std::optional<AnchorKind> kind_at(Level level, Side side, bool screw) {
    std::vector<AnchorKind> all;
    for (const AllowedAnchor& allowed : allowed_anchors(case_->neck, level, side, ParameterReader(parameters_))) {
      const AnchorKind kind = allowed.kind;
      if (allowed.fit == Fit::does_not_fit || kind == AnchorKind::keel || kind == AnchorKind::paramedian) continue;
      if (crosses_a_joint(kind)) continue;
      if ((grip_of(kind) == Grip::screw) == screw) all.push_back(kind);
    }
    if (all.empty()) return std::nullopt;
    return dice_.one_of(all);
  }

  const Anchor& put(Anchor anchor) {
    wear(anchor);
    construct_->anchors.push_back(anchor);
    return construct_->anchors.back();
  }

  models::Metal any_metal() { return static_cast<models::Metal>(dice_.below(3)); }

  Rod rod(std::string rod_name) {
    Rod out{.name = std::move(rod_name), .metal = metal_};
    out.diameter_mm = diameter_mm_;
    return out;
  }

  /// Anchors of one side into a rod; false where the rod comes to less than two levels.
  bool side_rod(Side side, int screws_percent, const std::string& plate) {
    Rod out = rod(std::string(models::name(side)));
    for (int i = static_cast<int>(first_); i <= static_cast<int>(last_); ++i) {
      const auto level = static_cast<Level>(i);
      if (level == Level::C0 && !plate.empty()) {
        out.through.push_back({.plate = plate});
        continue;
      }
      const bool end = level == first_ || level == last_;
      if (!end && dice_.percent(15)) continue;  // passed by
      std::optional<AnchorKind> kind = kind_at(level, side, dice_.percent(screws_percent));
      if (!kind && screws_percent > 0 && screws_percent < 100) kind = kind_at(level, side, true);
      if (!kind) {
        if (end) return false;
        continue;
      }
      const std::string own = called(level, side);
      put({.name = own, .kind = *kind, .level = level, .side = side});
      out.through.push_back({.anchor = own});
      if (level == Level::C0 && *kind == AnchorKind::occipital_wire && dice_.percent(70)) {
        construct_->anchors.back().below_inion_mm = 20.0;
        const std::string second = called(level, side, "lower");
        put({.name = second, .kind = *kind, .level = level, .side = side, .below_inion_mm = 32.0});
        out.through.push_back({.anchor = second});
      }
    }
    if (out.through.size() < 2) return false;
    if (dice_.percent(15)) out.bending = Bending::bench_bent;
    if (dice_.percent(8)) {
      const auto at = static_cast<Level>(static_cast<int>(first_) + dice_.below(count(first_, last_) - 1));
      out.taper_at = JointId{at, below(at)};
      out.lower_diameter_mm = *diameter_mm_ + 1.0;
    }
    construct_->rods.push_back(out);
    return true;
  }

  /// A plate on the skull: its name by side, empty where the skull is held otherwise.
  std::array<std::string, 2> skull_plates() {
    if (first_ != Level::C0) return {};
    if (dice_.percent(60)) {
      Plate plate{.name = "keel plate", .kind = PlateKind::midline, .metal = metal_};
      const int screws = 2 + dice_.below(3);
      for (int i = 0; i < screws; ++i) {
        const std::string own = "keel " + std::to_string(i + 1);
        put({.name = own, .kind = AnchorKind::keel, .level = Level::C0, .below_inion_mm = 5.0 + 8.0 * i});
        plate.through.push_back(own);
      }
      construct_->plates.push_back(plate);
      return {plate.name, plate.name};
    }
    std::array<std::string, 2> out;
    for (const Side side : {Side::left, Side::right}) {
      Plate plate{.name = std::string(models::name(side)) + " plate", .kind = PlateKind::paramedian, .metal = metal_};
      for (int i = 0; i < 2 + dice_.below(2); ++i) {
        const std::string own = called(Level::C0, side, std::to_string(i + 1));
        put({.name = own,
             .kind = AnchorKind::paramedian,
             .level = Level::C0,
             .side = side,
             .below_inion_mm = 8.0 + 9.0 * i});
        plate.through.push_back(own);
      }
      construct_->plates.push_back(plate);
      out[side == Side::left ? 0 : 1] = plate.name;
    }
    return out;
  }

  void draw_ends(int shorter_percent) {
    first_ = span_.upper;
    last_ = span_.lower;
    if (count(first_, last_) > 2 && dice_.percent(shorter_percent)) first_ = below(first_);
    if (count(first_, last_) > 2 && dice_.percent(shorter_percent)) last_ = static_cast<Level>(static_cast<int>(last_) - 1);
    metal_ = any_metal();
    constexpr std::array kDiameters{3.2, 3.5, 3.5, 4.0, 4.5};
    diameter_mm_ = dice_.one_of(kDiameters);
  }

  bool rods(int screws_percent) {
    draw_ends(15);
    const bool wired_skull = screws_percent == 0 || (screws_percent < 100 && dice_.percent(40));
    const std::array<std::string, 2> plates = wired_skull ? std::array<std::string, 2>{} : skull_plates();
    std::vector<Side> sides{Side::left, Side::right};
    const bool midline = plates[0].empty() || plates[0] == plates[1];
    if (midline && dice_.percent(15)) sides = {any_side()};
    for (const Side side : sides)
      if (!side_rod(side, screws_percent, plates[side == Side::left ? 0 : 1])) return false;
    if (construct_->rods.size() == 2 && dice_.percent(25)) {
      const auto at = static_cast<Level>(static_cast<int>(first_) + dice_.below(count(first_, last_) - 1));
      construct_->cross_links.push_back({.name = "link", .from = "left", .to = "right", .at = {at, below(at)}});
    }
    if (dice_.percent(12)) construct_->order = AssemblyOrder::lock_then_tighten;
    extras();
    return true;
  }

  /// A loop under wires: down the left and up the right, or closed.
  bool loop() {
    draw_ends(15);
    Rod out = rod("loop");
    out.bending = Bending::pre_bent;
    out.closed = dice_.percent(70);
    std::vector<std::string> left, right;
    for (int i = static_cast<int>(first_); i <= static_cast<int>(last_); ++i)
      for (const Side side : {Side::left, Side::right}) {
        const auto level = static_cast<Level>(i);
        const auto kind = kind_at(level, side, false);
        if (!kind) return false;
        const std::string own = called(level, side);
        put({.name = own, .kind = *kind, .level = level, .side = side});
        (side == Side::left ? left : right).push_back(own);
      }
    std::reverse(left.begin(), left.end());
    for (const std::string& own : left) out.through.push_back({.anchor = own});
    for (const std::string& own : right) out.through.push_back({.anchor = own});
    construct_->rods.push_back(out);
    extras();
    return true;
  }

  void extras() {
    if (dice_.percent(10)) tie(false);
    if (in_neck(Level::C1) && in_neck(Level::C2) && dice_.percent(8)) {
      if (dice_.percent(50))
        construct_->spacers.push_back({.name = "spacer", .side = any_side(), .metal = metal_});
      else
        construct_->grafts.push_back({.name = "joint graft",
                                      .kind = GraftKind::lateral_joint,
                                      .side = any_side(),
                                      .healed = dice_.percent(50) ? 0.0 : dice_.between(0.0, 1.0)});
    }
  }

  bool joint_screws() {
    if (!in_neck(JointId{Level::C1, Level::C2})) return false;
    metal_ = any_metal();
    std::vector<Side> sides{Side::left, Side::right};
    if (dice_.percent(30)) sides = {any_side()};
    for (const Side side : sides) {
      std::vector<AllowedAnchor> all = allowed_anchors(case_->neck, Level::C2, side, ParameterReader(parameters_));
      for (const AllowedAnchor& a : allowed_anchors(case_->neck, Level::C1, side, ParameterReader(parameters_)))
        all.push_back(a);
      std::vector<AnchorKind> kinds;
      for (const AllowedAnchor& a : all)
        if (crosses_a_joint(a.kind) && a.fit != Fit::does_not_fit &&
            (a.kind != AnchorKind::transarticular_above || in_neck(Level::C0)))
          kinds.push_back(a.kind);
      if (kinds.empty()) continue;
      const AnchorKind kind = dice_.one_of(kinds);
      const Level entry = kind == AnchorKind::transarticular ? Level::C2 : Level::C1;
      Anchor anchor{.name = called(entry, side, "across"), .kind = kind, .level = entry, .side = side};
      if (dice_.percent(30)) anchor.lag_N = dice_.between(0.0, 100.0);
      put(anchor);
    }
    if (dice_.percent(50)) tie(true);
    return !construct_->anchors.empty();
  }

  /// Wire or clamp between two neighbours, most with a block; `upper` C1-C2 where there is one.
  bool tie(bool at_the_top) {
    const JointId joint = at_the_top && in_neck(JointId{Level::C1, Level::C2}) ? JointId{Level::C1, Level::C2} : any_joint();
    const auto kind = static_cast<TieKind>(dice_.below(4));
    const int number = static_cast<int>(construct_->ties.size());
    std::vector<std::optional<Side>> sides{std::nullopt};
    if (has_side(kind)) sides = {Side::left, Side::right};
    if (has_side(kind) && dice_.percent(15)) sides = {any_side()};
    for (const auto& side : sides) {
      const std::string label = std::to_string(number + 1) + (side ? (*side == Side::left ? " left" : " right") : "");
      Tie out{.name = "tie " + label, .kind = kind, .upper = joint.upper, .lower = joint.lower, .side = side};
      if (dice_.percent(30)) out.tension_N = dice_.percent(25) ? 0.0 : dice_.between(10.0, 150.0);
      construct_->ties.push_back(out);
      if (dice_.percent(75))
        construct_->grafts.push_back({.name = "block " + label,
                                      .kind = dice_.percent(90) ? GraftKind::block : GraftKind::onlay,
                                      .upper = joint.upper,
                                      .lower = joint.lower,
                                      .side = side,
                                      .healed = dice_.percent(75) ? 0.0 : dice_.between(0.0, 1.0)});
    }
    return true;
  }

  bool ties() {
    tie(true);
    if (count(span_.upper, span_.lower) > 2 && dice_.percent(40)) tie(false);
    return true;
  }

  bool plates() {
    metal_ = any_metal();
    std::vector<Side> sides{Side::left, Side::right};
    if (dice_.percent(15)) sides = {any_side()};
    for (const Side side : sides) {
      Plate plate{.name = std::string(models::name(side)), .kind = PlateKind::lateral_mass, .metal = metal_};
      for (int i = std::max(static_cast<int>(span_.upper), static_cast<int>(Level::C3)); i <= static_cast<int>(span_.lower);
           ++i) {
        const auto level = static_cast<Level>(i);
        const AnchorKind kind = level <= Level::C7 && dice_.percent(75) ? AnchorKind::lateral_mass : AnchorKind::pedicle;
        const auto allowed =
            judge_anchor(case_->neck, {.kind = kind, .level = level, .side = side}, {}, ParameterReader(parameters_));
        if (!allowed || allowed->fit == Fit::does_not_fit) continue;
        const std::string own = called(level, side);
        put({.name = own, .kind = kind, .level = level, .side = side});
        plate.through.push_back(own);
      }
      if (plate.through.size() < 2) return false;
      construct_->plates.push_back(plate);
    }
    extras();
    return true;
  }

  Dice& dice_;
  const ParameterTable& parameters_;
  JointId span_{};
  Family family_ = Family::bare;
  Case* case_ = nullptr;
  Construct* construct_ = nullptr;
  Level first_ = Level::C1;
  Level last_ = Level::C2;
  models::Metal metal_ = models::Metal::titanium_alloy;
  std::optional<double> diameter_mm_{};
};

}  // namespace

std::uint64_t Dice::next() {
  state_ += 0x9e3779b97f4a7c15ULL;
  std::uint64_t z = state_;
  z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9ULL;
  z = (z ^ (z >> 27)) * 0x94d049bb133111ebULL;
  return z ^ (z >> 31);
}

int Dice::below(int n) {
  return static_cast<int>(next() % static_cast<std::uint64_t>(n));
}

std::string_view name(Family family) {
  constexpr std::array<std::string_view, kFamilyCount> kNames{
      "screws and rods", "wired rods", "mixed rods", "screws across a joint", "ties", "lateral mass plates", "no metal"};
  return kNames[static_cast<std::size_t>(family)];
}

std::optional<RandomCase> random_case(std::uint64_t number, const models::ParameterTable& parameters, const Wish& wish) {
  Dice dice(number * 1'000'003ULL + 17ULL);
  for (int tries = 0; tries < kMostTries; ++tries) {
    auto drawn = Drawer(dice, wish, parameters).draw();
    if (!drawn) continue;
    drawn->number = number;
    drawn->the_case.name += " " + std::to_string(number);
    return drawn;
  }
  return std::nullopt;
}

}  // namespace opisthion::tests
