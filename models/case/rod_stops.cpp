// SPDX-License-Identifier: MIT
#include "models/case/rod_stops.hpp"

namespace opisthion::models {

namespace {

class Follower {
 public:
  Follower(ConstructParts& parts, const Rod& rod)
      : parts_(parts), rules_(parts.rules), rod_(rod), called_(quoted("rod", rod.name)), where_(called_ + ", through") {}

  RodStops follow(const std::string& path) {
    RodStops out;
    out.whole = parts_.anchors_read && parts_.plates_read;
    for (std::size_t k = 0; k < rod_.through.size(); ++k) {
      std::optional<RodStop> stop = one(rod_.through[k], path + "/" + indexed("through", k));
      if (stop)
        out.stops.push_back(std::move(*stop));
      else
        out.whole = false;
    }
    return out;
  }

 private:
  /// Nothing when the stop could not be followed.
  std::optional<RodStop> one(const Through& through, const std::string& path) {
    for (const std::string_view word : {"@anchor", "@plate", "@rod", "@at"})
      if (!rules_.trusted(path + std::string(word))) return std::nullopt;
    std::vector<std::string_view> given;
    if (!through.anchor.empty()) given.push_back("anchor");
    if (!through.plate.empty()) given.push_back("plate");
    if (!through.rod.empty()) given.push_back("rod");
    if (given.empty()) {
      rules_.add(FindingCode::missing_attribute, path, where_, "", "one of the attributes anchor, plate or rod");
      return std::nullopt;
    }
    if (given.size() > 1) {
      rules_.add(FindingCode::attribute_not_here, path + "@" + std::string(given[1]), where_, given[1],
                 "one of anchor, plate or rod and no second one beside it");
      return std::nullopt;
    }
    if (through.rod.empty() && through.at) {
      rules_.add(FindingCode::half_given, path + "@at", where_, name(*through.at),
                 "no attribute 'at' without 'rod': it says where a connector sits");
      return std::nullopt;
    }
    if (!through.rod.empty()) return connector(through, path + "@rod");
    return through.anchor.empty() ? plate(through.plate, path + "@plate") : anchor(through.anchor, path + "@anchor");
  }

  std::optional<RodStop> anchor(const std::string& anchor_name, const std::string& path) {
    const auto found = parts_.anchors.find(anchor_name);
    if (found == parts_.anchors.end()) {
      if (parts_.anchors_read)
        rules_.add(FindingCode::unknown_name, path, where_, anchor_name, "an anchor of this construct",
                   rules_.near(anchor_name, parts_.anchor_names));
      return std::nullopt;
    }
    const Anchor& head = *found->second;
    if (!parts_.take(head, called_, path, where_)) return std::nullopt;
    const std::string anchor_path =
        parts_.at("anchor", static_cast<std::size_t>(found->second - parts_.construct.anchors.data()));
    const bool kind_known = rules_.trusted(anchor_path + "@kind");
    if (kind_known && (head.kind == AnchorKind::keel || head.kind == AnchorKind::paramedian)) {
      const std::string kind(title(head.kind));
      rules_.add(FindingCode::wrong_holder, path, where_, "'" + anchor_name + "'",
                 "no " + kind + " anchor, which goes through a " +
                     (head.kind == AnchorKind::keel ? std::string("midline") : kind) + " plate");
      return std::nullopt;
    }
    if (!kind_known || parts_.misplaced.count(&head) > 0) return std::nullopt;
    RodStop stop{.path = path,
                 .called = "'" + anchor_name + "'",
                 .at = std::string(name(head.level)),
                 .half_level = half_levels(head.level),
                 .anchor = &head};
    if (rules_.trusted(anchor_path + "@side")) stop.side = side_of(head);
    return stop;
  }

  std::optional<RodStop> plate(const std::string& plate_name, const std::string& path) {
    const auto found = parts_.plates.find(plate_name);
    if (found == parts_.plates.end()) {
      if (parts_.plates_read)
        rules_.add(FindingCode::unknown_name, path, where_, plate_name, "a plate of this construct",
                   rules_.near(plate_name, parts_.plate_names));
      return std::nullopt;
    }
    const Plate& plate = *found->second;
    const auto index = static_cast<std::size_t>(found->second - parts_.construct.plates.data());
    if (!rules_.trusted(parts_.at("plate", index) + "@kind")) return std::nullopt;
    if (plate.kind == PlateKind::lateral_mass) {
      rules_.add(FindingCode::wrong_holder, path, where_, "'" + plate_name + "'",
                 "a midline or a paramedian plate: a lateral mass plate takes no rod");
      return std::nullopt;
    }
    parts_.plates_on_rods.insert(plate_name);
    RodStop stop{.path = path,
                 .called = "'" + plate_name + "'",
                 .at = std::string(name(Level::C0)),
                 .half_level = half_levels(Level::C0)};
    if (plate.kind == PlateKind::paramedian)
      for (const std::string& screw : plate.through) {
        const auto of_plate = parts_.anchors.find(screw);
        if (of_plate == parts_.anchors.end()) continue;
        stop.side = side_of(*of_plate->second);
        break;
      }
    return stop;
  }

  std::optional<RodStop> connector(const Through& through, const std::string& path) {
    if (!through.at) {
      rules_.add(FindingCode::half_given, path, where_, through.rod,
                 "an attribute 'at' beside 'rod': the joint where the connector sits");
      return std::nullopt;
    }
    if (through.rod == rod_.name) {
      rules_.add(FindingCode::same_rod, path, where_, "'" + through.rod + "' itself", "another rod to connect to");
      return std::nullopt;
    }
    const auto found = parts_.rods.find(through.rod);
    if (found == parts_.rods.end()) {
      if (parts_.rods_read)
        rules_.add(FindingCode::unknown_name, path, where_, through.rod, "a rod of this construct",
                   rules_.near(through.rod, parts_.rod_names));
      return std::nullopt;
    }
    return RodStop{.path = path,
                   .called = "the connector to '" + through.rod + "'",
                   .at = name(*through.at),
                   .half_level = half_levels(*through.at),
                   .other = found->second};
  }

  ConstructParts& parts_;
  Rules& rules_;
  const Rod& rod_;
  std::string called_;
  std::string where_;
};

}  // namespace

RodStops follow_stops(ConstructParts& parts, const Rod& rod, const std::string& path) {
  return Follower(parts, rod).follow(path);
}

}  // namespace opisthion::models
