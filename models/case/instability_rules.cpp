// SPDX-License-Identifier: MIT
// What each kind of instability needs, where it can be, and which exclude each other.
#include <array>
#include <map>
#include <tuple>

#include "models/case/rules.hpp"
#include "models/xml/words.hpp"

namespace opisthion::models {

namespace {

enum class Need { no, may, must };

/// What a kind needs besides its word, and where it can be. Stands at each kind's word in models/neck/instability.hpp.
struct Needs {
  InstabilityKind kind;
  Need level = Need::no;
  Need joint = Need::no;
  Need side = Need::no;
  Need share = Need::no;
  Need height = Need::no;
  Level first;  ///< of a kind with a level or joint: the first it can be at; of the others: the first it needs
  Level last;
};

constexpr std::array<Needs, kInstabilityKindCount> kNeeds{
    {{.kind = InstabilityKind::dens_nonunion, .first = Level::C1, .last = Level::C2},
     {.kind = InstabilityKind::dens_fracture, .first = Level::C1, .last = Level::C2},
     {.kind = InstabilityKind::odontoidectomy, .first = Level::C1, .last = Level::C2},
     {.kind = InstabilityKind::transverse_ligament_rupture, .first = Level::C1, .last = Level::C2},
     {.kind = InstabilityKind::alar_rupture, .side = Need::may, .first = Level::C0, .last = Level::C2},
     {.kind = InstabilityKind::tectorial_rupture, .first = Level::C0, .last = Level::C2},
     {.kind = InstabilityKind::occipitoatlantal_dissociation, .first = Level::C0, .last = Level::C1},
     {.kind = InstabilityKind::vertical_instability, .first = Level::C1, .last = Level::C2},
     {.kind = InstabilityKind::lateral_mass_loss,
      .side = Need::must,
      .height = Need::must,
      .first = Level::C1,
      .last = Level::C2},
     {.kind = InstabilityKind::ring_fracture, .side = Need::must, .first = Level::C1, .last = Level::C1},
     {.kind = InstabilityKind::lateral_mass_destroyed,
      .level = Need::must,
      .side = Need::must,
      .first = Level::C1,
      .last = Level::C7},
     {.kind = InstabilityKind::body_destroyed, .level = Need::must, .first = Level::C2, .last = Level::T3},
     {.kind = InstabilityKind::laminectomy, .level = Need::must, .first = Level::C1, .last = Level::T3},
     {.kind = InstabilityKind::facetectomy,
      .joint = Need::must,
      .side = Need::may,
      .share = Need::must,
      .first = Level::C2,
      .last = Level::T3},
     {.kind = InstabilityKind::posterior_ligament_section, .joint = Need::must, .first = Level::C1, .last = Level::T3}}};

const Needs& needs_of(InstabilityKind kind) {
  for (const Needs& needs : kNeeds)
    if (needs.kind == kind) return needs;
  return kNeeds[0];
}

bool about_the_dens(InstabilityKind kind) {
  return kind == InstabilityKind::dens_nonunion || kind == InstabilityKind::dens_fracture ||
         kind == InstabilityKind::odontoidectomy;
}

/// Two entries of a kind at one place: sides are met if they are the same or one names none.
struct Met {
  bool left = false;
  bool right = false;
  bool meets(std::optional<Side> side) {
    const bool on_left = !side || *side == Side::left;
    const bool on_right = !side || *side == Side::right;
    const bool out = (on_left && left) || (on_right && right);
    left = left || on_left;
    right = right || on_right;
    return out;
  }
};

class InstabilityRules {
 public:
  explicit InstabilityRules(Rules& rules) : rules_(rules) {
    for (const Instability& i : rules.neck.instabilities)
      if (i.kind == InstabilityKind::laminectomy && i.level) no_lamina_[static_cast<std::size_t>(*i.level)] = true;
  }

  void check(const Instability& given, const std::string& path) {
    if (!rules_.trusted(path + "@kind")) return;
    const std::string where = quoted("instability", xml::word(given.kind));
    const Needs& needs = needs_of(given.kind);
    bool whole = field(needs.level, given.level.has_value(), path, where, "level");
    whole = field(needs.joint, given.joint.has_value(), path, where, "joint") && whole;
    whole = field(needs.side, given.side.has_value(), path, where, "side") && whole;
    field(needs.share, given.share.has_value(), path, where, "share");
    field(needs.height, given.height_mm.has_value(), path, where, "height");
    if (!whole) return;
    place(given, needs, path, where);
    const bool again = met_[{given.kind, given.level, given.joint}].meets(given.side);
    if (again)
      rules_.add(FindingCode::duplicate_name, path + "@kind", where, xml::word(given.kind),
                 "each instability of a place once");
    else
      contradictions(given, path, where);
  }

 private:
  /// False when the field is missing or could not be read.
  bool field(Need need, bool given, const std::string& path, const std::string& where, std::string_view word) {
    const std::string at = path + "@" + std::string(word);
    if (!rules_.trusted(at)) return false;
    if (need == Need::must && !given) {
      rules_.add(FindingCode::missing_attribute, path, where, "", "attribute '" + std::string(word) + "'");
      return false;
    }
    if (need == Need::no && given)
      rules_.add(FindingCode::attribute_not_here, at, where, word, "no " + std::string(word) + " for this kind");
    return true;
  }

  void place(const Instability& given, const Needs& needs, const std::string& path, const std::string& where) {
    const std::string span = std::string(name(needs.first)) + " to " + std::string(name(needs.last));
    if (needs.level == Need::must) {
      if (*given.level < needs.first || *given.level > needs.last)
        rules_.add(FindingCode::level_order, path + "@level", attribute(where, "level"), name(*given.level),
                   "a level that has this part, " + span);
      else
        rules_.in_neck(*given.level, path + "@level", attribute(where, "level"));
    } else if (needs.joint == Need::must) {
      if (given.joint->upper < needs.first || given.joint->lower > needs.last)
        rules_.add(FindingCode::level_order, path + "@joint", attribute(where, "joint"), name(*given.joint),
                   "a joint that has these parts, " + span);
      else
        rules_.in_neck(*given.joint, path + "@joint", attribute(where, "joint"));
    } else if (rules_.in_neck(needs.first, path + "@kind", where)) {
      rules_.in_neck(needs.last, path + "@kind", where);
    }
  }

  void contradictions(const Instability& given, const std::string& path, const std::string& where) {
    if (about_the_dens(given.kind)) {
      if (dens_)
        rules_.add(FindingCode::contradiction, path + "@kind", where, "'" + std::string(xml::word(*dens_)) + "' before it",
                   "one state of the dens");
      else
        dens_ = given.kind;
    }
    if (given.kind != InstabilityKind::posterior_ligament_section) return;
    for (const Level level : {given.joint->upper, given.joint->lower})
      if (no_lamina_[static_cast<std::size_t>(level)]) {
        rules_.add(FindingCode::already_gone, path + "@kind", where,
                   "these ligaments are gone already with the laminectomy of " + std::string(name(level)), "", {},
                   Severity::note);
        return;
      }
  }

  Rules& rules_;
  std::array<bool, kLevelCount> no_lamina_{};
  std::map<std::tuple<InstabilityKind, std::optional<Level>, std::optional<JointId>>, Met> met_{};
  std::optional<InstabilityKind> dens_{};
};

}  // namespace

void check_instabilities(Rules& rules) {
  InstabilityRules checks(rules);
  for (std::size_t i = 0; i < rules.neck.instabilities.size(); ++i)
    checks.check(rules.neck.instabilities[i], indexed("neck/instability", i));
}

}  // namespace opisthion::models
