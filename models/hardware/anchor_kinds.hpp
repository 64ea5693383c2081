// SPDX-License-Identifier: MIT
#pragma once
// The kinds of anchor, and the one table of what is known about each beyond the numbers of the library. A further kind is a
// further row (anchor_kinds.cpp), its numbers, and whatever new shape it asks of the mesh.
#include <optional>
#include <string_view>
#include <vector>

#include "models/neck/neck.hpp"

namespace opisthion::models {

/// One grip of metal on bone.
enum class AnchorKind {
  lateral_mass,          ///< C1, C3-C7
  posterior_arch,        ///< C1, through the posterior arch into the lateral mass
  posterior_arch_short,  ///< C1, in the posterior arch only: stops short of the lateral mass
  pars,                  ///< C2
  pedicle,               ///< C2-C7, T1-T3
  laminar,               ///< C2-C7, crosses into the other lamina
  transarticular,        ///< enters C2 from behind, ends in C1
  transarticular_side,   ///< enters the lateral mass of C1 from the side, ends in C2
  transarticular_above,  ///< enters C1 from behind, ends in the condyle of C0
  condyle,               ///< C0
  keel,                  ///< C0, midline, through a plate
  paramedian,            ///< C0, beside the midline, through a plate or a rod's end
  sublaminar_wire,       ///< C1-C7, ties a rod to the lamina (arch)
  occipital_wire,        ///< C0, ties a rod to the squama through a burr hole
  hook                   ///< C1, C2, C7-T3, one blade under the lamina
};
inline constexpr int kAnchorKindCount = 15;

/// How a kind holds the bone.
enum class Grip { screw, wire, hook };

/// Neighbouring levels, both ends included.
struct LevelRange {
  Level upper = Level::C0;
  Level lower = Level::T3;
  constexpr bool contains(Level level) const { return upper <= level && level <= lower; }
};

/// Whose measure a fit rule is held against.
enum class MeasuredAt {
  own_side,      ///< `side` of the anchor's own side
  other_side,    ///< `side` of the other side: a laminar screw lives in the opposite lamina
  whole_level,   ///< `level`
  its_place,     ///< thickness of the midline of the occiput where this anchor stands
  generic_adult  ///< nothing a case can say: the generic adult only
};

/// One measure that decides whether a kind fits. {level} in an id stands for the level of the entry.
struct FitRule {
  LevelRange at{};             ///< levels of the entry for which it holds
  std::string_view limit{};    ///< library id: least measure
  std::string_view generic{};  ///< library id: the measure of the generic adult
  MeasuredAt measured_at = MeasuredAt::own_side;
  std::optional<double> SideAnatomy::*side = nullptr;
  std::optional<double> LevelAnatomy::*level = nullptr;
  bool must_exceed = false;     ///< a measure that equals the limit is not enough
  bool grows = false;           ///< made for the usual thread: a thicker one needs as much more
  std::string_view alone{};     ///< limit where no anchor of the kind stands on the other side; empty: the same
  bool against_length = false;  ///< the measure is the path: it must reach the length a case gives, less the limit
};

/// Bone without which a kind has nothing to hold.
struct NeededBone {
  bool lamina = false;  ///< at C1 the posterior arch, joined to the mass of one side at least
  bool lateral_mass = false;
  bool ring = false;  ///< of C1, unbroken on this side
  bool body = false;
};

struct AnchorKindRow {
  AnchorKind kind = AnchorKind::lateral_mass;
  std::string_view title{};  ///< in words
  std::string_view word{};   ///< in library ids
  Grip grip = Grip::screw;
  std::vector<LevelRange> levels{};    ///< of its entry
  std::optional<Level> ends_in{};      ///< another level: it crosses the joint between
  bool midline = false;                ///< a side means nothing
  bool on_squama = false;              ///< stands on the outer surface of the occiput, square to it
  bool purchase_in_ids = false;        ///< library keeps its size and grip apart for one cortex and for both
  std::optional<LevelRange> paths{};   ///< entries where it can run straight or divergent
  std::optional<LevelRange> artery{};  ///< entries whose vertebral artery it passes closely
  std::optional<LevelRange> artery_straight_through{};  ///< the same, for a straight path through both cortices
  bool bony_bridge_misleads = false;                    ///< its bone looks larger on the CT under a bony bridge
  NeededBone needs{};
  std::vector<FitRule> rules{};
};

/// All kinds, in the order of AnchorKind.
const std::vector<AnchorKindRow>& anchor_kinds();
const AnchorKindRow& anchor_kind(AnchorKind kind);

std::string_view title(AnchorKind kind);  ///< "lateral mass"
Grip grip_of(AnchorKind kind);
/// Stands in the midsagittal plane: a side means nothing (the keel).
bool is_midline(AnchorKind kind);
/// Crosses a joint and grips both bones: holds without a rod.
bool crosses_a_joint(AnchorKind kind);
/// The levels a kind is put in, by its entry.
bool sits_at(AnchorKind kind, Level level);
/// Where it ends: another level for a screw that crosses a joint.
Level ends_at(AnchorKind kind, Level entry);
/// Passes the vertebral artery of the level of its entry closely, whatever its path.
bool runs_near_artery(AnchorKind kind, Level entry);

}  // namespace opisthion::models
