// SPDX-License-Identifier: MIT
#include "models/xml/check_words.hpp"

#include <map>

#include "models/xml/nearest.hpp"
#include "models/xml/words.hpp"

namespace opisthion::models::xml {

namespace {

std::vector<std::string_view> attribute_names(const ElementWords& words) {
  std::vector<std::string_view> out;
  for (const AttributeWords& attribute : words.attributes) out.push_back(attribute.name);
  return out;
}

std::vector<std::string_view> child_names(const ElementWords& words) {
  std::vector<std::string_view> out;
  for (const ChildWords& child : words.children) out.push_back(child.name);
  return out;
}

std::string one_of(std::string_view what, const std::vector<std::string_view>& names) {
  if (names.empty()) return "no " + std::string(what);
  return (names.size() == 1 ? std::string(what) + " " : "one of the " + std::string(what) + "s ") + listed(names);
}

void check_attributes(const Element& element, const ElementWords& words, const std::string& where, Findings& findings) {
  const std::vector<std::string_view> names = attribute_names(words);
  for (const Attribute& attribute : element.attributes) {
    if (findings.full()) return;
    if (words.find_attribute(attribute.name) != nullptr) continue;
    Finding out = finding_at(attribute, FindingCode::unknown_attribute, where, attribute.name, one_of("attribute", names));
    out.offset = attribute.name_offset;
    out.length = attribute.name.size();
    out.nearest = nearest_word(attribute.name, names);
    findings.add(std::move(out));
  }
  for (const AttributeWords& attribute : words.attributes) {
    if (attribute.required && element.find(attribute.name) == nullptr)
      findings.add(
          finding_at(element, FindingCode::missing_attribute, where, "", "attribute '" + std::string(attribute.name) + "'"));
  }
}

void check_element(const Element& element, const ElementWords& words, const std::string& where, Findings& findings) {
  if (findings.full()) return;
  check_attributes(element, words, where, findings);
  if (!element.text.empty() && !words.holds_text) {
    Finding out = finding_at(element, FindingCode::unexpected_text, where, element.text,
                             words.children.empty() ? "no text" : "elements, no text between them");
    out.offset = element.text_offset;
    out.length = std::min(element.text.size(), element.text.find('\n'));
    findings.add(std::move(out));
  }
  const std::vector<std::string_view> names = child_names(words);
  std::map<std::string_view, std::size_t> count;
  for (const Element& child : element.children) {
    if (findings.full()) return;
    const auto known = std::find(names.begin(), names.end(), child.name);
    if (known == names.end()) {
      Finding out = finding_at(child, FindingCode::unknown_element, where, child.name, one_of("element", names));
      out.nearest = nearest_word(child.name, names);
      findings.add(std::move(out));
      continue;
    }
    const ChildWords& child_words = words.children[static_cast<std::size_t>(known - names.begin())];
    if (++count[child.name] > 1 && !child_words.repeated)
      findings.add(finding_at(child, FindingCode::repeated_element, where, "a second <" + child.name + ">",
                              "one <" + child.name + "> at most"));
    const ElementWords* next = find_element_words(child.name);
    if (next != nullptr) check_element(child, *next, called(child, element.name == "case" ? "" : where), findings);
  }
  for (const ChildWords& child : words.children) {
    if (child.required && count[child.name] == 0)
      findings.add(
          finding_at(element, FindingCode::missing_element, where, "", "an element <" + std::string(child.name) + ">"));
  }
}

}  // namespace

std::string called(const Element& element, std::string_view parent_called) {
  for (const std::string_view key : {"name", "number", "kind"}) {
    const Attribute* attribute = element.find(key);
    if (attribute != nullptr && !attribute->value.empty()) return element.name + " '" + attribute->value + "'";
  }
  return parent_called.empty() ? element.name : std::string(parent_called) + ", " + element.name;
}

Finding finding_at(const Element& element, FindingCode code, std::string where, std::string found, std::string expected) {
  return {code,
          Severity::error,
          element.name_offset,
          element.name.size(),
          std::move(where),
          std::move(found),
          std::move(expected),
          {}};
}

Finding finding_at(const Attribute& attribute, FindingCode code, std::string where, std::string found,
                   std::string expected) {
  return {code,
          Severity::error,
          attribute.value_offset,
          attribute.value_length,
          std::move(where),
          std::move(found),
          std::move(expected),
          {}};
}

void check_words(const Element& root, Findings& findings) {
  const ElementWords& words = case_words().front();
  if (root.name != words.name) {
    Finding out =
        finding_at(root, FindingCode::wrong_root, "file", root.name, "a root element <" + std::string(words.name) + ">");
    out.nearest = nearest_word(root.name, {words.name});
    findings.add(std::move(out));
    return;
  }
  check_element(root, words, "case", findings);
}

}  // namespace opisthion::models::xml
