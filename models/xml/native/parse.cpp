// SPDX-License-Identifier: MIT
#include "models/xml/native/parse.hpp"

#include <algorithm>
#include <functional>
#include <pugixml.hpp>
#include <set>
#include <string>

#include "models/xml/native/scan.hpp"

namespace opisthion::models::xml {

namespace {

/// Parsed in place, pugixml's names and values point into our copy of the text, so an offset is a subtraction: attributes
/// have no offset of their own in its interface.
class Tree {
 public:
  explicit Tree(std::string_view text) : text_(text), parsed_(text) {}
  Tree(const Tree&) = delete;  // the document points into parsed_
  Tree& operator=(const Tree&) = delete;

  tl::expected<Element, std::vector<Finding>> read() {
    pugi::xml_document document;
    const pugi::xml_parse_result result =
        document.load_buffer_inplace(parsed_.data(), parsed_.size(), pugi::parse_default, pugi::encoding_utf8);
    if (!result) {
      add(static_cast<std::size_t>(std::max<std::ptrdiff_t>(result.offset, 0)), 0, result.description(), "well-formed XML");
      return tl::unexpected(findings_);
    }
    Element root = element(document.document_element());
    if (!findings_.empty()) return tl::unexpected(findings_);
    return root;
  }

 private:
  std::size_t offset(const char* inside) const {
    const std::less<> before;
    const bool ours = !before(inside, parsed_.data()) && before(inside, parsed_.data() + parsed_.size());
    return ours ? static_cast<std::size_t>(inside - parsed_.data()) : 0;
  }

  void add(std::size_t at, std::size_t length, std::string found, std::string expected) {
    Finding out;
    out.offset = at;
    out.length = length;
    out.where = "file";
    out.found = std::move(found);
    out.expected = std::move(expected);
    findings_.push_back(std::move(out));
  }

  Attribute attribute(const pugi::xml_attribute& from) const {
    Attribute out;
    out.name = from.name();
    out.value = from.value();
    out.name_offset = offset(from.name());
    out.value_offset = offset(from.value());
    if (out.value_offset > 0) {
      const char quote = text_[out.value_offset - 1];
      out.value_length = std::min(text_.find(quote, out.value_offset), text_.size()) - out.value_offset;
    }
    return out;
  }

  // Depth is bounded by scan().
  Element element(const pugi::xml_node& from) {
    Element out;
    out.name = from.name();
    out.name_offset = offset(from.name());
    std::set<std::string_view> seen;
    for (const pugi::xml_attribute& a : from.attributes()) {
      out.attributes.push_back(attribute(a));
      const Attribute& added = out.attributes.back();
      if (!seen.insert(a.name()).second)
        add(added.name_offset, added.name.size(), "attribute '" + added.name + "' twice",
            "each attribute of <" + out.name + "> once");
    }
    for (const pugi::xml_node& child : from.children()) {
      if (child.type() == pugi::node_element) out.children.push_back(element(child));
      if (child.type() != pugi::node_pcdata && child.type() != pugi::node_cdata) continue;
      const std::string_view piece = child.value();
      const std::size_t first = piece.find_first_not_of(kBlanks);
      if (first == std::string_view::npos && out.text.empty()) continue;
      if (out.text.empty()) out.text_offset = offset(child.value() + first);
      out.text += piece;
    }
    const std::size_t first = out.text.find_first_not_of(kBlanks);
    out.text = first == std::string::npos ? "" : out.text.substr(first, out.text.find_last_not_of(kBlanks) - first + 1);
    return out;
  }

  std::string_view text_;
  std::string parsed_;
  std::vector<Finding> findings_;
};

}  // namespace

tl::expected<Element, std::vector<Finding>> parse(std::string_view text) {
  if (std::optional<Finding> found = scan(text)) return tl::unexpected(std::vector<Finding>{*found});
  return Tree(text).read();
}

}  // namespace opisthion::models::xml
