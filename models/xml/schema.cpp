// SPDX-License-Identifier: MIT
#include "models/xml/schema.hpp"

#include "models/xml/words.hpp"

namespace opisthion::models::xml {

namespace {

using Pairs = std::vector<std::pair<std::string_view, std::string>>;

Element make(std::string_view element_name, const Pairs& attributes, std::vector<Element> children = {}) {
  Element out;
  out.name = "xs:" + std::string(element_name);
  for (const auto& [name, value] : attributes) out.attributes.push_back({std::string(name), value, 0, 0, 0});
  out.children = std::move(children);
  return out;
}

Element restriction(const std::vector<Element>& facets) {
  return make("simpleType", {}, {make("restriction", {{"base", "xs:string"}}, facets)});
}

Element pattern(std::string text) {
  return restriction({make("pattern", {{"value", std::move(text)}})});
}

constexpr std::string_view kNumber = "-?([0-9]+(\\.[0-9]*)?|\\.[0-9]+)([eE][+\\-]?[0-9]+)?";

std::string unit_pattern(Dimension dimension) {
  std::string out;
  for (const Unit& unit : units()) {
    if (unit.dimension != dimension || unit.word == "1") continue;
    if (!out.empty()) out += "|";
    for (const char c : unit.word) out += c == '^' ? std::string("\\^") : std::string(1, c);
  }
  return out;
}

Element type_of(const AttributeWords& words) {
  const std::string number(kNumber);
  switch (words.holds) {
    case Holds::name:
      return restriction(
          {make("minLength", {{"value", "1"}}), make("maxLength", {{"value", std::to_string(kLongestName_characters)}})});
    case Holds::word: {
      std::vector<Element> facets;
      for (const std::string_view w : words.words) facets.push_back(make("enumeration", {{"value", std::string(w)}}));
      return restriction(facets);
    }
    case Holds::quantity:
      return pattern(number + " +(" + unit_pattern(words.dimension) + ")");
    case Holds::count:
      return pattern("[0-9]+");
    case Holds::direction:
      return pattern(" *(" + number + " +){2}" + number + " *");
    case Holds::parameter:
      return pattern("[A-Za-z0-9_.\\-]+");
    case Holds::setting:
      return pattern(number + "( +[A-Za-z0-9/^% ]+)?");
  }
  return {};
}

Element documentation(std::string_view about) {
  Element text = make("documentation", {});
  text.text = about;
  return make("annotation", {}, {text});
}

Element declaration(const ElementWords& words) {
  if (words.holds_text)
    return make("element", {{"name", std::string(words.name)}, {"type", "xs:string"}}, {documentation(words.about)});
  std::vector<Element> content;
  if (!words.children.empty()) {
    Element choice = make("choice", {{"minOccurs", "0"}, {"maxOccurs", "unbounded"}});
    for (const ChildWords& child : words.children)
      choice.children.push_back(make("element", {{"ref", std::string(child.name)}}));
    content.push_back(std::move(choice));
  }
  for (const AttributeWords& attribute : words.attributes) {
    Pairs pairs{{"name", std::string(attribute.name)}};
    if (attribute.required) pairs.emplace_back("use", "required");
    content.push_back(make("attribute", pairs, {type_of(attribute)}));
  }
  return make("element", {{"name", std::string(words.name)}},
              {documentation(words.about), make("complexType", {}, content)});
}

}  // namespace

Element case_schema() {
  Element out = make("schema", {{"xmlns:xs", "http://www.w3.org/2001/XMLSchema"}});
  for (const ElementWords& words : case_words()) out.children.push_back(declaration(words));
  return out;
}

}  // namespace opisthion::models::xml
