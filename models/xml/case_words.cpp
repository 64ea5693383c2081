// SPDX-License-Identifier: MIT
// The elements of a case file and what they hold.
#include "models/quantity/units.hpp"
#include "models/xml/words.hpp"

namespace opisthion::models::xml {

namespace {

constexpr bool kRequired = true;
constexpr bool kOptional = false;
constexpr bool kOnce = false;
constexpr bool kRepeated = true;

AttributeWords named(std::string_view attribute_name, bool required) {
  return {attribute_name, Holds::name, required};
}

template <class E>
AttributeWords one_of(std::string_view attribute_name, bool required) {
  AttributeWords out{attribute_name, Holds::word, required};
  for (const Word<E>& w : words_of<E>()) out.words.push_back(w.word);
  return out;
}

/// Greater than zero and at most so much, internal unit.
AttributeWords positive(std::string_view attribute_name, bool required, Dimension dimension, double at_most) {
  return {attribute_name, Holds::quantity, required, {}, dimension, 0.0, at_most};
}

AttributeWords size(std::string_view attribute_name, double at_most_mm) {
  return positive(attribute_name, kOptional, Dimension::length, at_most_mm);
}

/// From so much to so much, both included, internal unit.
AttributeWords between(std::string_view attribute_name, Dimension dimension, double from, double at_most) {
  return {attribute_name, Holds::quantity, kOptional, {}, dimension, from, at_most, true};
}

AttributeWords count(std::string_view attribute_name, int from, int at_most) {
  return {attribute_name,
          Holds::count,
          kOptional,
          {},
          Dimension::none,
          static_cast<double>(from),
          static_cast<double>(at_most),
          true};
}

AttributeWords required(AttributeWords words) {
  words.required = kRequired;
  return words;
}

constexpr double kFarthestGuide_mm = 30.0;
constexpr double kFarthestWeight_mm = 200.0;
constexpr double kLargestBone_mm = 60.0;
constexpr double kFarthestSlip_mm = 30.0;
constexpr double kLargestHeadFlexion_deg = 45.0;
constexpr double kFarthestBelowInion_mm = 60.0;
constexpr double kWidestPlate_mm = 40.0;
constexpr double kLargestDiameter_mm = 12.0;
constexpr double kLongestAnchor_mm = 120.0;
constexpr double kLargestForce_N = 2000.0;
constexpr double kDensestBone_mg_per_cm3 = 2000.0;

std::vector<AttributeWords> side_anatomy() {
  return {size("isthmus_height", kLargestBone_mm),     size("internal_height", kLargestBone_mm),
          size("pedicle_width", kLargestBone_mm),      size("lamina_thickness", kLargestBone_mm),
          size("lamina_height", kLargestBone_mm),      size("lateral_mass_width", kLargestBone_mm),
          size("lateral_mass_depth", kLargestBone_mm), size("lateral_mass_height", kLargestBone_mm),
          size("arch_height", kLargestBone_mm),        one_of<bool>("bony_bridge", kOptional),
          one_of<Artery>("artery", kOptional)};
}

std::vector<ElementWords> make_case_words() {
  const auto force = [] { return positive("force", kRequired, Dimension::force, kLargestForce_N); };
  const auto on_top = [&] {
    return std::vector<AttributeWords>{force(), one_of<AxialLine>("line", kRequired),
                                       between("forward", Dimension::length, -kFarthestWeight_mm, kFarthestWeight_mm),
                                       between("above", Dimension::length, -kFarthestWeight_mm, kFarthestWeight_mm)};
  };
  return {
      {"case",
       "A neck, a bench, and the constructs to compare.",
       {named("name", kRequired), {"version", Holds::word, kRequired, {kCaseVersion}}},
       {{"about", kOptional, kOnce},
        {"neck", kRequired, kOnce},
        {"bench", kRequired, kOnce},
        {"set", kOptional, kRepeated},
        {"construct", kRequired, kRepeated}}},
      {"about", "What the case is about, in words; no patient's name or birth date.", {}, {}, true},
      {"neck",
       "The levels, what a surgeon reads off a CT, and what is injured.",
       {one_of<Level>("upper", kRequired), one_of<Level>("lower", kRequired),
        between("head_flexion", Dimension::angle, -to_rad(kLargestHeadFlexion_deg), to_rad(kLargestHeadFlexion_deg))},
       {{"bone", kOptional, kOnce},
        {"level", kOptional, kRepeated},
        {"joint", kOptional, kRepeated},
        {"instability", kOptional, kRepeated}}},
      {"bone",
       "Bone quality by class, or by measured trabecular density.",
       {one_of<BoneQuality>("quality", kOptional),
        positive("density", kOptional, Dimension::density, kDensestBone_mg_per_cm3)}},
      {"level",
       "Anatomy of one level; what is left out is the generic adult's.",
       {one_of<Level>("name", kRequired), size("canal", kLargestBone_mm), size("keel_upper", kLargestBone_mm),
        size("keel_middle", kLargestBone_mm), size("keel_lower", kLargestBone_mm)},
       {{"left", kOptional, kOnce}, {"right", kOptional, kOnce}}},
      {"left", "The patient's left side.", side_anatomy()},
      {"right", "The patient's right side.", side_anatomy()},
      {"joint",
       "The state of one joint, intact when left out, and how far its upper level has slipped forward for good (backward: "
       "negative); what is reduced of it at operation, with the same sign.",
       {one_of<JointId>("name", kRequired), one_of<JointState>("state", kOptional),
        between("slip", Dimension::length, -kFarthestSlip_mm, kFarthestSlip_mm),
        between("reduced", Dimension::length, -kFarthestSlip_mm, kFarthestSlip_mm)}},
      {"instability",
       "An injury, a disease or a resection. Its kind says what else it needs: level, joint, side, share or height lost.",
       {one_of<InstabilityKind>("kind", kRequired), one_of<Level>("level", kOptional), one_of<JointId>("joint", kOptional),
        one_of<Side>("side", kOptional), positive("share", kOptional, Dimension::none, 1.0),
        size("height", kLargestBone_mm)}},
      {"bench",
       "How the specimen is potted and loaded. Without a top no moments are run.",
       {one_of<Level>("top", kOptional), one_of<Level>("bottom", kRequired),
        positive("moment", kOptional, Dimension::moment, kLargestMoment_Nmm), one_of<MomentKind>("moment_kind", kOptional),
        count("steps", kFewestSteps, kMostSteps), count("cycles", kFewestCycles, kMostCycles),
        one_of<bool>("hybrid", kOptional)},
       {{"shear", kOptional, kRepeated},
        {"axial", kOptional, kRepeated},
        {"head_load", kOptional, kRepeated},
        {"follower", kOptional, kOnce},
        {"dead_weight", kOptional, kOnce},
        {"traction", kOptional, kOnce},
        {"combined", kOptional, kRepeated},
        {"sequence", kOptional, kOnce}}},
      {"shear", "Anteroposterior shear, forward and backward.", {one_of<Level>("level", kRequired), force()}},
      {"axial",
       "Axial load along a stated line, traction and compression.",
       {one_of<Level>("level", kRequired), force(), one_of<AxialLine>("line", kRequired)}},
      {"head_load",
       "A test rig's force at the head of one anchor, both senses; direction x anterior, y left, z superior.",
       {named("name", kRequired), named("anchor", kRequired), force(), {"direction", Holds::direction, kRequired}}},
      {"follower",
       "Preload of a cable through one guide a level from the top to the bottom; guides that are not stated are searched "
       "for.",
       {required(between("force", Dimension::force, 0.0, kLargestFollower_N))},
       {{"guide", kOptional, kRepeated}}},
      {"guide",
       "Where the cable passes a level, forward of the condyles' middle (C0), of the lateral masses' middle (C1) or of the "
       "body's centre (backward: negative).",
       {one_of<Level>("level", kRequired),
        required(between("forward", Dimension::length, -kFarthestGuide_mm, kFarthestGuide_mm))}},
      {"dead_weight", "Weight on the top under every load, at the point that line names, so far forward of it and above it.",
       on_top()},
      {"traction",
       "Upward pull on the top under every load, at the point that line names, so far forward of it and above it.",
       on_top()},
      {"combined", "Moments about several axes at once.", {named("name", kRequired)}, {{"part", kRequired, kRepeated}}},
      {"part",
       "One motion's moment in a combined load, as a share of the bench's moment.",
       {one_of<Motion>("motion", kRequired), positive("share", kRequired, Dimension::none, 1.0)}},
      {"sequence",
       "States of one specimen in the order in which it is tested: the rows intact and injured, and constructs by name.",
       {},
       {{"state", kRequired, kRepeated}}},
      {"state", "A row of the results: intact, injured or a construct.", {named("row", kRequired)}},
      {"set",
       "A library number that this case sets otherwise.",
       {{"number", Holds::parameter, kRequired}, {"value", Holds::setting, kRequired}}},
      {"construct",
       "Metal and grafts on this neck; nothing is the neck alone.",
       {named("name", kRequired), one_of<AssemblyOrder>("order", kOptional)},
       {{"anchor", kOptional, kRepeated},
        {"plate", kOptional, kRepeated},
        {"rod", kOptional, kRepeated},
        {"cross_link", kOptional, kRepeated},
        {"tie", kOptional, kRepeated},
        {"graft", kOptional, kRepeated},
        {"spacer", kOptional, kRepeated}}},
      {"anchor",
       "One grip of metal on bone; what is left out is the library's default. All but keel anchors have a side.",
       {named("name", kRequired), one_of<AnchorKind>("kind", kRequired), one_of<Level>("level", kRequired),
        one_of<Side>("side", kOptional), size("diameter", kLargestDiameter_mm), size("length", kLongestAnchor_mm),
        one_of<Purchase>("purchase", kOptional), one_of<LateralMassPath>("path", kOptional),
        one_of<AnchorState>("state", kOptional), between("lag", Dimension::force, 0.0, kLargestForce_N),
        between("tension", Dimension::force, 0.0, kLargestForce_N),
        between("below_inion", Dimension::length, 0.0, kFarthestBelowInion_mm), one_of<HookFacing>("facing", kOptional)}},
      {"plate",
       "A plate and the anchors through its holes, from above to below.",
       {named("name", kRequired), one_of<PlateKind>("kind", kRequired), one_of<Metal>("metal", kOptional),
        size("width", kWidestPlate_mm), size("thickness", kLargestDiameter_mm)},
       {{"through", kOptional, kRepeated}}},
      {"rod",
       "A round rod through its stops, from above to below; a loop goes up one side and down the other.",
       {named("name", kRequired), one_of<Metal>("metal", kOptional), size("diameter", kLargestDiameter_mm),
        one_of<Bending>("bending", kOptional), one_of<bool>("closed", kOptional),
        size("lower_diameter", kLargestDiameter_mm), one_of<JointId>("taper_at", kOptional)},
       {{"through", kOptional, kRepeated}}},
      {"through",
       "One stop: an anchor, a plate, or a connector to another rod at a joint. A plate goes through anchors only.",
       {named("anchor", kOptional), named("plate", kOptional), named("rod", kOptional), one_of<JointId>("at", kOptional)}},
      {"cross_link",
       "A bar between two rods where they pass a joint.",
       {named("name", kRequired), named("from", kRequired), named("to", kRequired), one_of<JointId>("at", kRequired),
        size("diameter", kLargestDiameter_mm)}},
      {"tie",
       "Wire or clamp from the back of one level to the back of another, without a rod.",
       {named("name", kRequired), one_of<TieKind>("kind", kRequired), one_of<Level>("upper", kRequired),
        one_of<Level>("lower", kRequired), one_of<Side>("side", kOptional), size("diameter", kLargestDiameter_mm),
        between("tension", Dimension::force, 0.0, kLargestForce_N)}},
      {"graft",
       "Bone between two levels; healed: 0 % fresh, 100 % solid.",
       {named("name", kRequired), one_of<GraftKind>("kind", kRequired), one_of<Level>("upper", kRequired),
        one_of<Level>("lower", kRequired), one_of<Side>("side", kOptional), between("healed", Dimension::none, 0.0, 1.0)}},
      {"spacer",
       "A block in a C1-C2 lateral joint; height: what it opens the joint to.",
       {named("name", kRequired), one_of<Side>("side", kRequired), size("height", kLargestBone_mm),
        one_of<Metal>("metal", kOptional)}},
  };
}

}  // namespace

const std::vector<ElementWords>& case_words() {
  static const std::vector<ElementWords> all = make_case_words();
  return all;
}

}  // namespace opisthion::models::xml
