// SPDX-License-Identifier: MIT
#include "models/xml/words.hpp"

namespace opisthion::models::xml {

template <>
const std::vector<Word<Level>>& words_of<Level>() {
  static const std::vector<Word<Level>> all = [] {
    std::vector<Word<Level>> out;
    for (int i = 0; i < kLevelCount; ++i) out.push_back({static_cast<Level>(i), name(static_cast<Level>(i))});
    return out;
  }();
  return all;
}

template <>
const std::vector<Word<Side>>& words_of<Side>() {
  static const std::vector<Word<Side>> all{{Side::left, name(Side::left)}, {Side::right, name(Side::right)}};
  return all;
}

template <>
const std::vector<Word<Artery>>& words_of<Artery>() {
  static const std::vector<Word<Artery>> all{
      {Artery::not_checked, "not checked"}, {Artery::normal, "normal"}, {Artery::high, "high"},
      {Artery::dominant, "dominant"},       {Artery::only, "only"},     {Artery::occluded, "occluded"}};
  return all;
}

template <>
const std::vector<Word<BoneQuality>>& words_of<BoneQuality>() {
  static const std::vector<Word<BoneQuality>> all{
      {BoneQuality::normal, "normal"}, {BoneQuality::osteopenic, "osteopenic"}, {BoneQuality::osteoporotic, "osteoporotic"}};
  return all;
}

template <>
const std::vector<Word<JointState>>& words_of<JointState>() {
  static const std::vector<Word<JointState>> all{
      {JointState::intact, "intact"}, {JointState::stiff, "stiff"}, {JointState::fused, "fused"}};
  return all;
}

template <>
const std::vector<Word<JointId>>& words_of<JointId>() {
  static const std::vector<std::string> names = [] {
    std::vector<std::string> out;
    for (int i = 0; i + 1 < kLevelCount; ++i) out.push_back(name(JointId{static_cast<Level>(i), static_cast<Level>(i + 1)}));
    return out;
  }();
  static const std::vector<Word<JointId>> all = [] {
    std::vector<Word<JointId>> out;
    for (int i = 0; i + 1 < kLevelCount; ++i)
      out.push_back({JointId{static_cast<Level>(i), static_cast<Level>(i + 1)}, names[static_cast<std::size_t>(i)]});
    return out;
  }();
  return all;
}

template <>
const std::vector<Word<Instability>>& words_of<Instability>() {
  static const std::vector<Word<Instability>> all{{Instability::dens_nonunion, "dens non-union"},
                                                  {Instability::transverse_ligament_rupture, "transverse ligament rupture"}};
  return all;
}

template <>
const std::vector<Word<AxialLine>>& words_of<AxialLine>() {
  static const std::vector<Word<AxialLine>> all{
      {AxialLine::lateral_masses, "lateral masses"}, {AxialLine::dens, "dens"}, {AxialLine::condyles, "condyles"}};
  return all;
}

template <>
const std::vector<Word<AnchorKind>>& words_of<AnchorKind>() {
  static const std::vector<Word<AnchorKind>> all{{AnchorKind::lateral_mass, "lateral mass"},
                                                 {AnchorKind::pars, "pars"},
                                                 {AnchorKind::pedicle, "pedicle"},
                                                 {AnchorKind::laminar, "laminar"},
                                                 {AnchorKind::transarticular, "transarticular"}};
  return all;
}

template <>
const std::vector<Word<Purchase>>& words_of<Purchase>() {
  static const std::vector<Word<Purchase>> all{{Purchase::unicortical, "unicortical"}, {Purchase::bicortical, "bicortical"}};
  return all;
}

template <>
const std::vector<Word<Metal>>& words_of<Metal>() {
  static const std::vector<Word<Metal>> all{{Metal::titanium_alloy, "titanium alloy"},
                                            {Metal::cobalt_chrome, "cobalt chrome"},
                                            {Metal::stainless_steel, "stainless steel"}};
  return all;
}

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

constexpr double kLargestBone_mm = 60.0;
constexpr double kLargestDiameter_mm = 12.0;
constexpr double kLongestAnchor_mm = 120.0;
constexpr double kLargestForce_N = 2000.0;
constexpr double kDensestBone_mg_per_cm3 = 2000.0;

std::vector<AttributeWords> side_anatomy() {
  return {size("isthmus_height", kLargestBone_mm),     size("internal_height", kLargestBone_mm),
          size("pedicle_width", kLargestBone_mm),      size("lamina_thickness", kLargestBone_mm),
          size("lamina_height", kLargestBone_mm),      size("lateral_mass_width", kLargestBone_mm),
          size("lateral_mass_depth", kLargestBone_mm), one_of<Artery>("artery", kOptional)};
}

std::vector<ElementWords> make_case_words() {
  const auto force = [] { return positive("force", kRequired, Dimension::force, kLargestForce_N); };
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
       {one_of<Level>("upper", kRequired), one_of<Level>("lower", kRequired)},
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
       {one_of<Level>("name", kRequired)},
       {{"left", kOptional, kOnce}, {"right", kOptional, kOnce}}},
      {"left", "The patient's left side.", side_anatomy()},
      {"right", "The patient's right side.", side_anatomy()},
      {"joint",
       "The state of one joint; intact when left out.",
       {one_of<JointId>("name", kRequired), one_of<JointState>("state", kRequired)}},
      {"instability", "An injury or disease that changes a joint.", {one_of<Instability>("kind", kRequired)}},
      {"bench",
       "How the specimen is potted and loaded. Without a top no moments are run.",
       {one_of<Level>("top", kOptional), one_of<Level>("bottom", kRequired),
        positive("moment", kOptional, Dimension::moment, kLargestMoment_Nmm)},
       {{"shear", kOptional, kRepeated}, {"axial", kOptional, kRepeated}, {"head_load", kOptional, kRepeated}}},
      {"shear", "Anteroposterior shear, forward and backward.", {one_of<Level>("level", kRequired), force()}},
      {"axial",
       "Axial load along a stated line, traction and compression.",
       {one_of<Level>("level", kRequired), force(), one_of<AxialLine>("line", kRequired)}},
      {"head_load",
       "A test rig's force at the head of one anchor, both senses; direction x anterior, y left, z superior.",
       {named("name", kRequired), named("anchor", kRequired), force(), {"direction", Holds::direction, kRequired}}},
      {"set",
       "A library number that this case sets otherwise.",
       {{"number", Holds::parameter, kRequired}, {"value", Holds::setting, kRequired}}},
      {"construct",
       "Anchors and rods on this neck; none of both is the neck alone.",
       {named("name", kRequired)},
       {{"anchor", kOptional, kRepeated}, {"rod", kOptional, kRepeated}}},
      {"anchor",
       "One grip of metal on bone; what is left out is the library's default.",
       {named("name", kRequired), one_of<AnchorKind>("kind", kRequired), one_of<Level>("level", kRequired),
        one_of<Side>("side", kRequired), size("diameter", kLargestDiameter_mm), size("length", kLongestAnchor_mm),
        one_of<Purchase>("purchase", kOptional)}},
      {"rod",
       "A round rod through the heads of its anchors, from above to below.",
       {named("name", kRequired), one_of<Metal>("metal", kOptional), size("diameter", kLargestDiameter_mm)},
       {{"through", kOptional, kRepeated}}},
      {"through", "One anchor that the rod is locked to.", {named("anchor", kRequired)}},
  };
}

}  // namespace

const AttributeWords* ElementWords::find_attribute(std::string_view attribute_name) const {
  for (const AttributeWords& attribute : attributes)
    if (attribute.name == attribute_name) return &attribute;
  return nullptr;
}

const std::vector<ElementWords>& case_words() {
  static const std::vector<ElementWords> all = make_case_words();
  return all;
}

const ElementWords* find_element_words(std::string_view element_name) {
  for (const ElementWords& element : case_words())
    if (element.name == element_name) return &element;
  return nullptr;
}

std::string listed(const std::vector<std::string_view>& words) {
  std::string out;
  for (std::size_t i = 0; i < words.size(); ++i) {
    if (i > 0) out += i + 1 == words.size() ? " or " : ", ";
    out += words[i];
  }
  return out;
}

}  // namespace opisthion::models::xml
